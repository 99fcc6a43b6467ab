"""Many materials judged together: the same rows as one by one, in a fraction of the time.

Materials of one process and one catalog lie along an axis in front of every table: each rule is
heard once for a batch, and builds are counted for all of it together. What a batch cannot do is
judged one by one: numbers too large to be exact, and any batch in which something goes wrong.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from configurator.engine.eliminate import TooWideError
from configurator.errors import CatalogError, HeadwrightError, shown
from configurator.explain.why_none import reason_in_a_line
from configurator.physics.domain import PhysicsDomainError
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.batched import batch_key, batched
from configurator.rules.build_order import BuildOrder
from configurator.rules.categorical import UnlikeRuleError
from configurator.rules.counting import Count
from configurator.rules.evaluation import Evaluation
from configurator.rules.finding import LISTED, State
from configurator.rules.priced import PricedParts
from configurator.rules.propagation import Propagation
from configurator.rules.subject import Subject
from configurator.screen.context import FirstBuilds, ScreeningContext
from configurator.screen.verdict import NOT_READ, Verdict, verdict_on
from configurator.workshop.answering import subjects_of
from configurator.workshop.workshop import Workshop

TOGETHER = {False: 112, True: 8}
"""Materials in a batch, about, by whether they have two parts: enough to share the work, few
enough to stay in the cache."""

ORDERED = 12
"""Materials whose first builds are looked for together: of more, too few parts stand in all."""

REFUSALS = (HeadwrightError, PhysicsDomainError)
"""What a material that no head could ever meter ends in."""

ONE_BY_ONE = (*REFUSALS, TooWideError, UnlikeRuleError)
"""What a batch ends in whose materials have to be judged one by one."""


@dataclass(eq=False)
class Judge:
    """A process and a workshop, ready for any number of materials."""

    process: Process
    """What all materials are dispensed for."""
    workshop: Workshop
    """What the shop builds from and what it has measured; its heads are in the catalog already."""
    _contexts: dict[Hashable, ScreeningContext] = field(default_factory=dict, init=False)

    def verdicts(self, materials: Sequence[Material]) -> list[Verdict]:
        """One row for each material, in their order.

        Parameters
        ----------
        materials : sequence of Material
            As read; some hundreds at a time are quickest.
        """
        found: dict[int, Verdict] = {}
        alike: dict[Hashable, list[tuple[int, Subject]]] = {}
        questions = [Question(material, self.process) for material in materials]
        subjects = subjects_of(questions, self.workshop.catalog, self.workshop.evidence)
        for number, (material, subject) in enumerate(zip(materials, subjects, strict=True)):
            if subject is None:
                found[number] = self._alone(material)
            else:
                alike.setdefault(batch_key(subject), []).append((number, subject))
        for key, entries in alike.items():
            # Flow curves of one model are worked out at once, and materials of like thickness
            # keep like parts, so that little is heard in vain.
            entries.sort(key=lambda entry: (_likeness(entry[1]), entry[0]))
            numbers, together = zip(*entries, strict=True)
            found |= dict(zip(numbers, self._alike(key, together), strict=True))
        return [found[number] for number in range(len(materials))]

    def _alone(self, material: Material) -> Verdict:
        try:
            return verdict_on(material, self.process, self.workshop)
        except CatalogError:
            raise  # not the material's fault
        except REFUSALS as error:
            return Verdict(NOT_READ, reason=shown(str(error).partition("\n")[0], 400))

    def _alike(self, key: Hashable, subjects: Sequence[Subject]) -> list[Verdict]:
        """Rows of materials that can be judged together, however many there are."""
        if key not in self._contexts:
            self._contexts[key] = ScreeningContext(self.process, self.workshop.catalog, subjects[0])
        context = self._contexts[key]
        if not all(context.frame.parts.values()):
            # A table over no part at all cannot be laid out.
            return [self._alone(subject.question.material) for subject in subjects]
        batches = max(1, round(len(subjects) / TOGETHER[subjects[0].filled.material.two_part]))
        borders = [len(subjects) * at // batches for at in range(batches + 1)]
        found: list[Verdict] = []
        for start, end in pairwise(borders):
            together = subjects[start:end]
            try:
                found += judged_together(context, together)
            except ONE_BY_ONE:
                found += [self._alone(subject.question.material) for subject in together]
        return found


def _likeness(subject: Subject) -> tuple[list[str], float]:
    """Flow models first, then thickness."""
    models = [type(curve).__name__ for fluid in subject.fluids for curve in fluid.curves[1:2]]
    return models, max(fluid.viscosity()[1] for fluid in subject.fluids)


def judged_together(context: ScreeningContext, subjects: Sequence[Subject]) -> list[Verdict]:
    """Rows of one batch.

    Parameters
    ----------
    context : ScreeningContext
        Process and shop.
    subjects : sequence of Subject
        Materials that can be judged together.
    """
    stack = batched(subjects, len(context.frame.slots))
    left = Propagation(Evaluation(context.rules, subjects, stack, context.shared))
    count = Count(left)
    up_to = np.stack([count.up_to(level) for level in LISTED])
    counts = np.rint(np.diff(up_to, axis=0, prepend=0.0)).astype(np.int64).T.tolist()
    best = np.full(len(subjects), State.RULED_OUT, dtype=np.int8)
    for level in reversed(LISTED):
        best[up_to[level] > 0] = level
    verdicts = {
        row: _without_build(context, subjects[row])
        for row in np.flatnonzero(best == State.RULED_OUT).tolist()
    }
    places = np.zeros((len(subjects), len(context.frame.slots)), dtype=np.intp)
    for level in LISTED:
        rows = np.flatnonzero(best == level)
        if len(rows):
            for some in np.array_split(rows, -(-len(rows) // ORDERED)):
                order = BuildOrder(PricedParts(count, level, context.prices, rows=some))
                places[some] = order.first()[some]
    built = np.flatnonzero(best < State.RULED_OUT)
    if len(built):
        first = FirstBuilds(context, left, built, places[built])
        for at, row in enumerate(built.tolist()):
            verdicts[row] = first.verdict(at, tuple(counts[row]))
    return [verdicts[row] for row in range(len(subjects))]


def _without_build(context: ScreeningContext, subject: Subject) -> Verdict:
    """The row of a material that nothing serves; it says why as a request by itself does."""
    reason = reason_in_a_line(Evaluation(context.rules, (subject,)), context.conflicts)
    return Verdict(State.RULED_OUT.words, reason=reason)


_JUDGES: list[Judge] = []
"""The last few that were used: a process of a worker asks for the same ones again and again."""

KEPT = 8


def judge(
    materials: Sequence[Material],
    process: Process,
    workshop: Workshop,
) -> list[Verdict]:
    """One row for each material; what does not depend on them is kept for the next call.

    Parameters
    ----------
    materials : sequence of Material
        As read.
    process : Process
        What they are dispensed for.
    workshop : Workshop
        What the shop builds from and what it has measured; its heads are in the catalog already.
    """
    for known in _JUDGES:
        if (known.process, known.workshop) == (process, workshop):
            return known.verdicts(materials)
    fresh = Judge(process, workshop)
    _JUDGES.append(fresh)
    del _JUDGES[:-KEPT]
    return fresh.verdicts(materials)
