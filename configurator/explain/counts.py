"""Exact numbers of builds by state, and which of two is the better."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from configurator.rules.counting import Count
from configurator.rules.finding import LISTED, State
from configurator.rules.propagation import Propagation
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

    @classmethod
    def left(cls, left: Propagation | None, problems: int = 1) -> list[Counts]:
        """Counts of each request of a propagation; none anywhere without one.

        Raises
        ------
        TooWideError
            If the engine has to give up.
        """
        every = np.zeros((len(LISTED), problems))
        if left is not None:
            count = Count(left)
            for level in reversed(LISTED):
                every[level] = count.up_to(level)
                if not every[level].any():
                    break
        alone = np.rint(np.diff(every, axis=0, prepend=0.0)).astype(np.int64)
        return [cls(*row) for row in alone.T.tolist()]
