"""From applied rules to what the solver takes: tables over few slots, and thresholds."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from configurator.rules.applied import Applied
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.solve import Relation, Threshold

THRESHOLD_FROM = 20_000
"""Cells of a table from which a comparison is handed over as a threshold instead."""


def constraints_of(
    applied: Iterable[Applied], level: State
) -> tuple[list[Relation], list[Threshold]]:
    """Relations and thresholds that let builds through up to a level.

    Parameters
    ----------
    applied : iterable of Applied
        Rules over a grid frame.
    level : State
        fits, marginal or unproven.
    """
    relations: list[Relation] = []
    thresholds: list[Threshold] = []
    for rule in applied:
        threshold = _threshold(rule, level)
        if threshold is not None:
            thresholds.append(threshold)
        else:
            relations.append(_relation(rule, level))
    return relations, thresholds


def _relation(rule: Applied, level: State) -> Relation:
    if not rule.scope:
        # A rule that no part moves still has to shut every build out: hang it on one slot.
        slot = rule.case.frame.slots[0]
        passes = bool(rule.outcome.states.max(initial=State.FITS) <= level)
        allowed = np.full(len(rule.case.frame.parts[slot]), passes)
        return Relation(rule.title, (slot,), allowed)
    return Relation(rule.title, rule.scope, rule.states <= level)


def _threshold(rule: Applied, level: State) -> Threshold | None:
    """The comparison as `need <= allow`, where its two sides share no slot and it is wide."""
    outcome = rule.outcome
    if not isinstance(outcome, Comparison) or level >= outcome.cap:
        return None
    frame = rule.case.frame
    cells = np.prod([len(frame.parts[slot]) for slot in rule.scope], dtype=float)
    if cells < THRESHOLD_FROM:
        return None
    demand_slots = _moving(rule, outcome.demand.hard)
    limit_slots = _moving(rule, outcome.limit.hard)
    if not demand_slots or not limit_slots or set(demand_slots) & set(limit_slots):
        return None
    need, allow = outcome.sides(level)
    ranks_need, ranks_allow = _ranks(
        _over(rule, need, demand_slots), _over(rule, allow, limit_slots)
    )
    return Threshold(rule.title, demand_slots, ranks_need, limit_slots, ranks_allow)


def _moving(rule: Applied, values: NDArray[np.float64]) -> tuple[str, ...]:
    """Slots along which an array of the frame really varies in shape."""
    frame = rule.case.frame
    shape = (1,) * (frame.ndim - values.ndim) + values.shape
    return tuple(
        slot for slot, length in zip(frame.slots, shape, strict=True) if length > 1
    )


def _over(
    rule: Applied, values: NDArray[np.float64], slots: tuple[str, ...]
) -> NDArray[np.float64]:
    lengths = [len(rule.case.frame.parts[slot]) for slot in slots]
    return values.reshape(lengths)


def _ranks(
    need: NDArray[np.float64], allow: NDArray[np.float64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Whole numbers in the order of two arrays of floats, so that comparing them is exact."""
    steps = np.unique(allow)
    return np.searchsorted(steps, need, side="left"), np.searchsorted(steps, allow, side="left")

