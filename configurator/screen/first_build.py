"""The first build of each material's list: its state, its tightest margin, what is against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.batched import batched
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Total
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.subject import Subject
from configurator.screen.bench import Bench
from configurator.screen.heading import Heading
from configurator.screen.verdict import Verdict, build_in_words, measure_first, reason_of
from configurator.screen.worded import Verbal

NOT_ASKED = -1
"""Stands for the state of a rule that does not apply."""


class FirstBuilds:
    """One build for each of some materials of one kin, judged by all rules at once.

    Parameters
    ----------
    bench : Bench
        Process and catalog.
    subjects : sequence of Subject
        Materials of one kin.
    verbal : sequence of Verbal
        What the rules in words say of each.
    places : ndarray of int
        Shape (materials, slots): the parts of each one's build.
    """

    def __init__(
        self,
        bench: Bench,
        subjects: Sequence[Subject],
        verbal: Sequence[Verbal],
        places: NDArray[np.intp],
    ) -> None:
        self._bench = bench
        self._subjects = subjects
        self._verbal = verbal
        self._places = places
        self._headings = bench.headings
        self._applied: dict[int, Applied] = {}
        shape = (len(subjects), len(self._headings))
        self.states = np.full(shape, NOT_ASKED, dtype=np.int8)
        self.margins = np.full(shape, np.nan)
        self._judge_numbers()
        self._judge_words()

    def _judge_numbers(self) -> None:
        case = Case(batched(self._subjects, 0), self._bench.rows(self._places))
        for at, heading in enumerate(self._headings):
            if not (heading.numeric or heading.fixed):
                continue
            applied = apply_rule(case, heading.rule, case.sides[0])
            if applied is None:
                continue
            outcome = applied.outcome
            if isinstance(outcome, Total):
                outcome = outcome.whole
            self._applied[at] = applied
            self.states[:, at] = outcome.states
            if isinstance(outcome, Comparison):
                self.margins[:, at] = outcome.margins

    def _judge_words(self) -> None:
        axis = {slot: at for at, slot in enumerate(self._bench.slots)}
        worded = [
            (at, heading)
            for at, heading in enumerate(self._headings)
            if not (heading.numeric or heading.fixed)
        ]
        for row, verbal in enumerate(self._verbal):
            heard = verbal.heard
            for at, heading in worded:
                found = heard.get(heading.rule.name)
                if found is None:
                    continue
                place = tuple(self._places[row, axis[slot]] for slot in found.scope)
                self.states[row, at] = found.states[place]
                if found.margins is not None:
                    self.margins[row, at] = found.margins[place]

    def verdict(self, row: int, counts: tuple[int, int, int]) -> Verdict:
        """The result row of one material.

        Parameters
        ----------
        row : int
            Its place among the rows.
        counts : tuple of int
            Builds that fit, are marginal and are unproven.
        """
        fits, marginal, unproven = counts
        state = State(int(self.states[row].max()))
        parts = self._parts(row)
        known = np.isfinite(self.margins[row])
        at = int(np.argmin(np.where(known, self.margins[row], np.inf)))
        against: list[int] = (
            [] if state is State.FITS else np.flatnonzero(self.states[row] == state).tolist()
        )
        deciding = self._finding(row, against[0], parts) if against else None
        gaps = self._subjects[row].filled.notes
        return Verdict(
            state=state.words,
            fits=fits,
            marginal=marginal,
            unproven=unproven,
            best_build=build_in_words(parts),
            margin=float(self.margins[row, at]) if known.any() else None,
            margin_rule=self._headings[at].rule.name if known.any() else "",
            reason=reason_of(deciding),
            measure_first=measure_first(self._findings(row, against, parts), gaps),
        )

    def _parts(self, row: int) -> dict[str, Part]:
        return {
            slot: self._bench.parts[slot][place]
            for slot, place in zip(self._bench.slots, self._places[row], strict=True)
        }

    def _findings(
        self, row: int, against: Sequence[int], parts: dict[str, Part]
    ) -> Iterator[Finding]:
        """Findings one by one, since the first that names a test ends the search."""
        for at in against:
            yield self._finding(row, at, parts)

    def _finding(self, row: int, at: int, parts: dict[str, Part]) -> Finding:
        heading = self._headings[at]
        if at in self._applied:
            return self._applied[at].finding(row, parts)
        return self._in_words(row, heading, parts)

    def _in_words(self, row: int, heading: Heading, parts: dict[str, Part]) -> Finding:
        """A finding of a rule in words, from the material that it was first heard for."""
        heard = self._verbal[row].heard[heading.rule.name]
        alone = Frame(
            {slot: (part,) for slot, part in parts.items()}, np.zeros((1, len(parts)), int)
        )
        case = Case(heard.applied.case.subject, alone)
        applied = apply_rule(case, heading.rule, case.sides[0])
        assert applied is not None  # it was heard over all parts
        return applied.finding(0, parts)
