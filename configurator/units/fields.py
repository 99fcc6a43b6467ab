"""Annotated field types: what a model writes so that a key takes one kind of quantity."""

from __future__ import annotations

from typing import Annotated

from configurator.units import kinds
from configurator.units.quantity import Of, Quantity

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
Rotation = Annotated[Quantity, Of(kinds.ROTATION)]
ShearRate = Annotated[Quantity, Of(kinds.SHEAR_RATE)]
SolubilityParameter = Annotated[Quantity, Of(kinds.SOLUBILITY_PARAMETER)]
Speed = Annotated[Quantity, Of(kinds.SPEED)]
Stress = Annotated[Quantity, Of(kinds.STRESS)]
Temperature = Annotated[Quantity, Of(kinds.TEMPERATURE)]
TemperatureDifference = Annotated[Quantity, Of(kinds.TEMPERATURE_DIFFERENCE)]
Time = Annotated[Quantity, Of(kinds.TIME)]
Torque = Annotated[Quantity, Of(kinds.TORQUE)]
Viscosity = Annotated[Quantity, Of(kinds.VISCOSITY)]
Volume = Annotated[Quantity, Of(kinds.VOLUME)]
VolumeFlow = Annotated[Quantity, Of(kinds.VOLUME_FLOW)]
