"""Sums over the whole build for the solver, such as carried mass and moment."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.engine import Relation, Threshold
from configurator.rules.applied import Applied
from configurator.rules.comparison import Total
from configurator.rules.constraints import Constraints, ranks
from configurator.rules.finding import State

TABLE_UP_TO = 20_000
"""Combinations up to which a sum is one table over all its slots."""


def holds_always(rule: Applied) -> bool:
    """True if the heaviest combination is below the strictest ceiling.

    Parameters
    ----------
    rule : Applied
        With a `Total` as its outcome.
    """
    total = _total(rule)
    heaviest = sum(float(summand.max(initial=0.0)) for summand in total.summands)
    return heaviest <= total.ceiling(State.FITS)


class Carried:
    """Sums that share their summands.

    They differ by a scale alone, so that the one with the lowest ceiling at a level implies
    the others.

    Parameters
    ----------
    rules : sequence of Applied
        Rules whose outcome is a `Total` of two summands.
    """

    def __init__(self, rules: Sequence[Applied]) -> None:
        self._rules = [rule for rule in rules if not holds_always(rule)]

    def write(self, level: State, found: Constraints) -> None:
        """Add the tightest sum: one table, or one summand against what the other leaves."""
        if not self._rules:
            return
        rule = min(self._rules, key=lambda each: _total(each).ceiling(level))
        total = _total(rule)
        frame = rule.case.frame
        if math.prod(float(len(frame.parts[slot])) for slot in rule.scope) <= TABLE_UP_TO:
            passes = rule.table(total.whole.passes(level))
            found.relations.append(Relation(rule.title, rule.scope, passes))
            return
        first, second = total.summands
        need, allow = ranks(_table(first), total.ceiling(level) - _table(second))
        found.thresholds.append(
            Threshold(rule.title, _moving(rule, first), need, _moving(rule, second), allow)
        )


def _total(rule: Applied) -> Total:
    assert isinstance(rule.outcome, Total)  # sorted out by the caller
    return rule.outcome


def _moving(rule: Applied, values: NDArray[np.float64]) -> tuple[str, ...]:
    return tuple(
        slot for slot, size in zip(rule.case.frame.slots, values.shape, strict=True) if size > 1
    )


def _table(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return values.reshape([size for size in values.shape if size > 1])
