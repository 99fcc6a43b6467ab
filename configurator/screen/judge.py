"""Many materials judged at once: the same rows as one by one, in a fraction of the time.

One-part materials are sorted into groups of one kin. For a group every rule is heard once, with
an axis for the materials in front, and builds are counted for all of them together. What a
group cannot do is judged one by one: two-part materials, the shop's own findings, catalogs too
large for exact whole numbers, and any group in which something goes wrong.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from configurator.errors import CatalogError, HeadwrightError, shown
from configurator.physics.domain import PhysicsDomainError
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.batched import batch_key
from configurator.rules.finding import LISTED, State
from configurator.rules.subject import Subject
from configurator.screen.bench import Bench
from configurator.screen.first_build import FirstBuilds
from configurator.screen.group import Group, UnlikeRuleError
from configurator.screen.lost import reasons_for_lost, where_builds_run_out
from configurator.screen.solved import solve
from configurator.screen.verdict import NOT_READ, Verdict, verdict_on
from configurator.screen.worded import Verbal
from configurator.workshop.answering import parts_of, subjects_of
from configurator.workshop.workshop import Workshop

TOGETHER = 48
"""Materials in a group, about: enough to share the work, few enough to stay in the cache."""

REFUSALS = (HeadwrightError, PhysicsDomainError)
"""What a material that no head could ever meter ends in."""


@dataclass(eq=False)
class Judge:
    """A process and a workshop, ready for any number of materials.

    Parameters
    ----------
    process : Process
        What all materials are dispensed for.
    workshop : Workshop
        What the shop builds from and what it has measured; its heads are in the catalog already.
    """

    process: Process
    workshop: Workshop
    _bench: Bench | None = field(default=None, init=False)

    def verdicts(self, materials: Sequence[Material]) -> list[Verdict]:
        """One row for each material, in their order.

        Parameters
        ----------
        materials : sequence of Material
            As read; some hundreds at a time are quickest.
        """
        found: dict[int, Verdict] = {}
        kins: dict[Hashable, list[tuple[int, Subject]]] = {}
        for number, (material, subject) in enumerate(
            zip(materials, self._subjects(materials), strict=True)
        ):
            if subject is None:
                found[number] = self._alone(material)
            else:
                kins.setdefault(batch_key(subject), []).append((number, subject))
        for alike in kins.values():
            # Materials of like thickness keep like parts, so that little is heard in vain.
            alike.sort(key=lambda entry: (_thickness(entry[1]), entry[0]))
            numbers, subjects = zip(*alike, strict=True)
            found |= dict(zip(numbers, self._of_kin(subjects), strict=True))
        return [found[number] for number in range(len(materials))]

    def _subjects(self, materials: Sequence[Material]) -> list[Subject | None]:
        """Each material worked out, or None if it has to be judged alone."""
        shop = self.workshop
        found: list[Subject | None] = [None] * len(materials)
        if shop.evidence.records:
            return found
        places = [at for at, material in enumerate(materials) if not material.two_part]
        questions = [Question(materials[at], self.process) for at in places]
        for at, subject in zip(
            places, subjects_of(questions, shop.catalog, shop.evidence), strict=True
        ):
            if subject is None:
                continue
            if self._bench is None:
                if not all(parts_of(subject.question, shop.catalog).values()):
                    continue  # a table over no part at all cannot be laid out
                self._bench = Bench(self.process, shop.catalog, subject)
            found[at] = subject if self._bench.exact else None
        return found

    def _alone(self, material: Material) -> Verdict:
        try:
            return verdict_on(material, self.process, self.workshop)
        except CatalogError:
            raise  # not the material's fault
        except REFUSALS as error:
            return Verdict(NOT_READ, reason=shown(str(error).partition("\n")[0], 400))

    def _of_kin(self, subjects: Sequence[Subject]) -> list[Verdict]:
        """Rows of materials of one kin, however many there are."""
        assert self._bench is not None  # made with the first subject
        results: list[_Result | None] = []
        groups = max(1, round(len(subjects) / TOGETHER))
        borders = [len(subjects) * at // groups for at in range(groups + 1)]
        for start, end in pairwise(borders):
            together = subjects[start:end]
            try:
                results += _results(Group(self._bench, together))
            except (*REFUSALS, UnlikeRuleError):
                results += [None] * len(together)
        try:
            verdicts = _verdicts(self._bench, subjects, results)
        except REFUSALS:
            verdicts = [None] * len(subjects)
        return [
            self._alone(subject.question.material) if verdict is None else verdict
            for subject, verdict in zip(subjects, verdicts, strict=True)
        ]


def _thickness(subject: Subject) -> float:
    return subject.fluids[0].viscosity()[1]


@dataclass(frozen=True, slots=True)
class _Result:
    """What a group says of one material: counts with the first build, or why there is none."""

    counts: tuple[int, int, int]
    places: NDArray[np.intp]
    verbal: Verbal
    reason: str = ""


def _results(group: Group) -> list[_Result | None]:
    """Results of a group; None for a material that has to be judged alone."""
    solved = solve(group)
    up_to = np.stack([solved.up_to[level] for level in LISTED])
    counts = np.rint(np.diff(up_to, axis=0, prepend=0.0)).astype(np.int64)
    lost = np.flatnonzero((up_to[-1] == 0) & (group.floor < State.RULED_OUT)).tolist()
    reasons = reasons_for_lost(group, lost)
    together = [material for material, reason in reasons.items() if reason is None]
    reasons |= where_builds_run_out(group, together)
    results: list[_Result | None] = []
    for material, places in enumerate(solved.best):
        fits, marginal, unproven = counts[:, material].tolist()
        reason = reasons.get(material)
        known = reason is not None or up_to[-1][material] > 0
        result = _Result((fits, marginal, unproven), places, group.verbal[material], reason or "")
        results.append(result if known else None)
    return results


def _verdicts(
    bench: Bench, subjects: Sequence[Subject], results: Sequence[_Result | None]
) -> list[Verdict | None]:
    """Rows of materials of one kin from their results."""
    verdicts: list[Verdict | None] = [None] * len(subjects)
    built = [at for at, result in enumerate(results) if result and any(result.counts)]
    for at, result in enumerate(results):
        if result and not any(result.counts):
            verdicts[at] = Verdict(State.RULED_OUT.words, reason=result.reason)
    if built:
        known = [result for result in results if result and any(result.counts)]
        places = np.stack([result.places for result in known])
        verbal = [result.verbal for result in known]
        first = FirstBuilds(bench, [subjects[at] for at in built], verbal, places)
        for row, (at, result) in enumerate(zip(built, known, strict=True)):
            verdicts[at] = first.verdict(row, result.counts)
    return verdicts


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
