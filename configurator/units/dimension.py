"""Physical dimensions, units as a dimension with an exact factor to SI, and kinds of quantity.

Turns and plane angles are kept as dimensions of their own. Most unit software calls both
dimensionless, so that "60 rpm" silently becomes 6.28 1/s: here a speed of rotation, an angular
rate and a shear rate are three things, and a kind says which of them it takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from configurator.units.interval import Interval


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


@dataclass(frozen=True, slots=True)
class Kind:
    """What a field holds."""

    name: str
    """Plain words, such as "pressure"."""
    unit: str
    """SI unit of low, nominal and high, such as "Pa"."""
    example: str
    """Something that is accepted, such as "6 bar"."""
    dimension: Dimension
    """Physical dimension of ``unit``."""
    units: tuple[str, ...]
    """Units of the trade, the usual one first; others of the same dimension are accepted too."""
    positive: bool = False
    nonnegative: bool = False
    """Whether zero, or only what lies below it, is impossible."""
    minimum: float | None = None
    maximum: float | None = None
    """Further bounds in SI, ends included. The maxima are generous and catch slips such as M for m
    (common practice, no source)."""
    bounds: str = ""
    """The bounds in words, for a message."""
    also: tuple[tuple[Dimension, Fraction], ...] = ()
    """Further dimensions that mean the same here, each with its factor."""
    bare: bool = False
    """Whether a number without a unit is right."""
    whole: bool = False
    """Whether only whole numbers are right."""
    absolute: bool = False
    """Whether the unit's zero point counts (a temperature, not a difference)."""
    per_cent: bool = False
    """Whether per cent is the unit itself, so that "+/- 2 %" would have two meanings."""

    def __hash__(self) -> int:
        # Of all fields it would cost as much as to look a parsed text up by it.
        return hash(self.name)

    @property
    def a_name(self) -> str:
        """The name with its article: "a pressure", "an angle"."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    @property
    def accepted(self) -> str:
        """What a field of this kind accepts, in words with an example."""
        with_unit = "" if self.bare else " with its unit"
        bounds = f", {self.bounds_in_words}" if self.bounds_in_words else ""
        return f'{self.a_name}{with_unit}, for example "{self.example}"{bounds}'

    @property
    def bounds_in_words(self) -> str:
        """The bounds as words, empty when there are none."""
        if self.bounds:
            return self.bounds
        words = []
        if self.positive:
            words.append("above zero")
        elif self.nonnegative:
            words.append("not below zero")
        elif self.minimum is not None:
            words.append(f"at least {self.minimum:g} {self.unit}")
        if self.maximum is not None:
            words.append(f"at most {self.maximum:g} {self.unit}")
        return " and ".join(words)

    def allows(self, interval: Interval) -> bool:
        """Whether the whole interval lies within the bounds of the kind."""
        low, high = interval.low, interval.high
        if self.positive and not low > 0:
            return False
        if self.nonnegative and not low >= 0:
            return False
        if self.minimum is not None and low < self.minimum:
            return False
        if self.whole and not (low.is_integer() and high.is_integer()):
            return False
        return self.maximum is None or high <= self.maximum
