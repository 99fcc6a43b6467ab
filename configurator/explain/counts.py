"""Exact numbers of builds by state, and which of two is the better."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.rules.finding import State
from configurator.workshop.answer import Answer


@dataclass(frozen=True, slots=True)
class Counts:
    """Exact numbers of builds by state."""

    fits: int
    marginal: int
    unproven: int
    """Builds in each of the states that are listed."""

    @property
    def total(self) -> int:
        """Builds that are not ruled out."""
        return self.fits + self.marginal + self.unproven

    @property
    def rank(self) -> tuple[int, int, int]:
        """More builds that fit, then more that are shown to do so, then more at all."""
        return self.fits, self.fits + self.marginal, self.total

    @classmethod
    def of(cls, answer: Answer) -> Counts:
        """Counts of an answer."""
        counts = answer.counts
        return cls(counts[State.FITS], counts[State.MARGINAL], counts[State.UNPROVEN])
