"""What models of files are made of: their base, and a type for each kind of quantity."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from configurator.errors import described
from configurator.units import kinds
from configurator.units.quantity import Of, Quantity


class Frozen(BaseModel):
    """A model that refuses unknown keys and never changes."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def _whole(value: object) -> object:
    """Python takes true and 1.0 for 1; in a file they are slips, as is a 1 in quotes."""
    if isinstance(value, str):
        return f'"{value}"'
    return described(value) if isinstance(value, bool | float) else value


SchemaVersion = Annotated[Literal[1], BeforeValidator(_whole), Field(alias="schema")]
"""`schema = 1` at the top of a file."""


Acceleration = Annotated[Quantity, Of(kinds.ACCELERATION)]
Angle = Annotated[Quantity, Of(kinds.ANGLE)]
Area = Annotated[Quantity, Of(kinds.AREA)]
Consistency = Annotated[Quantity, Of(kinds.CONSISTENCY)]
Count = Annotated[Quantity, Of(kinds.COUNT)]
Density = Annotated[Quantity, Of(kinds.DENSITY)]
Displacement = Annotated[Quantity, Of(kinds.DISPLACEMENT)]
EnergyPerMole = Annotated[Quantity, Of(kinds.ENERGY_PER_MOLE)]
Expansion = Annotated[Quantity, Of(kinds.EXPANSION)]
FlowIndex = Annotated[Quantity, Of(kinds.FLOW_INDEX)]
Fraction = Annotated[Quantity, Of(kinds.FRACTION)]
HardnessMohs = Annotated[Quantity, Of(kinds.HARDNESS_MOHS)]
HardnessVickers = Annotated[Quantity, Of(kinds.HARDNESS_HV)]
Length = Annotated[Quantity, Of(kinds.LENGTH)]
Mass = Annotated[Quantity, Of(kinds.MASS)]
Modulus = Annotated[Quantity, Of(kinds.MODULUS)]
Moment = Annotated[Quantity, Of(kinds.MOMENT)]
Number = Annotated[Quantity, Of(kinds.NUMBER)]
Pressure = Annotated[Quantity, Of(kinds.PRESSURE)]
RelativeChange = Annotated[Quantity, Of(kinds.RELATIVE_CHANGE)]
Rotation = Annotated[Quantity, Of(kinds.ROTATION)]
ShearRate = Annotated[Quantity, Of(kinds.SHEAR_RATE)]
SolubilityParameter = Annotated[Quantity, Of(kinds.SOLUBILITY_PARAMETER)]
Speed = Annotated[Quantity, Of(kinds.SPEED)]
Stress = Annotated[Quantity, Of(kinds.STRESS)]
SurfaceTension = Annotated[Quantity, Of(kinds.SURFACE_TENSION)]
Temperature = Annotated[Quantity, Of(kinds.TEMPERATURE)]
TemperatureDifference = Annotated[Quantity, Of(kinds.TEMPERATURE_DIFFERENCE)]
Time = Annotated[Quantity, Of(kinds.TIME)]
Torque = Annotated[Quantity, Of(kinds.TORQUE)]
Viscosity = Annotated[Quantity, Of(kinds.VISCOSITY)]
Volume = Annotated[Quantity, Of(kinds.VOLUME)]
VolumeFlow = Annotated[Quantity, Of(kinds.VOLUME_FLOW)]
