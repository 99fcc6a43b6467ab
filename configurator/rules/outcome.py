"""What a check gives: a comparison of numbers, verdicts in words, or a sum over many slots."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Self

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.rules.comparison import (
    RELATIVE_SLACK,
    UNKNOWN_STEPS,
    Bound,
    Comparison,
    Floats,
    Kept,
    cut,
)
from configurator.rules.finding import State
from configurator.units.dimension import Kind

WORD_STEPS = (0, 2, UNKNOWN_STEPS, 0)
"""Steps short by the state of a verdict in words (chosen for this tool)."""


@dataclass(frozen=True)
class Grades:
    """States given in words instead of numbers, as chemistry and interfaces do."""

    states: NDArray[np.int8]
    """State of each combination of the frame."""

    @property
    def steps(self) -> NDArray[np.int64]:
        """How many steps each combination is short of what the rule asks."""
        return np.asarray(np.take(WORD_STEPS, self.states))

    @property
    def whole(self) -> Grades:
        """The same: there is no sum in words."""
        return self

    def cut(self, kept: Kept) -> Self:
        """The same over fewer parts."""
        return replace(self, states=cut(self.states, kept))


@dataclass(frozen=True)
class Total:
    """A sum over many slots under one ceiling, such as the carried mass.

    Kept as its summands, since a table over all slots together would be too wide.
    """

    summands: tuple[Floats, ...]
    """Arrays over the frame that share no slot."""
    scale: FloatsOrOne
    """What a unit of the sum is in units of the limit: a lever turns masses into a moment."""
    corner: str
    """Words for the end at which the sum is taken."""
    limit: FloatsOrOne
    """The ceiling; NaN if unknown. [kind.unit]"""
    kind: Kind
    caution: float
    """Share of the limit that must be left for the build to count as fitting."""

    @cached_property
    def whole(self) -> Comparison:
        """The sum itself against the limit, over all slots of the frame at once."""
        total = self.summands[0]
        for summand in self.summands[1:]:
            total = total + summand
        return self._against_limit(total)

    @property
    def states(self) -> NDArray[np.int8]:
        """State of each combination; wide, so for rows and narrow grids only."""
        return self.whole.states

    def cut(self, kept: Kept) -> Self:
        """The same over fewer parts."""
        return replace(self, summands=tuple(cut(summand, kept) for summand in self.summands))

    def ceiling(self, level: State) -> float:
        """What the sum may reach at a level, in units of the summands."""
        caution = self.caution if level is State.FITS else 0.0
        return self.leaving(caution, unknown=level is State.UNPROVEN)

    def leaving(self, share: float, *, unknown: bool) -> float:
        """What the sum may reach for a share of the limit to be left, in units of the summands."""
        if np.isnan(self.limit) or np.isnan(self.scale):
            return np.inf if unknown else -np.inf
        return float(self.limit * (1.0 - share) * (1.0 + RELATIVE_SLACK) / self.scale)

    def least_with(self, axis: int) -> Comparison:
        """The least sum that each part along an axis can be in, against the limit."""
        least: Floats = np.asarray(0.0)
        for summand in self.summands:
            axes = tuple(at for at in range(summand.ndim) if at != axis)
            least = least + (summand.min(axis=axes, initial=np.inf) if summand.size else np.inf)
        return self._against_limit(np.atleast_1d(least))

    def _against_limit(self, total: Floats) -> Comparison:
        demand = Bound.exact(total * self.scale, self.corner)
        return Comparison(demand, Bound.exact(self.limit), self.kind, caution=self.caution)


Outcome = Comparison | Grades | Total
