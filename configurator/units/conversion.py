"""From the amounts of a text to an SI interval of one kind."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from configurator.units.dimension import Dimension, Kind, Unit
from configurator.units.grammar import Amount, Phrase, UnreadableError
from configurator.units.interval import Interval
from configurator.units.kinds import TEMPERATURE_DIFFERENCE, dimension_in_words

UnitOf = Callable[[str], Unit]
"""Finds the unit that a text names, or raises ``UnreadableError``."""

_CONVERSIONS = {
    (
        "viscosity",
        Dimension.of(length=2, time=-1),
    ): "a kinematic viscosity needs the density: write it in mPa*s",
    (
        "consistency",
        Dimension.of(mass=1, length=-1, time=-1),
    ): "write Pa*s^n, with the letter n",
}


def interval_of(phrase: Phrase, kind: Kind, unit_of: UnitOf) -> Interval:
    """Return the interval that a phrase stands for, in ``kind.unit``.

    Raises
    ------
    UnreadableError
        If a unit is missing, unknown or of another kind, or the range is reversed.
    """
    first = _si(phrase.first, kind, unit_of)
    if phrase.tolerance is not None:
        half = _half_width(phrase.tolerance, first, kind, unit_of)
        return Interval(float(first - half), float(first), float(first + half))
    if phrase.last is None:
        return Interval.exact(float(first))
    last = _si(phrase.last, kind, unit_of)
    if last < first:
        raise UnreadableError("the range is reversed: write the lower end first")
    middle = (first + last) / 2
    if kind.whole:
        # Half a piece is no piece; a range that is not whole is refused by the kind's bounds.
        middle = max(first, Fraction(middle // 1))
    return Interval(float(first), float(middle), float(last))


def _half_width(tolerance: Amount, nominal: Fraction, kind: Kind, unit_of: UnitOf) -> Fraction:
    if tolerance.number < 0:
        raise UnreadableError("a tolerance is not negative")
    if tolerance.unit == "%":
        if kind.per_cent or kind.absolute:
            raise UnreadableError(
                "a tolerance in % has two meanings here: write a range such as 2..5"
            )
        return abs(nominal) * tolerance.number / 100
    return _si(tolerance, TEMPERATURE_DIFFERENCE if kind.absolute else kind, unit_of)


def _si(amount: Amount, kind: Kind, unit_of: UnitOf) -> Fraction:
    if not amount.unit:
        if kind.bare:
            return amount.number
        raise UnreadableError(f'write a unit, for example "{kind.example}"')
    if kind.bare:
        raise UnreadableError(f"{kind.a_name} has no unit")
    unit = unit_of(amount.unit)
    if kind.absolute and unit.dimension == kind.dimension:
        return amount.number * unit.factor + unit.offset
    return amount.number * unit.factor * _factor(unit, kind, amount.unit)


def _factor(unit: Unit, kind: Kind, text: str) -> Fraction:
    """Return what carries the unit's own SI over to the kind's, mostly 1."""
    if unit.dimension == kind.dimension:
        return Fraction(1)
    for dimension, factor in kind.also:
        if unit.dimension == dimension:
            return factor
    reason = f"{text} is {dimension_in_words(unit.dimension)}, not {kind.a_name}"
    extra = _CONVERSIONS.get((kind.name, unit.dimension), "")
    raise UnreadableError(f"{reason}; {extra}" if extra else reason)
