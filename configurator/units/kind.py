"""What a kind of quantity is: name, SI unit, example, bounds."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from configurator.units.dimension import Dimension
from configurator.units.interval import Interval


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
