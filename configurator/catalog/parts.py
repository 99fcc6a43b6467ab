"""The parts that a head is built from, one frozen model for each slot.

A part states its ratings as quantities with a unit and a basis. A part says which
sizes it fits; nothing here decides whether it suits a material.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from configurator.units.fields import (
    Angle,
    Count,
    Density,
    Displacement,
    Fraction,
    Frozen,
    HardnessVickers,
    Length,
    Mass,
    Number,
    Pressure,
    Rotation,
    Temperature,
    Time,
    Torque,
    Viscosity,
    Volume,
)
from configurator.units.path import value_at

LONGEST_NAME = 40

PAIR = 2
"""Of a part that both sides of a two-part head have."""

Name = Annotated[str, StringConstraints(pattern=rf"^[a-z0-9][a-z0-9.+-]{{0,{LONGEST_NAME - 1}}}$")]
"""A part's name: what people type after `--pick slot=`; lower case, no spaces."""

Title = Annotated[str, StringConstraints(min_length=1, max_length=120)]
Note = Annotated[str, StringConstraints(max_length=400)]
Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9 .+/-]{0,39}$")]
"""A wetted material's code, by ISO 1629 or ISO 1043-1 where one exists."""

FillerClass = Literal["clean", "mild", "hard", "very hard"]
ControlInterface = Literal["digital start/stop", "0-10 V", "step and direction", "fieldbus"]
Joint = Literal["luer lock", "threaded", "flanged"]


class Part(Frozen):
    """What every part states."""

    slot: ClassVar[str]
    name: Name
    title: Title
    note: Note = ""
    cost_index: Number
    order_text: Title | Literal[""] = ""
    """What the shop's own purchasing orders it by."""
    price: Annotated[str, StringConstraints(max_length=40)] = ""
    """As stated, with its currency: nothing is worked out from it."""
    delivery: Time | None = None
    """How long it takes to come; None where nobody states it."""
    stock: Count | None = None
    """How many lie on the shelf; None where nobody counts them."""

    @property
    def is_nothing(self) -> bool:
        """True of what is no part and is neither bought nor waited for, as no mixing device."""
        return False

    @property
    def last_one(self) -> str:
        """Its name if there are fewer than two, so that both sides cannot have one; else empty."""
        return self.name if self.stock is not None and self.stock.low < PAIR else ""


class FittedPart(Part):
    """A part that exists for some sizes only."""

    sizes: Annotated[tuple[Name, ...], Field(min_length=1)]


class Size(Part):
    """A head size: housing, shaft and the joints of its outlet end."""

    slot: ClassVar[str] = "size"
    dry_mass: Mass
    pressure_max: Pressure
    joints: Annotated[tuple[Joint, ...], Field(min_length=1)]


class RatedPoint(Frozen):
    """One delivery measured on a test fluid, from which slip is calibrated."""

    viscosity: Viscosity
    density: Density
    speed: Rotation
    pressure: Pressure
    efficiency: Fraction
    fluid: Literal["water", "oil", "own material"] = "water"


class Cavity(Part):
    """A rotor and stator geometry of one size: displacement, stages, slip and friction."""

    slot: ClassVar[str] = "cavity"
    size: Name
    eccentricity: Length
    rotor_diameter: Length
    pitch: Length
    displacement: Displacement
    stages: Count
    stage_pressure: Pressure
    stage_pressure_abrasive: Pressure
    stage_pressure_thin: Pressure
    friction_torque: Torque
    breakaway_factor: Number
    seal_width: Length
    seal_land: Length
    opening_pressure: Pressure
    rated_elastomer: RatedPoint
    rated_rigid: RatedPoint | None = None


class OutletSensor(Frozen):
    """A pressure sensor between rotor and tip; what it stands is in its body's `pressure_max`."""

    range: Pressure
    """Up to which it reads."""
    error: Pressure
    """What a reading may be off, either way."""
    volume: Volume
    """What it adds between rotor and tip."""
    materials: Annotated[tuple[Code, ...], Field(min_length=1)]
    joints: Annotated[tuple[Joint, ...], Field(min_length=1)]
    """Of the size's joints, those that the outlet end keeps with the sensor in it."""


class Body(FittedPart):
    """The wetted housing, with a pressure sensor at its outlet end or without."""

    slot: ClassVar[str] = "body"
    material: Code
    pressure_max: Pressure
    mass_share: Number
    """Mass of a head with this body, as a share of the size's dry mass."""
    sensor: OutletSensor | None = None


class Rotor(FittedPart):
    """The rotor, by its running surface."""

    slot: ClassVar[str] = "rotor"
    material: Code
    surface: Code
    hardness: HardnessVickers


class Stator(FittedPart):
    """The stator, by its lining material and how it seals."""

    slot: ClassVar[str] = "stator"
    material: Code
    kind: Literal["elastomer", "rigid"]
    pressure_factor: Number
    friction_factor: Number
    temperature_low: Temperature
    temperature_high: Temperature


class Seal(FittedPart):
    """The shaft seal between the feed chamber and the drive."""

    slot: ClassVar[str] = "seal"
    materials: Annotated[tuple[Code, ...], Field(min_length=1)]
    pressure_max: Pressure
    speed_max: Rotation
    temperature_low: Temperature
    temperature_high: Temperature
    filler_max: FillerClass
    keeps_moisture_out: bool


