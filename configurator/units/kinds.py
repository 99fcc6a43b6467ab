"""The kinds of quantity a file may hold."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from configurator.units.dimension import Dimension
from configurator.units.dimension import Kind as Kind  # noqa: PLC0414 - beside its constants
from configurator.units.grammar import read_unit
from configurator.units.spellings import TURN_IN_RADIANS


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
