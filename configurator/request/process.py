"""What has to be dispensed, how well, and what carries the head."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from configurator.request.estimates import DOT_ANGLE
from configurator.request.material import Name, Note, Title
from configurator.request.movable import DOT_ON_PART, MOVES, TAKT, Movable
from configurator.units.fields import (
    Acceleration,
    Angle,
    Area,
    Count,
    Fraction,
    Frozen,
    Length,
    Mass,
    Moment,
    Pressure,
    SchemaVersion,
    Speed,
    Temperature,
    Time,
    Volume,
    VolumeFlow,
)
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import ANGLE

Control = Literal["digital start/stop", "0-10 V", "step and direction", "fieldbus"]


class Dots(Frozen):
    """Single shots, by volume or by the shape wanted on the part."""

    kind: Literal["dots"]
    volume: Annotated[Volume | None, MOVES] = None
    diameter: Annotated[Length | None, MOVES] = None
    height: Annotated[Length | None, MOVES] = None
    contact_angle: Annotated[
        Angle | None,
        Movable(
            granted=False,
            wide="contact angle of the dot",
            ends=(ANGLE, DOT_ANGLE.low, DOT_ANGLE.high),
            test=DOT_ON_PART,
        ),
    ] = None
    dispense_time: Annotated[Time, MOVES]
    """Time in which one dot leaves the tip."""

    @model_validator(mode="after")
    def _volume_or_shape(self) -> Self:
        shaped = self.diameter is not None
        if shaped == (self.volume is not None):
            raise ValueError("dots take a volume, or a diameter with a height or contact_angle")
        if shaped and (self.height is None) == (self.contact_angle is None):
            raise ValueError("a dot diameter takes either a height or a contact_angle")
        if not shaped and self.height is not None:
            raise ValueError("dots by volume take a contact_angle at most, and no height")
        return self

    @property
    def shape_is_guessed(self) -> bool:
        """True if nothing tells how wide the volume spreads."""
        return self.diameter is None and self.contact_angle is None


class Bead(Frozen):
    """A line laid along a path."""

    kind: Literal["bead"]
    width: Annotated[Length, MOVES]
    height: Annotated[Length | None, MOVES] = None
    contact_angle: Annotated[Angle | None, MOVES] = None
    path_speed: Annotated[Speed, MOVES]
    path_length: Annotated[Length | None, MOVES] = None
    smallest_corner_radius: Length | None = None
    acceleration: Annotated[Acceleration | None, MOVES] = None

    @model_validator(mode="after")
    def _height_or_angle(self) -> Self:
        if (self.height is None) == (self.contact_angle is None):
            raise ValueError("a bead takes either a height or a contact_angle")
        if (self.smallest_corner_radius is None) != (self.acceleration is None):
            raise ValueError("smallest_corner_radius and acceleration go together")
        return self


class Potting(Frozen):
    """A cavity of the part is poured full."""

    kind: Literal["potting"]
    volume: Annotated[Volume, MOVES]
    fill_time: Annotated[Time, MOVES]
    free_area: Area | None = None
    rise_rate_max: Annotated[Speed | None, Movable(title="allowed rise rate")] = None


class PlainFlow(Frozen):
    """A flow range, whatever it is for."""

    kind: Literal["flow"]
    flow: Annotated[VolumeFlow, MOVES]
    shot: Annotated[Volume | None, MOVES] = None


Deposit = Annotated[Dots | Bead | Potting | PlainFlow, Field(discriminator="kind")]


def time_of_shot(deposit: Deposit) -> Interval | None:
    """Time from start to end of one deposit; None for a flow or a line without an end. [s]

    A path is taken at its stated speed: corners make it longer, and never shorter.
    """
    if isinstance(deposit, Dots):
        return deposit.dispense_time.interval
    if isinstance(deposit, Potting):
        return deposit.fill_time.interval
    if isinstance(deposit, Bead):
        length = deposit.path_length
        return None if length is None else length.interval.over(deposit.path_speed.interval)
    return None if deposit.shot is None else deposit.shot.interval.over(deposit.flow.interval)


class Production(Frozen):
    """How often a deposit is made, and what a shift brings and may waste."""

    cycle_time: Annotated[Time | None, Movable(title="cycle time", test=TAKT)] = None
    """From the start of a deposit to the start of the next."""
    parts_per_shift: Annotated[Count | None, Movable(title="parts a shift")] = None
    shift: Annotated[Time | None, Movable(title="length of a shift")] = None
    waste_max: Annotated[Fraction | None, Movable(title="allowed waste")] = None
    """Share of what is laid down."""

    @property
    def parts(self) -> Interval | None:
        """Deposits in a shift: as stated, or as many as its cycles; None if neither tells. [-]"""
        if self.parts_per_shift is not None:
            return self.parts_per_shift.interval
        if self.shift is None or self.cycle_time is None:
            return None
        return self.shift.interval.over(self.cycle_time.interval)


class Carrier(Frozen):
    """The machine that carries the head."""

    payload: Annotated[Mass | None, Movable(title="payload of the carrier")] = None
    moment: Annotated[Moment | None, Movable(title="moment the carrier takes")] = None
    lever: Annotated[Length | None, Movable(title="lever to the flange")] = None
    """From the flange to the middle of the head's mass."""
    stopping_time: Time | None = None
    curtain_resolution: Length | None = None


class Process(Frozen):
    """What a material is to be dispensed for."""

    schema_version: SchemaVersion
    name: Name
    title: Title
    note: Note = ""
    invented: bool = False
    basis: Basis = Basis.DATASHEET
    deposit: Deposit
    tolerance: Annotated[Fraction, Movable(title="tolerance of the volume")]
    """Wanted volume error, either way."""
    confidence: Fraction | None = None
    temperature: Annotated[Temperature, MOVES]
    feed_pressure: Annotated[Pressure, MOVES]
    back_pressure: Annotated[Pressure | None, Movable(from_nothing=True)] = None
    """Pressure at the tip's mouth, where the part is closed; none means open air."""
    longest_stop: Annotated[Time | None, MOVES] = None
    reach: Annotated[Length | None, Movable(title="reach of the tip")] = None
    tip_outside_diameter_max: Annotated[Length | None, Movable(title="room for the tip")] = None
    control: Annotated[tuple[Control, ...], Movable(title="interfaces of the machine")] = ()
    """Interfaces the machine offers; none means any."""
    mixing_quality: Annotated[
        Fraction | None, Movable(title="wanted coefficient of variation after mixing")
    ] = None
    """Wanted coefficient of variation after mixing."""
    explosive_atmosphere: Annotated[bool, MOVES] = False
    production: Production = Production()
    carrier: Carrier = Carrier()