class Drive(FittedPart):
    """Motor, gear, encoder and control interface, all figures at the rotor."""

    slot: ClassVar[str] = "drive"
    torque_continuous: Torque
    torque_peak: Torque
    speed_min: Rotation
    speed_max: Rotation
    counts_per_turn: Count
    backlash: Angle
    mass: Mass
    control: Annotated[tuple[ControlInterface, ...], Field(min_length=1)]
    temperature_low: Temperature
    temperature_high: Temperature
    explosive_atmosphere: bool | None = None
    """True if rated for one; None if the maker states nothing."""


class Mixing(Part):
    """What joins two components: nothing, a static tube or a driven chamber."""

    slot: ClassVar[str] = "mixing"
    kind: Literal["none", "static", "chamber"]
    material: Code | None = None
    pressure_max: Pressure | None = None
    mass: Mass | None = None
    bore: Length | None = None
    elements: Count | None = None
    element_aspect: Number | None = None
    void_share: Fraction | None = None
    loss_factor: Number | None = None
    """Pressure loss as a multiple of the empty tube, laminar."""
    mixing_rate: Number | None = None
    """Laminar mixing rate: coefficient of variation falls by this per bore of length."""
    volume: Volume | None = None
    chamber_diameter: Length | None = None
    gap: Length | None = None
    speed_max: Rotation | None = None
    passes_light: bool = False
    joint: Joint | None = None
    """How it is fixed to the heads."""
    tip_joint: Joint | None = None
    """How a tip is fixed to it."""

    @property
    def is_nothing(self) -> bool:
        """True of no device at all."""
        return self.kind == "none"


class Outlet(Part):
    """A tip: needle, tapered tip or large nozzle."""

    slot: ClassVar[str] = "outlet"
    kind: Literal["needle", "taper", "nozzle"]
    bore: Length
    entry_bore: Length
    length: Length
    outside_diameter: Length
    material: Code
    joint: Joint
    pressure_max: Pressure
    mass: Mass
    passes_light: bool
    gauge: Count | None = None
    shut_off_pressure: Pressure | None = None
    """What its shut-off holds while the head stands; None where it has none."""


class Feed(FittedPart):
    """What brings the material to the head."""

    slot: ClassVar[str] = "feed"
    kind: Literal[
        "syringe", "cartridge", "dual cartridge", "pressure pot", "pail follower", "drum follower"
    ]
    materials: Annotated[tuple[Code, ...], Field(min_length=1)]
    pressure_max: Pressure
    viscosity_max: Viscosity
    viscosity_min: Viscosity | None = None
    """Below it a liquid runs past a follower plate; None where nothing can."""
    line_bore: Length
    line_length: Length
    capacity: Volume
    """Of a dual cartridge, what its larger chamber holds: it feeds the side that takes more."""
    second_capacity: Volume | None = None
    """What the smaller chamber holds; the two stand as their bores, as one stroke empties both."""
    heel: Fraction | None = None
    """Share of the capacity that stays behind at a change; shop practice says where it is absent."""
    regulator_drop: Pressure | None = None
    """Least drop over the pressure regulator at the head; None where there is none, and the head
    sees what stands in the container."""
    carried_mass: Mass
    keeps_moisture_out: bool
    stirred: bool
    heated: bool | None = None
    """True if it and its line keep the material as warm as the head is; None where nobody says."""
    passes_light: bool
    air_over_material: bool
    """True if air (not a follower) stands on the material: wanted by anaerobics."""

    @model_validator(mode="after")
    def _two_chambers(self) -> Self:
        if (self.kind == "dual cartridge") != (self.second_capacity is not None):
            raise ValueError("a dual cartridge, and nothing else, states a second_capacity")
        if self.second_capacity and self.second_capacity.nominal > self.capacity.nominal:
            raise ValueError("second_capacity is that of the smaller chamber: at most capacity")
        return self

    @property
    def last_one(self) -> str:
        """As of any part; but one dual cartridge is enough."""
        return "" if self.both_sides else super().last_one

    @property
    def both_sides(self) -> str:
        """Name of a dual cartridge, which feeds both sides at once; empty for any other feed."""
        return self.name if self.second_capacity is not None else ""


PART_TYPES: tuple[type[Part], ...] = (
    Size,
    Cavity,
    Body,
    Rotor,
    Stator,
    Seal,
    Drive,
    Mixing,
    Outlet,
    Feed,
)
"""One model a slot, in the order in which a build is named."""

SLOTS: tuple[str, ...] = tuple(part.slot for part in PART_TYPES)

SIDE_SLOTS: tuple[str, ...] = ("size", "cavity", "body", "rotor", "stator", "seal", "drive", "feed")
"""Slots that a two-part build holds twice, once for each component."""

SHARED_SLOTS: tuple[str, ...] = ("mixing", "outlet")


def wetted_codes(part: Part) -> tuple[tuple[str, str], ...]:
    """Return the wetted material codes of a part, each with the field that states it."""
    codes: list[tuple[str, str]] = []
    for field in ("material", "surface", "materials", "sensor.materials"):
        value = value_at(part, field) or ()
        codes.extend((field, code) for code in ((value,) if isinstance(value, str) else value))
    return tuple(codes)
