"""Physical dimensions, and units as a dimension with an exact factor to SI.

Turns and plane angles are kept as dimensions of their own. Most unit software calls both
dimensionless, so that "60 rpm" silently becomes 6.28 1/s: here a speed of rotation, an angular
rate and a shear rate are three things, and a kind says which of them it takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Self


@dataclass(frozen=True, slots=True)
class Dimension:
    """A product of powers of base dimensions."""

    powers: tuple[tuple[str, float], ...] = ()
    """Base dimension and exponent, sorted by name, without zeros. Exponents are multiples of one
    half, so floats hold them exactly."""

    @classmethod
    def of(cls, **powers: float) -> Self:
        """Return the dimension with these exponents.

        Examples
        --------
        >>> str(Dimension.of(length=3, time=-1))
        'length^3/time'
        """
        return cls._sorted(powers)

    @classmethod
    def base(cls, name: str, power: float = 1.0) -> Self:
        """Return a power of one base dimension of any name."""
        return cls._sorted({name: power})

    @classmethod
    def _sorted(cls, powers: dict[str, float]) -> Self:
        kept = ((name, float(power)) for name, power in sorted(powers.items()) if power)
        return cls(tuple(kept))

    def __mul__(self, other: Dimension) -> Dimension:
        total = dict(self.powers)
        for name, power in other.powers:
            total[name] = total.get(name, 0.0) + power
        return Dimension._sorted(total)

    def __pow__(self, exponent: float) -> Dimension:
        return Dimension._sorted({name: power * exponent for name, power in self.powers})

    def __str__(self) -> str:
        if not self.powers:
            return "a plain number"
        above = "*".join(_power(name, power) for name, power in self.powers if power > 0)
        below = "".join(f"/{_power(name, -power)}" for name, power in self.powers if power < 0)
        return f"{above or '1'}{below}"


def _power(name: str, power: float) -> str:
    return name if power == 1 else f"{name}^{power:g}"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: value times ``factor`` plus ``offset`` is SI.

    Fractions, so that "0.72 L/min", "12 mL/s" and "43.2 L/h" become the same float.
    """

    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)

    def __mul__(self, other: Unit) -> Unit:
        # An offset means something only for a unit that stands alone: in a product degC is K.
        return Unit(self.dimension * other.dimension, self.factor * other.factor)

    def __pow__(self, exponent: float) -> Unit:
        if exponent == 1:
            return self
        if exponent == int(exponent):
            return Unit(self.dimension**exponent, self.factor ** int(exponent))
        return Unit(self.dimension**exponent, _half_power(self.factor, round(2 * exponent)))


def _half_power(factor: Fraction, halves: int) -> Fraction:
    top, bottom = math.isqrt(factor.numerator), math.isqrt(factor.denominator)
    exact = top * top == factor.numerator and bottom * bottom == factor.denominator
    root = Fraction(top, bottom) if exact else Fraction(math.sqrt(factor))
    return root**halves


PLAIN = Unit(Dimension(), Fraction(1))
