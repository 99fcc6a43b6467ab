"""The unit spellings of the trade, each with its dimension and exact factor to SI.

Only single names stand here; ``grammar`` builds "mL/min" from "mL" and "min". The third column
is what the pint registry calls the unit, so that a test can hold every row against pint; it is
empty for the scales that pint does not know. Factors follow from the definitions in the
International System of Units and the international yard and pound; pint agrees with each of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from configurator.units.dimension import Dimension, Unit

_LENGTH = Dimension.of(length=1)
_AREA = Dimension.of(length=2)
_VOLUME = Dimension.of(length=3)
_MASS = Dimension.of(mass=1)
_TIME = Dimension.of(time=1)
_TEMPERATURE = Dimension.of(temperature=1)
_AMOUNT = Dimension.of(amount=1)
_TURN = Dimension.of(turn=1)
_ANGLE = Dimension.of(angle=1)
_PRESSURE = Dimension.of(mass=1, length=-1, time=-2)
_VISCOSITY = Dimension.of(mass=1, length=-1, time=-1)
_KINEMATIC = Dimension.of(length=2, time=-1)
_FORCE = Dimension.of(mass=1, length=1, time=-2)
_ENERGY = Dimension.of(mass=1, length=2, time=-2)
_POWER = Dimension.of(mass=1, length=2, time=-3)
_FREQUENCY = Dimension.of(time=-1)
_ROTATION = Dimension.of(turn=1, time=-1)
_NUMBER = Dimension()

TURN_IN_RADIANS = Fraction(2 * math.pi)

_INCH = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_GALLON = 231 * _INCH**3
_POUND_FORCE = _POUND * _GRAVITY


@dataclass(frozen=True, slots=True)
class Spelling:
    """One way to write a unit."""

    unit: Unit
    pint: str | None


def _rows(
    dimension: Dimension, *rows: tuple[str, Fraction | str | int, str | None]
) -> dict[str, Spelling]:
    table: dict[str, Spelling] = {}
    for names, factor, pint in rows:
        unit = Unit(dimension, Fraction(factor))
        for name in names.split():
            table[name] = Spelling(unit, pint)
    return table


SPELLINGS: dict[str, Spelling] = {
    **_rows(
        _LENGTH,
        ("m metre meter", 1, "meter"),
        ("dm", "1e-1", "decimeter"),
        ("cm", "1e-2", "centimeter"),
        ("mm", "1e-3", "millimeter"),
        ("um micron microns", "1e-6", "micrometer"),
        ("nm", "1e-9", "nanometer"),
        ("km", 1000, "kilometer"),
        ("in inch inches", _INCH, "inch"),
        ("ft", 12 * _INCH, "foot"),
        ("thou", _INCH / 1000, "thou"),
    ),
    **_rows(
        _AREA,
        ("sqmm", "1e-6", "millimeter**2"),
        ("sqcm", "1e-4", "centimeter**2"),
    ),
    **_rows(
        _VOLUME,
        ("L l litre litres liter liters", "1e-3", "liter"),
        ("dL dl", "1e-4", "deciliter"),
        ("cL cl", "1e-5", "centiliter"),
        ("mL ml cc ccm", "1e-6", "milliliter"),
        ("uL ul", "1e-9", "microliter"),
        ("nL nl", "1e-12", "nanoliter"),
        ("gal", _GALLON, "gallon"),
        ("floz", _GALLON / 128, "fluid_ounce"),
    ),
    **_rows(
        _MASS,
        ("kg", 1, "kilogram"),
        ("g", "1e-3", "gram"),
        ("mg", "1e-6", "milligram"),
        ("ug", "1e-9", "microgram"),
        ("t tonne tonnes", 1000, "metric_ton"),
        ("lb lbs", _POUND, "pound"),
        ("oz", _POUND / 16, "ounce"),
    ),
    **_rows(
        _TIME,
        ("s sec second seconds", 1, "second"),
        ("ms", "1e-3", "millisecond"),
        ("us", "1e-6", "microsecond"),
        ("min minute minutes", 60, "minute"),
        ("h hr hour hours", 3600, "hour"),
        ("d day days", 86400, "day"),
        ("week weeks", 604800, "week"),
    ),
    **_rows(
        _TEMPERATURE,
        ("K", 1, "kelvin"),
        ("delta_degC", 1, "delta_degree_Celsius"),
        ("delta_degF", Fraction(5, 9), "delta_degree_Fahrenheit"),
    ),
    "degC": Spelling(Unit(_TEMPERATURE, Fraction(1), Fraction("273.15")), "degree_Celsius"),
    "degF": Spelling(
        Unit(_TEMPERATURE, Fraction(5, 9), Fraction("459.67") * Fraction(5, 9)),
        "degree_Fahrenheit",
    ),
    **_rows(_AMOUNT, ("mol", 1, "mole"), ("mmol", "1e-3", "millimole"), ("kmol", 1000, "kilomole")),
    **_rows(_TURN, ("rev revs turn turns revolution revolutions", 1, "revolution")),
    **_rows(
        _ANGLE,
        ("rad", 1, "radian"),
        ("mrad", "1e-3", "milliradian"),
        ("deg", TURN_IN_RADIANS / 360, "degree"),
        ("arcmin", TURN_IN_RADIANS / 21600, "arcminute"),
        ("arcsec", TURN_IN_RADIANS / 1296000, "arcsecond"),
    ),
    **_rows(
        _PRESSURE,
        ("Pa", 1, "pascal"),
        # Mostly a piece of "mPa*s"; the bounds of a kind catch M written for m.
        ("mPa", "1e-3", "millipascal"),
        ("hPa", 100, "hectopascal"),
        ("kPa", 1000, "kilopascal"),
        ("MPa", 1000000, "megapascal"),
        ("GPa", 10**9, "gigapascal"),
        ("bar", 100000, "bar"),
        ("mbar", 100, "millibar"),
        ("psi", _POUND_FORCE / _INCH**2, "psi"),
        ("atm", 101325, "atm"),
    ),
    **_rows(_VISCOSITY, ("P poise", "1e-1", "poise"), ("cP cps", "1e-3", "centipoise")),
    **_rows(_KINEMATIC, ("St", "1e-4", "stokes"), ("cSt", "1e-6", "centistokes")),
    **_rows(
        _FORCE,
        ("N", 1, "newton"),
        ("mN", "1e-3", "millinewton"),
        ("kN", 1000, "kilonewton"),
        ("kgf", _GRAVITY, "kilogram_force"),
        ("lbf", _POUND_FORCE, "pound_force"),
    ),
    **_rows(
        _ENERGY,
        ("Nm", 1, "newton*meter"),
        ("mNm", "1e-3", "millinewton*meter"),
        ("Ncm", "1e-2", "newton*centimeter"),
        ("J", 1, "joule"),
        ("kJ", 1000, "kilojoule"),
        ("kWh", 3600000, "kilowatt_hour"),
        ("cal", "4.184", "calorie"),
        ("kcal", 4184, "kilocalorie"),
    ),
    **_rows(
        _POWER,
        ("W", 1, "watt"),
        ("mW", "1e-3", "milliwatt"),
        ("kW", 1000, "kilowatt"),
    ),
    **_rows(_FREQUENCY, ("Hz", 1, "hertz"), ("kHz", 1000, "kilohertz")),
    **_rows(_ROTATION, ("rpm", Fraction(1, 60), "rpm"), ("rps", 1, "revolutions_per_second")),
    **_rows(_NUMBER, ("%", "1e-2", "percent"), ("ppm", "1e-6", "ppm")),
    # Scales without a place in the SI.
    **_rows(Dimension.base("Vickers hardness"), ("HV", 1, None)),
    **_rows(Dimension.base("Mohs hardness"), ("Mohs mohs", 1, None)),
}

TIME_TO_FLOW_INDEX = Unit(Dimension.base("time^n"), Fraction(1))
"""The "s^n" of a power-law coefficient, whose exponent is the material's own flow index."""

