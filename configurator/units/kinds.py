"""The kinds of quantity a file may hold."""

from __future__ import annotations

from fractions import Fraction

from configurator.units.dimension import Dimension
from configurator.units.kind import Kind as Kind  # noqa: PLC0414 - beside its constants
from configurator.units.spellings import TURN_IN_RADIANS


def _dimension(**powers: float) -> Dimension:
    return Dimension.of(**powers)


_PER_TIME = _dimension(time=-1)
_PASCAL = _dimension(mass=1, length=-1, time=-2)
_JOULE = _dimension(mass=1, length=2, time=-2)
_CUBIC_METRE = _dimension(length=3)
_PRESSURE_UNITS = ("bar", "mbar", "Pa", "kPa", "MPa", "psi")

PRESSURE = Kind("pressure", "Pa", "6 bar", _PASCAL, _PRESSURE_UNITS, nonnegative=True, maximum=1e9)
STRESS = Kind("stress", "Pa", "120 Pa", _PASCAL, ("Pa", "kPa", "MPa"), nonnegative=True)
MODULUS = Kind("modulus", "Pa", "8 MPa", _PASCAL, ("MPa", "GPa", "kPa", "Pa"), positive=True)
LENGTH = Kind(
    "length",
    "m",
    "1.2 mm",
    _dimension(length=1),
    ("mm", "um", "cm", "m", "in", "thou"),
    positive=True,
    maximum=1000.0,
)
AREA = Kind("area", "m^2", "40 cm^2", _dimension(length=2), ("cm^2", "mm^2", "m^2"), positive=True)
VOLUME = Kind(
    "volume",
    "m^3",
    "2.5 mL",
    _CUBIC_METRE,
    ("mL", "uL", "L", "cc", "mm^3", "cm^3", "m^3"),
    positive=True,
    maximum=100.0,
)
VOLUME_FLOW = Kind(
    "volume flow",
    "m^3/s",
    "12 mL/min",
    _dimension(length=3, time=-1),
    ("mL/min", "uL/min", "L/min", "mL/s", "uL/s", "L/h", "m^3/s"),
    positive=True,
    maximum=1.0,
)
DISPLACEMENT = Kind(
    "displacement",
    "m^3/rev",
    "0.8 mL/rev",
    _dimension(length=3, turn=-1),
    ("mL/rev", "uL/rev", "L/rev"),
    positive=True,
    maximum=1.0,
    also=((_CUBIC_METRE, Fraction(1)),),
)
MASS = Kind(
    "mass",
    "kg",
    "1.4 kg",
    _dimension(mass=1),
    ("kg", "g", "mg", "lb"),
    positive=True,
    maximum=1e6,
)
MASS_FLOW = Kind(
    "mass flow",
    "kg/s",
    "15 g/min",
    _dimension(mass=1, time=-1),
    ("g/min", "g/s", "kg/h"),
    positive=True,
)
DENSITY = Kind(
    "density",
    "kg/m^3",
    "1.45 g/cm^3",
    _dimension(mass=1, length=-3),
    ("g/cm^3", "kg/m^3", "kg/L", "g/mL"),
    positive=True,
    maximum=30000.0,
)
VISCOSITY = Kind(
    "viscosity",
    "Pa*s",
    "20 Pa*s",
    _dimension(mass=1, length=-1, time=-1),
    ("Pa*s", "mPa*s", "cP"),
    positive=True,
    maximum=1e7,
)
KINEMATIC_VISCOSITY = Kind(
    "kinematic viscosity",
    "m^2/s",
    "40 cSt",
    _dimension(length=2, time=-1),
    ("cSt", "mm^2/s", "m^2/s"),
    positive=True,
)
CONSISTENCY = Kind(
    "consistency",
    "Pa*s^n",
    "160 Pa*s^n",
    _PASCAL * Dimension.base("time^n"),
    ("Pa*s^n", "mPa*s^n"),
    positive=True,
    maximum=1e7,
)
SHEAR_RATE = Kind("shear rate", "1/s", "10 1/s", _PER_TIME, ("1/s", "1/min"), positive=True)
TIME = Kind("time", "s", "30 s", _dimension(time=1), ("s", "min", "h", "ms", "d"), nonnegative=True)
TEMPERATURE = Kind(
    "temperature",
    "K",
    "23 degC",
    _dimension(temperature=1),
    ("degC", "K", "degF"),
    positive=True,
    maximum=2000.0,
    bounds="above absolute zero and at most 2000 K",
    absolute=True,
)
TEMPERATURE_DIFFERENCE = Kind(
    "temperature difference", "K", "5 K", _dimension(temperature=1), ("K", "degC", "degF")
)
SPEED = Kind(
    "speed",
    "m/s",
    "150 mm/s",
    _dimension(length=1, time=-1),
    ("mm/s", "m/s", "mm/min", "m/min"),
    positive=True,
)
ACCELERATION = Kind(
    "acceleration",
    "m/s^2",
    "2 m/s^2",
    _dimension(length=1, time=-2),
    ("m/s^2", "mm/s^2"),
    positive=True,
)
ROTATION = Kind(
    "speed of rotation",
    "rev/s",
    "120 rpm",
    _dimension(turn=1, time=-1),
    ("rpm", "rev/s", "1/s"),
    nonnegative=True,
    also=((_PER_TIME, Fraction(1)), (_dimension(angle=1, time=-1), 1 / TURN_IN_RADIANS)),
)
ANGLE = Kind(
    "angle",
    "rad",
    "30 deg",
    _dimension(angle=1),
    ("deg", "rad", "arcmin", "rev"),
    nonnegative=True,
    also=((_dimension(turn=1), TURN_IN_RADIANS),),
)
FORCE = Kind(
    "force",
    "N",
    "40 N",
    _dimension(mass=1, length=1, time=-2),
    ("N", "kN", "lbf"),
    nonnegative=True,
)
TORQUE = Kind("torque", "N*m", "1.5 N*m", _JOULE, ("N*m", "N*cm", "mN*m"), nonnegative=True)
MOMENT = Kind("moment", "N*m", "6 N*m", _JOULE, ("N*m", "N*cm"), nonnegative=True)
POWER = Kind(
    "power", "W", "90 W", _dimension(mass=1, length=2, time=-3), ("W", "kW"), nonnegative=True
)
FRACTION = Kind(
    "fraction",
    "1",
    "4 %",
    Dimension(),
    ("%", "ppm"),
    minimum=0.0,
    maximum=1.0,
    bounds="from 0 % to 100 %",
    per_cent=True,
)
RELATIVE_CHANGE = Kind(
    "relative change",
    "1",
    "12 %",
    Dimension(),
    ("%", "ppm"),
    minimum=-1.0,
    bounds="not below -100 %",
    per_cent=True,
)
COUNT = Kind(
    "count",
    "1",
    "3",
    Dimension(),
    (),
    nonnegative=True,
    maximum=1e15,
    bounds="a whole number",
    bare=True,
    whole=True,
)
NUMBER = Kind("number", "1", "0.45", Dimension(), (), bare=True)
FLOW_INDEX = Kind(
    "flow index",
    "1",
    "0.45",
    Dimension(),
    (),
    positive=True,
    maximum=3.0,
    bounds="above zero and at most 3",
    bare=True,
)
HARDNESS_HV = Kind(
    "Vickers hardness",
    "HV",
    "900 HV",
    Dimension.base("Vickers hardness"),
    ("HV",),
    positive=True,
    maximum=12000.0,
)
HARDNESS_MOHS = Kind(
    "Mohs hardness",
    "Mohs",
    "7 Mohs",
    Dimension.base("Mohs hardness"),
    ("Mohs",),
    positive=True,
    maximum=10.0,
)
ENERGY_PER_MOLE = Kind(
    "energy per mole",
    "J/mol",
    "55 kJ/mol",
    _JOULE * _dimension(amount=-1),
    ("kJ/mol", "J/mol"),
    nonnegative=True,
)
MOLAR_VOLUME = Kind(
    "molar volume",
    "m^3/mol",
    "90 cm^3/mol",
    _dimension(length=3, amount=-1),
    ("cm^3/mol",),
    positive=True,
)
SOLUBILITY_PARAMETER = Kind(
    "solubility parameter", "Pa^0.5", "18.2 MPa^0.5", _PASCAL**0.5, ("MPa^0.5",), nonnegative=True
)
EXPANSION = Kind(
    "thermal expansion",
    "1/K",
    "2e-4 1/K",
    _dimension(temperature=-1),
    ("1/K", "ppm/K"),
    nonnegative=True,
)

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
