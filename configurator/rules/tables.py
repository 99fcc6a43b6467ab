"""From applied rules to what the solver takes: tables over few slots, and thresholds."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from configurator.engine import Relation, Threshold
from configurator.rules.applied import Applied
from configurator.rules.carried import Carried
from configurator.rules.comparison import Comparison, Total
from configurator.rules.constraints import Constraints, ranks
from configurator.rules.finding import State
from configurator.rules.outlet_classes import OutletClasses

THRESHOLD_FROM = 20_000
"""Cells of a table from which a comparison is handed over as a threshold instead."""


class Tables:
    """All rules over a grid, ready to be written for each level.

    Parameters
    ----------
    applied : iterable of Applied
        Rules over one grid frame.
    """

    def __init__(self, applied: Iterable[Applied]) -> None:
        rules = list(applied)
        self._carried = Carried([rule for rule in rules if isinstance(rule.outcome, Total)])
        decisive = [
            rule
            for rule in rules
            if not isinstance(rule.outcome, Total) and not _holds_everywhere(rule)
        ]
        self._outlets = OutletClasses(decisive)
        self._plain = [rule for rule in decisive if not self._outlets.covers(rule)]

    def at(self, level: State) -> Constraints:
        """Relations and thresholds that let builds through up to a level."""
        found = Constraints()
        for rule in self._plain:
            threshold = _threshold(rule, level)
            if threshold is not None:
                found.thresholds.append(threshold)
            else:
                found.relations.append(_relation(rule, level))
        self._outlets.write(level, found)
        self._carried.write(level, found)
        return found


def _holds_everywhere(rule: Applied) -> bool:
    """True if the rule holds for every combination, so that the solver need not see it."""
    outcome = rule.outcome
    if not isinstance(outcome, Comparison):
        return bool(outcome.states.max(initial=State.FITS) == State.FITS)
    need, allow = outcome.sides(State.FITS)
    if need.size and allow.size and need.max() <= allow.min():
        return True
    return _cells(rule) < THRESHOLD_FROM and bool(outcome.passes(State.FITS).all())


def _cells(rule: Applied) -> float:
    """Combinations of the rule's scope; a float, since it may be beyond any integer array."""
    frame = rule.case.frame
    return math.prod(float(len(frame.parts[slot])) for slot in rule.scope)


def _relation(rule: Applied, level: State) -> Relation:
    if not rule.scope:
        # A rule that no part moves still has to shut every build out: hang it on one slot.
        slot = rule.case.frame.slots[0]
        passes = bool(rule.outcome.states.max(initial=State.FITS) <= level)
        allowed = np.full(len(rule.case.frame.parts[slot]), passes)
        return Relation(rule.title, (slot,), allowed)
    return Relation(rule.title, rule.scope, rule.states <= level)


def _threshold(rule: Applied, level: State) -> Threshold | None:
    """The comparison as `need <= allow`, where a table would be wide and its sides are not."""
    outcome = rule.outcome
    if not isinstance(outcome, Comparison) or level >= outcome.cap:
        return None
    if _cells(rule) < THRESHOLD_FROM:
        return None
    need_slots = _moving(rule, outcome.demand.hard)
    allow_slots = _moving(rule, outcome.limit.hard)
    if not set(need_slots) - set(allow_slots) or not set(allow_slots) - set(need_slots):
        return None
    need, allow = outcome.sides(level)
    if outcome.at_least:
        need_slots, allow_slots = allow_slots, need_slots
    ranks_need, ranks_allow = ranks(_over(rule, need, need_slots), _over(rule, allow, allow_slots))
    return Threshold(rule.title, need_slots, ranks_need, allow_slots, ranks_allow)


def _moving(rule: Applied, values: NDArray[np.float64]) -> tuple[str, ...]:
    """Slots along which an array of the frame really varies in shape."""
    frame = rule.case.frame
    shape = (1,) * (frame.ndim - values.ndim) + values.shape
    return tuple(slot for slot, length in zip(frame.slots, shape, strict=True) if length > 1)


def _over(
    rule: Applied, values: NDArray[np.float64], slots: tuple[str, ...]
) -> NDArray[np.float64]:
    lengths = [len(rule.case.frame.parts[slot]) for slot in slots]
    return values.reshape(lengths)
