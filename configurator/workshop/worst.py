"""Figures that are the worst of many numbers, which no sum puts in order: what is beyond a value."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from configurator.engine import Build
from configurator.engine.table import Table
from configurator.rules.held_rule import HeldRule

Demanded = tuple[list[Table], list[HeldRule]]
"""Flags of parts that builds must be of, and rules over several slots that they must keep."""


@dataclass(frozen=True, eq=False)
class Worst:
    """The least of some worths of a build; more is better, and what is unknown is worth -inf."""

    terms: Sequence[Callable[[float], Table | HeldRule | None]]
    """Each gives what lets through all that is worth more; None where everything is."""
    value: Callable[[Build], float]
    """The least worth of a build, given as places among the live parts."""

    def beyond(self, worth: float) -> Demanded:
        """What lets through the builds that are worth more."""
        found = [term(worth) for term in self.terms]
        held = [each for each in found if isinstance(each, HeldRule)]
        return [each for each in found if isinstance(each, Table)], held


def worse_of(sides: Sequence[Table], sign: float) -> Worst:
    """The figure of the worse side, by the figure of each over the live parts.

    Parameters
    ----------
    sides : sequence of Table
        NaN where unknown.
    sign : float
        1 where more is better, else -1. [-]
    """

    def value(build: Build) -> float:
        found = [sign * float(t.values[0, *(build[s] for s in t.scope)]) for t in sides]
        return -math.inf if any(math.isnan(each) for each in found) else min(found)

    def beyond(side: Table, worth: float) -> Table:
        return Table(side.scope, sign * side.values > worth)

    return Worst([partial(beyond, side) for side in sides], value)


def highest(
    beyond: Callable[[float], Build | None],
    value: Callable[[Build], float],
    above: float = math.inf,
) -> Build | None:
    """The first build of the highest value.

    Parameters
    ----------
    beyond : callable
        `beyond(value)` gives the first build of a higher value; None proves that there is none.
    value : callable
        Value of a build.
    above : float
        No build has that value or a higher one.
    """
    best = beyond(-math.inf)
    step = 0.25
    while best is not None and math.isfinite(value(best)):
        low = value(best)
        higher = beyond(low)
        if higher is None:
            break
        best, low = higher, value(higher)
        far = low + step * max(1.0, abs(low)) if math.isinf(above) else (low + above) / 2.0
        farther = beyond(far)
        if farther is None:
            above = far
        else:
            best = farther
            step *= 2.0
    return best


def in_whole_percent(share: float) -> float:
    """A share in whole per cent, rounded down; what is short of one by rounding alone counts."""
    return float(np.floor(100.0 * share + 1e-6)) if math.isfinite(share) else share