REFUSED: dict[str, str] = {
    "mil": "mil can be a length or an angle: write thou or um",
    "mils": "mil can be a length or an angle: write thou or um",
    "gauge": "a gauge alone is not a bore, wall classes differ: write the bore, such as 0.84 mm",
    "gage": "a gauge alone is not a bore, wall classes differ: write the bore, such as 0.84 mm",
    "ga": "a gauge alone is not a bore, wall classes differ: write the bore, such as 0.84 mm",
    "G": "a gauge alone is not a bore, wall classes differ: write the bore, such as 0.84 mm",
    "Ga": "a gauge alone is not a bore, wall classes differ: write the bore, such as 0.84 mm",
    "C": "write degC",
    "F": "write degF",
    "degK": "write K",
    "barg": "write bar; all pressures are above ambient",
    "bara": "write bar, and subtract the ambient pressure first",
    "psig": "write psi; all pressures are above ambient",
    "psia": "write psi, and subtract the ambient pressure first",
    "vol%": "write %; whether it is by volume or by mass is said by the field",
    "wt%": "write %; whether it is by volume or by mass is said by the field",
    "ton": "ton has several meanings: write t or kg",
    "tons": "ton has several meanings: write t or kg",
    "HRC": "hardness scales do not convert exactly: write the Vickers hardness, such as 900 HV",
    "Mg": "write mg or t",
    "ML": "write mL",
    "Ml": "write mL",
}

MISSPELT: dict[str, str] = {
    "Pas": "Pa*s",
    "pas": "Pa*s",
    "PAS": "Pa*s",
    "PaS": "Pa*s",
    "Pa-s": "Pa*s",
    "mPas": "mPa*s",
    "mpas": "mPa*s",
    "mPaS": "mPa*s",
    "mPa-s": "mPa*s",
    "kPas": "kPa*s",
}
"""Units run together or joined by a dash, as they are typed, and how they are spelt. Some of them
would read as another unit: Pas as several Pa."""
