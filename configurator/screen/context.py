"""All that a screening knows before it sees a material, and the first build of each material's list."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence

import numpy as np

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Part
from configurator.engine.arrays import IntArray
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.batched import batched
from configurator.rules.case import Case
from configurator.rules.categorical import MOST_KEPT, PartStates
from configurator.rules.comparison import Comparison
from configurator.rules.evaluation import SharedOutcomes
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.prices import Prices
from configurator.rules.propagation import Propagation
from configurator.rules.ruleset import Judgement, RuleSet
from configurator.rules.subject import Subject
from configurator.screen.verdict import Verdict, build_in_words, measure_first, reason_of
from configurator.workshop.answering import parts_of


class ScreeningContext:
    """One process and one shop, laid out for one-part materials or for two-part ones.

    Any of the materials may be `first`, worked out: the parts do not depend on it.

    Attributes
    ----------
    frame : Frame
        Grid over all parts.
    rules : RuleSet
        The rulebook over them.
    prices : Prices
        Which build the list names first.
    shared : SharedOutcomes
        What materials have in common.
    findings : dict
        What rules that read no number of the flow say of parts, by what they read.
    conflicts : list of frozenset of int
        Rules that left materials no build between them.
    """

    def __init__(self, process: Process, catalog: Catalog, first: Subject) -> None:
        self.frame = Frame(parts_of(Question(first.question.material, process), catalog))
        prefixes = [prefix for prefix, _ in first.filled.material.components]
        self.rules = RuleSet(self.frame, prefixes)
        self.prices = Prices.of_frame(self.frame)
        self.shared = SharedOutcomes()
        self.findings: dict[Hashable, Finding] = {}
        self.conflicts: list[frozenset[int]] = []

    def builds(self, places: IntArray) -> Frame:
        """Builds of shape (materials, slots) as a frame, each with a material of its own."""
        # No rule looks at the entry on the axis of the materials: any place will do.
        rows = np.hstack([np.zeros((len(places), 1), dtype=np.intp), places])
        return self.rules.every_many.with_rows(rows)

    def parts(self, places: IntArray) -> dict[str, Part]:
        """The parts of one build, by their places in each slot."""
        slots = self.frame.slots
        return {s: self.frame.parts[s][at] for s, at in zip(slots, places, strict=True)}


class FirstBuilds:
    """One build for each of some materials of a batch, judged by all rules at once.

    Rows say which materials, places in shape (materials, slots) their builds.
    """

    def __init__(
        self, context: ScreeningContext, left: Propagation, rows: IntArray, places: IntArray
    ) -> None:
        self._context = context
        self._evaluation = left.evaluation
        self._subjects = [left.evaluation.subjects[row] for row in rows]
        self._rows = rows
        self._places = places
        self._judgements = context.rules.judgements
        self._applied: dict[int, Applied] = {}
        shape = (len(rows), len(self._judgements))
        self.states = np.full(shape, State.FITS, dtype=np.int8)
        self.margins = np.full(shape, np.nan)
        self._judge_numbers()
        for judgement, said in left.unary:
            if not judgement.fixed and not judgement.numeric:
                self._judge_alone(judgement, said)

    def _judge_numbers(self) -> None:
        case = Case(batched(self._subjects, 0), self._context.builds(self._places))
        sides = {side.prefix: side for side in case.sides}
        for at, judgement in enumerate(self._judgements):
            if not (judgement.numeric or judgement.fixed):
                continue
            applied = apply_rule(case, judgement.rule, sides[judgement.prefix])
            if applied is None:
                continue
            outcome = applied.outcome.whole
            self._applied[at] = applied
            self.states[:, at] = outcome.states
            if isinstance(outcome, Comparison):
                self.margins[:, at] = outcome.margins

    def _judge_alone(self, judgement: Judgement, said: PartStates) -> None:
        """A rule that hangs on no number of the flow and judges each part by itself."""
        at, slots = judgement.number, self._context.frame.slots
        several = self._rows if len(said.floor) > 1 else 0
        self.states[:, at] = said.floor[several]
        for slot, states in said.by_slot.items():
            here = self._rows if len(states) > 1 else 0
            found = states[here, self._places[:, slots.index(slot)]]
            self.states[:, at] = np.maximum(self.states[:, at], found)
        if said.margins is not None:
            here = self._rows if len(said.margins) > 1 else 0
            (slot,) = judgement.scope
            self.margins[:, at] = said.margins[here, self._places[:, slots.index(slot)]]

    def verdict(self, at: int, counts: tuple[int, int, int]) -> Verdict:
        """The result row of a material by its place, with its builds by state."""
        fits, marginal, unproven = counts
        state = State(int(self.states[at].max()))
        parts = self._context.parts(self._places[at])
        known = np.isfinite(self.margins[at])
        tightest = int(np.argmin(np.where(known, self.margins[at], np.inf)))
        against: list[int] = (
            [] if state is State.FITS else np.flatnonzero(self.states[at] == state).tolist()
        )
        deciding = self._finding(at, against[0], parts) if against else None
        gaps = self._subjects[at].filled.notes
        return Verdict(
            state=state.words,
            fits=fits,
            marginal=marginal,
            unproven=unproven,
            best_build=build_in_words(parts),
            margin=float(self.margins[at, tightest]) if known.any() else None,
            margin_rule=self._judgements[tightest].title if known.any() else "",
            reason=reason_of(deciding),
            measure_first=measure_first(self._findings(at, against, parts), gaps),
        )

    def _findings(
        self, at: int, against: Sequence[int], parts: dict[str, Part]
    ) -> Iterator[Finding]:
        """Findings one by one, since the first that names a test ends the search."""
        for number in against:
            yield self._finding(at, number, parts)

    def _finding(self, at: int, number: int, parts: dict[str, Part]) -> Finding:
        if number in self._applied:
            return self._applied[number].finding(at, parts)
        return self._alone(at, self._judgements[number], parts)

    def _alone(self, at: int, judgement: Judgement, parts: dict[str, Part]) -> Finding:
        """A finding of a rule that judges each part by itself, kept for the next material alike."""
        reading = self._evaluation.readings[self._rows[at]]
        names = tuple(parts[slot].name for slot in judgement.scope)
        known = self._context.findings
        key = (judgement.number, reading.of(judgement), names)
        if key not in known:
            if len(known) >= MOST_KEPT:
                known.clear()
            rows = np.zeros((1, len(parts)), dtype=np.intp)
            alone = Frame({slot: (part,) for slot, part in parts.items()}, rows)
            case = Case(self._subjects[at], alone)
            side = case.side(judgement.prefix)
            applied = apply_rule(case, judgement.rule, side)
            assert applied is not None  # it was heard over all parts
            known[key] = applied.finding(0, parts)
        return known[key]
