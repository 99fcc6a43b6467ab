"""Physical dimensions, units with an exact factor to SI, and the kinds of quantity a file may hold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Self

from configurator.units.grammar import read_unit
from configurator.units.interval import Interval
from configurator.units.spellings import TURN_IN_RADIANS


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


def _kind(
    name: str,
    unit: str,
    example: str,
    units: str,
    *,
    also: Mapping[str, Fraction | int] | None = None,
    **bounds: Any,
) -> Kind:
    """A kind by its SI unit, with units of the trade, and units that mean the same by a factor."""
    same = tuple((_dimension(each), Fraction(factor)) for each, factor in (also or {}).items())
    return Kind(name, unit, example, _dimension(unit), tuple(units.split()), also=same, **bounds)


def _dimension(unit: str) -> Dimension:
    return Dimension() if unit == "1" else read_unit(unit, lambda _: None).dimension


PRESSURE = _kind(
    "pressure", "Pa", "6 bar", "bar mbar Pa kPa MPa psi", nonnegative=True, maximum=1e9
)
STRESS = _kind("stress", "Pa", "120 Pa", "Pa kPa MPa", nonnegative=True)
MODULUS = _kind("modulus", "Pa", "8 MPa", "MPa GPa kPa Pa", positive=True)
LENGTH = _kind("length", "m", "1.2 mm", "mm um cm m in thou", positive=True, maximum=1000.0)
AREA = _kind("area", "m^2", "40 cm^2", "cm^2 mm^2 m^2", positive=True)
VOLUME = _kind("volume", "m^3", "2.5 mL", "mL uL L cc mm^3 cm^3 m^3", positive=True, maximum=100.0)
VOLUME_FLOW = _kind(
    "volume flow",
    "m^3/s",
    "12 mL/min",
    "mL/min uL/min L/min mL/s uL/s L/h m^3/s",
    positive=True,
    maximum=1.0,
)
DISPLACEMENT = _kind(
    "displacement",
    "m^3/rev",
    "0.8 mL/rev",
    "mL/rev uL/rev L/rev",
    positive=True,
    maximum=1.0,
    also={"m^3": 1},
)
MASS = _kind("mass", "kg", "1.4 kg", "kg g mg lb", positive=True, maximum=1e6)
MASS_FLOW = _kind("mass flow", "kg/s", "15 g/min", "g/min g/s kg/h", positive=True)
DENSITY = _kind(
    "density", "kg/m^3", "1.45 g/cm^3", "g/cm^3 kg/m^3 kg/L g/mL", positive=True, maximum=30000.0
)
VISCOSITY = _kind("viscosity", "Pa*s", "20 Pa*s", "Pa*s mPa*s cP", positive=True, maximum=1e7)
KINEMATIC_VISCOSITY = _kind(
    "kinematic viscosity", "m^2/s", "40 cSt", "cSt mm^2/s m^2/s", positive=True
)
CONSISTENCY = _kind(
    "consistency", "Pa*s^n", "160 Pa*s^n", "Pa*s^n mPa*s^n", positive=True, maximum=1e7
)
SHEAR_RATE = _kind("shear rate", "1/s", "10 1/s", "1/s 1/min", positive=True)
TIME = _kind("time", "s", "30 s", "s min h ms d", nonnegative=True)
TEMPERATURE = _kind(
    "temperature",
    "K",
    "23 degC",
    "degC K degF",
    positive=True,
    maximum=2000.0,
    bounds="above absolute zero and at most 2000 K",
    absolute=True,
)
TEMPERATURE_DIFFERENCE = _kind("temperature difference", "K", "5 K", "K degC degF")
SPEED = _kind("speed", "m/s", "150 mm/s", "mm/s m/s mm/min m/min", positive=True)
ACCELERATION = _kind("acceleration", "m/s^2", "2 m/s^2", "m/s^2 mm/s^2", positive=True)
ROTATION = _kind(
    "speed of rotation",
    "rev/s",
    "120 rpm",
    "rpm rev/s 1/s",
    nonnegative=True,
    also={"1/s": 1, "rad/s": 1 / TURN_IN_RADIANS},
)
ANGLE = _kind(
    "angle", "rad", "30 deg", "deg rad arcmin rev", nonnegative=True, also={"rev": TURN_IN_RADIANS}
)
SURFACE_TENSION = _kind("surface tension", "N/m", "35 mN/m", "mN/m N/m", positive=True, maximum=1.0)
FORCE = _kind("force", "N", "40 N", "N kN lbf", nonnegative=True)
TORQUE = _kind("torque", "N*m", "1.5 N*m", "N*m N*cm mN*m", nonnegative=True)
MOMENT = _kind("moment", "N*m", "6 N*m", "N*m N*cm", nonnegative=True)
POWER = _kind("power", "W", "90 W", "W kW", nonnegative=True)
FRACTION = _kind(
    "fraction",
    "1",
    "4 %",
    "% ppm",
    minimum=0.0,
    maximum=1.0,
    bounds="from 0 % to 100 %",
    per_cent=True,
)
RELATIVE_CHANGE = _kind(
    "relative change", "1", "12 %", "% ppm", minimum=-1.0, bounds="not below -100 %", per_cent=True
)
COUNT = _kind(
    "count",
    "1",
    "3",
    "",
    nonnegative=True,
    maximum=1e15,
    bounds="a whole number",
    bare=True,
    whole=True,
)
NUMBER = _kind("number", "1", "0.45", "", bare=True)
FLOW_INDEX = _kind(
    "flow index",
    "1",
    "0.45",
    "",
    positive=True,
    maximum=3.0,
    bounds="above zero and at most 3",
    bare=True,
)
HARDNESS_HV = _kind("Vickers hardness", "HV", "900 HV", "HV", positive=True, maximum=12000.0)
HARDNESS_MOHS = _kind("Mohs hardness", "Mohs", "7 Mohs", "Mohs", positive=True, maximum=10.0)
ENERGY_PER_MOLE = _kind("energy per mole", "J/mol", "55 kJ/mol", "kJ/mol J/mol", nonnegative=True)
MOLAR_VOLUME = _kind("molar volume", "m^3/mol", "90 cm^3/mol", "cm^3/mol", positive=True)
SOLUBILITY_PARAMETER = _kind(
    "solubility parameter", "Pa^0.5", "18.2 MPa^0.5", "MPa^0.5", nonnegative=True
)
EXPANSION = _kind("thermal expansion", "1/K", "2e-4 1/K", "1/K ppm/K", nonnegative=True)

KINDS: tuple[Kind, ...] = tuple(value for value in globals().values() if isinstance(value, Kind))
"""Every kind, in the order of this file."""


def dimension_in_words(dimension: Dimension) -> str:
    """Return the plain name of a dimension, or its powers when it has no name here.

    Examples
    --------
    >>> dimension_in_words(PRESSURE.dimension)
    'a pressure'
    >>> dimension_in_words(Dimension.of(length=4))
    'length^4'
    """
    if not dimension.powers:
        return str(dimension)
    names = (kind.a_name for kind in KINDS if kind.dimension == dimension)
    return next(names, str(dimension))
