"""Why a part is out: the rules that leave it no partner, each with its nearest miss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Total
from configurator.rules.finding import Finding


@dataclass(frozen=True)
class Loss:
    """One part that one rule rules out with every partner.

    Attributes
    ----------
    applied : Applied
        The rule over the parts that were live when it was heard.
    slot : str
        The part's slot.
    place : int
        The part's place along that slot's axis of the rule's frame.
    """

    applied: Applied
    slot: str
    place: int

    def best_partners(self) -> dict[str, int]:
        """Places of the partners with the best state, and of those the widest margin."""
        outcome = self.applied.outcome
        if isinstance(outcome, Total):
            return self._lightest(outcome)
        scope = self.applied.scope
        axis = scope.index(self.slot)
        states = np.take(self.applied.states, self.place, axis=axis)
        order = states.astype(np.float64)
        if isinstance(outcome, Comparison):
            margins = np.take(self.applied.table(outcome.margins), self.place, axis=axis)
            order = order - 1e-3 * np.tanh(np.nan_to_num(margins, nan=-1.0))
        best = np.unravel_index(int(np.argmin(order)), order.shape) if order.ndim else ()
        others = [slot for slot in scope if slot != self.slot]
        found = {slot: int(place) for slot, place in zip(others, best, strict=True)}
        return {self.slot: self.place} | found

    def _lightest(self, total: Total) -> dict[str, int]:
        slots = self.applied.case.frame.slots
        axis = slots.index(self.slot)
        found = {self.slot: self.place}
        for summand in total.summands:
            taken = summand
            if axis < summand.ndim and summand.shape[axis] > 1:
                taken = np.take(summand, [self.place], axis=axis)
            best = np.unravel_index(int(np.argmin(taken)), taken.shape)
            for at, place in enumerate(best):
                if taken.shape[at] > 1:
                    found[slots[at]] = int(place)
        return found


def findings_of(losses: Sequence[Loss]) -> tuple[Finding, ...]:
    """What each rule says of its part with the partners that suit it best.

    Each rule is applied once, to all of its losses together.
    """
    by_rule: dict[int, list[int]] = {}
    for number, loss in enumerate(losses):
        by_rule.setdefault(id(loss.applied), []).append(number)
    found: dict[int, Finding] = {}
    for numbers in by_rule.values():
        applied = losses[numbers[0]].applied
        frame = applied.case.frame
        builds = [dict.fromkeys(frame.slots, 0) | losses[n].best_partners() for n in numbers]
        rows = np.array([[places[slot] for slot in frame.slots] for places in builds])
        case = Case(applied.case.subject, frame.with_rows(rows))
        sides = {side.prefix: side for side in case.sides}
        again = apply_rule(case, applied.rule, sides[applied.side.prefix])
        assert again is not None  # it was asked for over the grid too
        for row, (number, places) in enumerate(zip(numbers, builds, strict=True)):
            parts = {slot: frame.parts[slot][places[slot]] for slot in applied.scope}
            found[number] = again.finding(row, parts)
    return tuple(found[number] for number in range(len(losses)))
