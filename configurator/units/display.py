"""SI to the units of the trade, with three significant figures and no exponents."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache

from configurator.units.dimension import Kind, Unit
from configurator.units.grammar import UnreadableError, read_unit
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity

UNKNOWN = "unknown"

# Beyond these an exponent is easier to read than a row of zeros.
_LONGEST = 1e9
_SHORTEST = 1e-6

_SPELLED = {"N*m": "N m", "N*cm": "N cm", "mN*m": "mN m"}

# From which magnitude in SI each unit is used, largest first; the last is the rest.
_SCALES: dict[str, tuple[tuple[float, str], ...]] = {
    "pressure": ((1e2, "bar"), (0.0, "Pa")),
    "stress": ((1e6, "MPa"), (1e4, "kPa"), (0.0, "Pa")),
    "modulus": ((1e9, "GPa"), (1e5, "MPa"), (0.0, "kPa")),
    "length": ((1.0, "m"), (1e-4, "mm"), (0.0, "um")),
    "distance": ((1.0, "m"), (1e-4, "mm"), (0.0, "um")),
    "area": ((1.0, "m^2"), (1e-4, "cm^2"), (0.0, "mm^2")),
    "volume": ((1e-3, "L"), (1e-7, "mL"), (0.0, "uL")),
    "volume flow": ((1e-3 / 60, "L/min"), (1e-7 / 60, "mL/min"), (0.0, "uL/min")),
    "mass": ((1.0, "kg"), (1e-3, "g"), (0.0, "mg")),
    "viscosity": ((1.0, "Pa*s"), (0.0, "mPa*s")),
    "time": ((86400.0 * 3, "d"), (7200.0, "h"), (180.0, "min"), (0.1, "s"), (0.0, "ms")),
    "power": ((1e3, "kW"), (0.0, "W")),
    "fraction": ((1e-4, "%"), (0.0, "ppm")),
    "relative change": ((1e-4, "%"), (0.0, "ppm")),
}


def round3(value: float) -> float:
    """Return a number rounded to three significant figures, never minus zero.

    Examples
    --------
    >>> round3(12345.0), round3(0.0012345)
    (12300.0, 0.00123)
    """
    if value == 0 or not math.isfinite(value):
        return value + 0.0
    rounded = float(f"{value:.2e}") + 0.0
    # Rounding up the very largest floats would leave their range.
    return rounded if math.isfinite(rounded) else value


def figures(value: float) -> str:
    """Return a number as text with three significant figures.

    Ordinary magnitudes have no exponent: "1250" is neither "1250.00" nor "1.25e+03".

    Examples
    --------
    >>> figures(12.345), figures(0.0260), figures(120.0), figures(-0.0)
    ('12.3', '0.026', '120', '0')
    >>> figures(float("nan"))
    'unknown'
    """
    if math.isnan(value):
        return UNKNOWN
    if math.isinf(value):
        return "beyond bounds" if value > 0 else "below bounds"
    rounded = round3(value)
    if rounded == 0:
        return "0"
    magnitude = abs(rounded)
    if not _SHORTEST <= magnitude < _LONGEST:
        return f"{rounded:.3g}"
    places = max(2 - math.floor(math.log10(magnitude)), 0)
    text = f"{rounded:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=256)
def _unit(text: str) -> Unit:
    return read_unit(text, lambda _: None)  # a display unit never needs pint


def in_unit(value_si: float, unit: str) -> float:
    """Return an SI value, turns for rotation and radians for angles, in a unit of the trade.

    Raises
    ------
    ValueError
        If the unit is not in the table: a slip of the program, never of a user.

    Examples
    --------
    >>> in_unit(296.15, "degC"), in_unit(2.0, "rpm")
    (23.0, 120.0)
    """
    if not math.isfinite(value_si):
        return value_si
    try:
        found = _unit(unit)
    except UnreadableError as error:
        raise ValueError(f"{unit!r} is not in the table of units: {error}") from None
    # A binary 296.15 is not 29615/100: its shortest decimal is what was meant.
    converted = (Fraction(repr(value_si)) - found.offset) / found.factor
    try:
        return float(converted)
    except OverflowError:
        return math.copysign(math.inf, value_si)


@lru_cache(maxsize=8192)
def show(value_si: float, unit: str) -> str:
    """Return an SI value as text in a unit of the trade; "" and "1" stand for a plain number.

    Examples
    --------
    >>> show(1.234e6, "bar"), show(-1e-30, "degC"), show(2.6e-8, "mL/rev")
    ('12.3 bar', '-273 degC', '0.026 mL/rev')
    >>> show(float("nan"), "bar")
    'unknown'
    """
    value = value_si if unit in ("", "1") else in_unit(value_si, unit)
    if unit in ("", "1") or not math.isfinite(value):
        return figures(value)
    return f"{figures(value)} {_SPELLED.get(unit, unit)}"


def unit_for(kind: Kind, value_si: float) -> str:
    """Return the unit of the trade that suits a value of a kind; empty for plain numbers."""
    scale = _SCALES.get(kind.name)
    if scale is None:
        return kind.units[0] if kind.units else ""
    # Exactly zero tells nothing about the scale: the usual unit of the kind.
    if value_si == 0 or not math.isfinite(value_si):
        return kind.units[0]
    magnitude = abs(value_si) * (1 + 1e-12)
    return next(unit for least, unit in scale if magnitude >= least)


def show_value(value_si: float, kind: Kind) -> str:
    """Return an SI value of a kind in the unit that suits it.

    Examples
    --------
    >>> from configurator.units.kinds import LENGTH, VOLUME_FLOW
    >>> show_value(2e-7, VOLUME_FLOW), show_value(2e-11, VOLUME_FLOW)
    ('12 mL/min', '1.2 uL/min')
    """
    return show(value_si, unit_for(kind, value_si))


def show_interval(interval: Interval, kind: Kind, unit: str | None = None) -> str:
    """Return an interval as text, one number if its ends look the same.

    It is shown in the unit that suits its high end, if none is given.

    Examples
    --------
    >>> from configurator.units.kinds import TEMPERATURE
    >>> show_interval(Interval.of(291.15, 301.15), TEMPERATURE)
    '18 to 28 degC'
    """
    return _both_ends(interval, kind, unit, figures)


def _both_ends(
    interval: Interval, kind: Kind, unit: str | None, written: Callable[[float], str]
) -> str:
    if unit is None:
        unit = unit_for(kind, max(interval.low, interval.high, key=abs))
    plain = unit in ("", "1")
    ends = (interval.low, interval.high)
    low, high = (written(end if plain else in_unit(end, unit)) for end in ends)
    suffix = "" if plain else f" {_SPELLED.get(unit, unit)}"
    return f"{high}{suffix}" if low == high else f"{low} to {high}{suffix}"


def show_quantity(quantity: Quantity) -> str:
    """Return a quantity as text: its range in trade units, and its basis.

    Examples
    --------
    >>> from configurator.units.interval import Basis
    >>> from configurator.units.kinds import PRESSURE
    >>> from configurator.units.quantity import read_quantity
    >>> show_quantity(read_quantity("0.6 MPa", PRESSURE, Basis.DATASHEET))
    '6 bar (datasheet)'
    """
    return f"{show_interval(quantity.interval, quantity.kind)} ({quantity.basis.value})"


def text_for(interval: Interval, kind: Kind) -> str:
    """Return a text that ``parse`` reads back as the interval, within a rounding error.

    Six figures instead of three: for quantities that a program makes, such as an estimate,
    whose text must say the same as its bounds.

    Examples
    --------
    >>> from configurator.units.kinds import VISCOSITY
    >>> text_for(Interval(1.25, 1.5, 1.75), VISCOSITY)
    '1.25 to 1.75 Pa*s'
    """
    text = _both_ends(interval, kind, None, lambda value: f"{value:.6g}")
    return text.replace("N m", "N*m").replace("N cm", "N*cm")


def quantity_from(interval: Interval, kind: Kind, basis: Basis, note: str = "") -> Quantity:
    """Return a quantity that the program made, its text written from its bounds.

    Raises
    ------
    ValueError
        If the interval is out of the bounds of the kind: a slip of the program.

    Examples
    --------
    >>> from configurator.units.kinds import DENSITY
    >>> quantity_from(Interval.of(1000.0, 1400.0), DENSITY, Basis.ESTIMATED).text
    '1 to 1.4 g/cm^3'
    """
    if not kind.allows(interval):
        raise ValueError(f"{kind.a_name} must be {kind.bounds_in_words}, got {interval}")
    return Quantity(text_for(interval, kind), kind, interval, basis, note)


def spaced(number: int) -> str:
    """Return a count with its thousands apart.

    Examples
    --------
    >>> spaced(12960), spaced(48)
    ('12 960', '48')
    """
    return f"{number:,}".replace(",", " ")


def plural(number: int, word: str) -> str:
    """Return a count with its word.

    Examples
    --------
    >>> plural(1, "build"), plural(1200, "build")
    ('1 build', '1 200 builds')
    """
    return f"{spaced(number)} {word}" + ("" if number == 1 else "s")
