"""Sums over the whole build for the solver: each group's share becomes a class of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.rules.applied import Applied
from configurator.rules.classes import Classes
from configurator.rules.comparison import Total
from configurator.rules.constraints import Constraints
from configurator.rules.finding import State
from configurator.solve import Relation, Threshold

TABLE_UP_TO = 20_000
"""Combinations up to which a sum is one table over all its slots."""


class Carried:
    """Sums that share their summands, such as carried mass and moment.

    They differ by a scale alone, so that the one with the lowest ceiling at a level implies
    the others.

    Parameters
    ----------
    rules : sequence of Applied
        Rules whose outcome is a `Total`.
    """

    def __init__(self, rules: Sequence[Applied]) -> None:
        self._rules = [rule for rule in rules if not _always(rule)]

    def write(self, level: State, found: Constraints) -> None:
        """Add the tightest sum as one table, or as a table over classes of its groups."""
        if not self._rules:
            return
        rule = min(self._rules, key=lambda each: _total(each).ceiling(level))
        total = _total(rule)
        frame = rule.case.frame
        if math.prod(float(len(frame.parts[slot])) for slot in rule.scope) <= TABLE_UP_TO:
            passes = rule.table(total.whole.passes(level))
            found.relations.append(Relation(rule.title, rule.scope, passes))
            return
        # A class holds the combinations of a group with one sum; sums over the strictest
        # ceiling of the widest level are in no build and need no class.
        widest = min(_total(each).ceiling(State.UNPROVEN) for each in self._rules)
        sums: list[NDArray[np.float64]] = []
        helpers: list[str] = []
        for number, summand in enumerate(total.summands):
            scope = _moving(rule, summand)
            values = summand.reshape([len(frame.parts[slot]) for slot in scope])
            classes, distinct = _by_value(values, widest)
            name = f"group {number + 1} of {self._rules[0].title}"
            helpers.append(found.define(name, scope, classes.membership(values.shape)))
            sums.append(distinct)
        left = np.asarray(total.ceiling(level))
        for distinct in sums[1:]:
            left = left[..., None] - distinct
        steps = np.unique(left)
        need, allow = (np.searchsorted(steps, side) for side in (sums[0], left))
        found.thresholds.append(
            Threshold(rule.title, (helpers[0],), need, tuple(helpers[1:]), allow)
        )


def _total(rule: Applied) -> Total:
    assert isinstance(rule.outcome, Total)  # sorted out by the caller
    return rule.outcome


def _always(rule: Applied) -> bool:
    """True if the heaviest combination is below the strictest ceiling."""
    total = _total(rule)
    heaviest = sum(float(summand.max(initial=0.0)) for summand in total.summands)
    return heaviest <= total.ceiling(State.FITS)


def _moving(rule: Applied, values: NDArray[np.float64]) -> tuple[str, ...]:
    slots = rule.case.frame.slots
    shape = (1,) * (len(slots) - values.ndim) + values.shape
    return tuple(slot for slot, length in zip(slots, shape, strict=True) if length > 1)


def _by_value(values: NDArray[np.float64], ceiling: float) -> tuple[Classes, NDArray[np.float64]]:
    """Combinations by their sum, and the sums; those over the ceiling get no class."""
    flat = values.reshape(-1)
    kept = np.flatnonzero(flat <= ceiling)
    distinct, first, which = np.unique(flat[kept], return_index=True, return_inverse=True)
    of_row = np.full(flat.shape, -1, dtype=np.intp)
    of_row[kept] = which.reshape(-1)
    return Classes(of_row, kept[first]), distinct
