"""What has to be dispensed, how well, and what carries the head."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from configurator.request.estimates import DOT_ANGLE
from configurator.request.material import Name, Note, Title
from configurator.request.movable import DOT_ON_PART, MOVES, TAKT, Movable
from configurator.units import fields
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import ANGLE

Control = Literal["digital start/stop", "0-10 V", "step and direction", "fieldbus"]


class Dots(fields.Frozen):
    """Single shots, by volume or by the shape wanted on the part."""

    kind: Literal["dots"]
    volume: Annotated[fields.Volume | None, MOVES] = None
    diameter: Annotated[fields.Length | None, MOVES] = None
    height: Annotated[fields.Length | None, MOVES] = None
    contact_angle: Annotated[
        fields.Angle | None,
        Movable(
            granted=False,
            wide="contact angle of the dot",
            ends=(ANGLE, DOT_ANGLE.low, DOT_ANGLE.high),
            test=DOT_ON_PART,
        ),
    ] = None
    dispense_time: Annotated[fields.Time, MOVES]
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


class Bead(fields.Frozen):
    """A line laid along a path."""

    kind: Literal["bead"]
    width: Annotated[fields.Length, MOVES]
    height: Annotated[fields.Length | None, MOVES] = None
    contact_angle: Annotated[fields.Angle | None, MOVES] = None
    path_speed: Annotated[fields.Speed, MOVES]
    path_length: Annotated[fields.Length | None, MOVES] = None
    smallest_corner_radius: fields.Length | None = None
    acceleration: Annotated[fields.Acceleration | None, MOVES] = None

    @model_validator(mode="after")
    def _height_or_angle(self) -> Self:
        if (self.height is None) == (self.contact_angle is None):
            raise ValueError("a bead takes either a height or a contact_angle")
        if (self.smallest_corner_radius is None) != (self.acceleration is None):
            raise ValueError("smallest_corner_radius and acceleration go together")
        return self


class Potting(fields.Frozen):
    """A cavity of the part is poured full."""

    kind: Literal["potting"]
    volume: Annotated[fields.Volume, MOVES]
    fill_time: Annotated[fields.Time, MOVES]
    free_area: fields.Area | None = None
    rise_rate_max: Annotated[fields.Speed | None, Movable(title="allowed rise rate")] = None


class PlainFlow(fields.Frozen):
    """A flow range, whatever it is for."""

    kind: Literal["flow"]
    flow: Annotated[fields.VolumeFlow, MOVES]
    shot: Annotated[fields.Volume | None, MOVES] = None


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


class Production(fields.Frozen):
    """How often a deposit is made, and what a shift brings and may waste."""

    cycle_time: Annotated[fields.Time | None, Movable(title="cycle time", test=TAKT)] = None
    """From the start of a deposit to the start of the next."""
    parts_per_shift: Annotated[fields.Count | None, Movable(title="parts a shift")] = None
    shift: Annotated[fields.Time | None, Movable(title="length of a shift")] = None
    waste_max: Annotated[fields.Fraction | None, Movable(title="allowed waste")] = None
    """Share of what is laid down."""

    @property
    def parts(self) -> Interval | None:
        """Deposits in a shift: as stated, or as many as its cycles; None if neither tells. [-]"""
        if self.parts_per_shift is not None:
            return self.parts_per_shift.interval
        if self.shift is None or self.cycle_time is None:
            return None
        return self.shift.interval.over(self.cycle_time.interval)


class Carrier(fields.Frozen):
    """The machine that carries the head."""

    payload: Annotated[fields.Mass | None, Movable(title="payload of the carrier")] = None
    moment: Annotated[fields.Moment | None, Movable(title="moment the carrier takes")] = None
    lever: Annotated[fields.Length | None, Movable(title="lever to the flange")] = None
    """From the flange to the middle of the head's mass."""
    stopping_time: fields.Time | None = None
    curtain_resolution: fields.Length | None = None


class Process(fields.Frozen):
    """What a material is to be dispensed for."""

    schema_version: fields.SchemaVersion
    name: Name
    title: Title
    note: Note = ""
    invented: bool = False
    basis: Basis = Basis.DATASHEET
    deposit: Deposit
    tolerance: Annotated[fields.Fraction, Movable(title="tolerance of the volume")]
    """Wanted volume error, either way."""
    confidence: fields.Fraction | None = None
    temperature: Annotated[fields.Temperature, MOVES]
    room_temperature: Annotated[
        fields.Temperature | None, Movable(title="temperature of the room")
    ] = None
    """Around drive and feed, where the material is warmer or colder; none means the same."""
    feed_pressure: Annotated[fields.Pressure, MOVES]
    back_pressure: Annotated[fields.Pressure | None, Movable(from_nothing=True)] = None
    """Pressure at the tip's mouth, where the part is closed; none means open air."""
    longest_stop: Annotated[fields.Time | None, MOVES] = None
    reach: Annotated[fields.Length | None, Movable(title="reach of the tip")] = None
    tip_outside_diameter_max: Annotated[fields.Length | None, Movable(title="room for the tip")] = (
        None
    )
    control: Annotated[tuple[Control, ...], Movable(title="interfaces of the machine")] = ()
    """Interfaces the machine offers; none means any."""
    mixing_quality: Annotated[
        fields.Fraction | None, Movable(title="wanted coefficient of variation after mixing")
    ] = None
    """Wanted coefficient of variation after mixing."""
    explosive_atmosphere: Annotated[bool, MOVES] = False
    notice_blocked_tip: Annotated[bool, Movable(title="notice of a blocked tip")] = False
    """Whether the control has to stop at a pressure that a blocked tip makes."""
    notice_air: Annotated[bool, Movable(title="notice of air")] = False
    """Whether it has to see the pressure fall when air or nothing comes."""
    production: Production = Production()
    carrier: Carrier = Carrier()
