"""What the process asks of any head, in SI: flows, shots, temperatures, limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from configurator.physics.deposit import (
    bead_area,
    bead_contact_angle,
    corner_speed,
    dot_diameter,
    dot_height,
    dot_volume,
)
from configurator.physics.domain import Floats
from configurator.request.estimates import DOT_ANGLE
from configurator.request.process import (
    Bead,
    Dots,
    PlainFlow,
    Potting,
    Process,
    time_of_shot,
)
from configurator.units.interval import Interval


class AtEnds(NamedTuple):
    """Something at its ends; arrays for many requests at once."""

    low: Floats
    nominal: Floats
    high: Floats


@dataclass(frozen=True)
class Duty:
    """The process as numbers; what is optional is None, or NaN, if it is not stated."""

    kind: str
    """dots, bead, potting or flow."""
    flow: Interval
    """Volume flow of the whole deposit. [m^3/s]"""
    shot: Interval | None
    """Volume dispensed between two stops; None for a line without an end. [m^3]"""
    shot_time: Interval | None
    """Time in which it is dispensed; None where the shot is. [s]"""
    cycle: Interval | None
    """From the start of a shot to the start of the next. [s]"""
    parts: Interval | None
    """Shots in a shift. [-]"""
    shift: Interval | None
    """Its length. [s]"""
    waste_max: float
    """Share of what is laid down that may be wasted. [-]"""
    width: Interval | None
    """Dot diameter or bead width. [m]"""
    width_guessed: bool
    """True if it rests on an estimated contact angle."""
    temperature: Interval
    """Of the material, and of the head. [K]"""
    room: Interval
    """Around drive and feed; that of the material where nobody says otherwise. [K]"""
    tolerance: float
    """Wanted volume error either way. [-]"""
    feed_pressure: float
    """Available at the feed, above ambient. [Pa]"""
    back_pressure: Interval
    """At the tip's mouth, above ambient. [Pa]"""
    longest_stop: float
    """In production. [s]"""

    @property
    def laid_down(self) -> AtEnds | None:
        """Volume dispensed in a shift; None where nobody says how much. [m^3]"""
        shot, times = self.shot, self.shift if self.shot is None else self.parts
        if times is None:
            return None
        each = self.flow if shot is None else shot
        return AtEnds(each.low * times.low, each.nominal * times.nominal, each.high * times.high)

    @property
    def pace(self) -> AtEnds | None:
        """Mean flow of the line; None for shots of which nobody says how often. [m^3/s]"""
        shot, cycle = self.shot, self.cycle
        if shot is None:
            return AtEnds(self.flow.low, self.flow.nominal, self.flow.high)
        if cycle is None:
            return None
        return AtEnds(shot.low / cycle.high, shot.nominal / cycle.nominal, shot.high / cycle.low)

    @property
    def rhythm(self) -> tuple[Interval | None, ...]:
        """How much is dispensed, how fast and how often: what the age of a mix hangs on."""
        return self.shot, self.shot_time, self.cycle


def duty_of(process: Process) -> Duty:
    """Work out the flows, shots and limits that a process asks for."""
    deposit = process.deposit
    width: Interval | None = None
    shot: Interval | None = None
    guessed = False
    if isinstance(deposit, Dots):
        shot, width = _dot(deposit)
        guessed = deposit.shape_is_guessed
        time = deposit.dispense_time.interval
        flow = Interval(shot.low / time.high, shot.nominal / time.nominal, shot.high / time.low)
    elif isinstance(deposit, Bead):
        width = deposit.width.interval
        flow, shot = _bead(deposit)
    elif isinstance(deposit, Potting):
        shot = deposit.volume.interval
        time = deposit.fill_time.interval
        flow = Interval(shot.low / time.high, shot.nominal / time.nominal, shot.high / time.low)
    else:
        assert isinstance(deposit, PlainFlow)
        flow = deposit.flow.interval
        shot = None if deposit.shot is None else deposit.shot.interval
    back, stop, production = process.back_pressure, process.longest_stop, process.production
    cycle, shift, waste = production.cycle_time, production.shift, production.waste_max
    return Duty(
        kind=deposit.kind,
        flow=flow,
        shot=shot,
        shot_time=time_of_shot(deposit),
        cycle=None if cycle is None else cycle.interval,
        parts=production.parts,
        shift=None if shift is None else shift.interval,
        waste_max=math.nan if waste is None else waste.low,
        width=width,
        width_guessed=guessed,
        temperature=process.temperature.interval,
        room=(process.room_temperature or process.temperature).interval,
        tolerance=process.tolerance.low,
        feed_pressure=process.feed_pressure.low,
        back_pressure=Interval.exact(0.0) if back is None else back.interval,
        longest_stop=math.nan if stop is None else stop.high,
    )


def _dot(deposit: Dots) -> tuple[Interval, Interval]:
    if deposit.volume is not None:
        volume, angle = deposit.volume.interval, deposit.contact_angle
        flattest, usual, steepest = (DOT_ANGLE if angle is None else angle.interval).ends
        across = dot_diameter(
            volume=np.array(volume.ends), contact_angle=np.array((steepest, usual, flattest))
        )
        return volume, _interval(across)
    assert deposit.diameter is not None  # the model demands one of the two
    diameter = deposit.diameter.interval
    if deposit.height is not None:
        heights: Floats = np.array(deposit.height.interval.ends)
    else:
        assert deposit.contact_angle is not None
        angles = np.array(deposit.contact_angle.interval.ends)
        heights = dot_height(diameter=np.array(diameter.ends), contact_angle=angles)
    return _interval(dot_volume(diameter=np.array(diameter.ends), height=heights)), diameter


def _bead(deposit: Bead) -> tuple[Interval, Interval | None]:
    width = deposit.width.interval
    if deposit.contact_angle is not None:
        angles: Floats = np.array(deposit.contact_angle.interval.ends)
    else:
        assert deposit.height is not None
        heights = np.array(deposit.height.interval.ends)
        angles = bead_contact_angle(width=np.array(width.ends), height=heights)
    area = _interval(bead_area(width=np.array(width.ends), contact_angle=angles))
    speed = deposit.path_speed.interval
    slowest = speed.low
    if deposit.smallest_corner_radius is not None and deposit.acceleration is not None:
        in_corner = corner_speed(
            acceleration=deposit.acceleration.low, radius=deposit.smallest_corner_radius.low
        )
        slowest = min(slowest, float(in_corner))
    flow = Interval(area.low * slowest, area.nominal * speed.nominal, area.high * speed.high)
    if deposit.path_length is None:
        return flow, None
    length = deposit.path_length.interval
    return flow, Interval(
        area.low * length.low, area.nominal * length.nominal, area.high * length.high
    )


def _interval(ends: Floats) -> Interval:
    low, nominal, high = np.asarray(ends).tolist()
    return Interval(low, nominal, high)
