"""Low, nominal and high of a number, and what the number rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, Self

End = Literal["low", "nominal", "high"]

ENDS: tuple[End, End, End] = ("low", "nominal", "high")

OPPOSITE: dict[End, End] = {"low": "high", "nominal": "nominal", "high": "low"}
"""The other end of a range."""


class Basis(StrEnum):
    """What a number rests on, listed from strongest to weakest.

    Compare with ``rank`` or ``weakest``: the members are text, so ``<`` would be alphabetical.
    """

    MEASURED = "measured"
    PUBLISHED = "published"
    DATASHEET = "datasheet"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    INVENTED = "invented"
    ESTIMATED = "estimated"

    @property
    def rank(self) -> int:
        """Place in the order, 0 for the strongest."""
        return _ORDER[self]


_ORDER = {basis: place for place, basis in enumerate(Basis)}


def weakest(*bases: Basis) -> Basis:
    """Return the weakest of the bases: a result is as good as its worst input.

    Raises
    ------
    ValueError
        If no basis is given.

    Examples
    --------
    >>> weakest(Basis.MEASURED, Basis.ESTIMATED, Basis.DATASHEET).value
    'estimated'
    """
    if not bases:
        raise ValueError("weakest needs at least one basis")
    return max(bases, key=lambda basis: basis.rank)


@dataclass(frozen=True, slots=True)
class Interval:
    """A number with its bounds, in SI.

    Raises
    ------
    ValueError
        If a bound is not finite or the order is wrong.
    """

    low: float
    nominal: float
    high: float
    """Finite, with ``low <= nominal <= high``."""

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.low, self.nominal, self.high))):
            raise ValueError("the bounds of an interval must be finite")
        if not self.low <= self.nominal <= self.high:
            raise ValueError(
                f"low <= nominal <= high does not hold: {self.low}, {self.nominal}, {self.high}"
            )

    @property
    def ends(self) -> tuple[float, float, float]:
        """Low, nominal and high."""
        return self.low, self.nominal, self.high

    @classmethod
    def exact(cls, value: float) -> Self:
        """Return an interval without width."""
        return cls(value, value, value)

    @classmethod
    def of(cls, low: float, high: float, nominal: float | None = None) -> Self:
        """Return the range from ``low`` to ``high``; its nominal is the midpoint unless given.

        Examples
        --------
        >>> Interval.of(291.15, 301.15).nominal
        296.15
        """
        if nominal is None:
            # Halving first cannot overflow; clamping undoes the last-bit error of rounding.
            nominal = min(max(low / 2 + high / 2, low), high)
        return cls(low, nominal, high)

    @property
    def is_exact(self) -> bool:
        """Whether low and high are the same number."""
        return self.low == self.high

    @property
    def width(self) -> float:
        """High minus low, in the unit of the interval."""
        return self.high - self.low

    def over(self, other: Self) -> Self:
        """Return the quotient of two amounts above zero.

        Examples
        --------
        >>> Interval(1.0, 2.0, 3.0).over(Interval(2.0, 4.0, 5.0))
        Interval(low=0.2, nominal=0.5, high=1.5)
        """
        return type(self)(
            self.low / other.high, self.nominal / other.nominal, self.high / other.low
        )

    def scaled(self, factor: float) -> Self:
        """Return the interval times a number; a negative factor swaps low and high.

        Examples
        --------
        >>> Interval(1.0, 2.0, 4.0).scaled(-1.0)
        Interval(low=-4.0, nominal=-2.0, high=-1.0)
        """
        ends = (self.low * factor, self.high * factor)
        return type(self)(min(ends), self.nominal * factor, max(ends))
