"""First settings of a build, each as a range with what it rests on: where to start, not what holds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Stator
from configurator.physics.guarding import EDITION, light_curtain_distance
from configurator.physics.stored_volume import suck_back_angle, trapped_air_volume
from configurator.request.process import Bead, Dots, Potting
from configurator.rules.basis import basis_of
from configurator.rules.case import Case
from configurator.rules.filling import inlet_pressure
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.pressure import rest_pressure
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS
from configurator.trial.head import Head, one, speed_at
from configurator.units.display import figures, show, show_interval, show_value
from configurator.units.interval import Basis, Interval, weakest
from configurator.units.kinds import (
    LENGTH,
    PRESSURE,
    ROTATION,
    SPEED,
    TEMPERATURE,
    TIME,
    VOLUME,
    VOLUME_FLOW,
)

PRACTICE = "common practice, no source"

RECALIBRATE = 0.05
"""Change of the turns that the scale asks for, from which a head is looked at (common practice). [-]"""

PURGE_SHARE = 0.3
"""First purge after this share of the pot life, at the warmest (common practice, no source). [-]"""


@dataclass(frozen=True)
class Setting:
    """One thing to dial in.

    Attributes
    ----------
    name : str
        What it is.
    start : str
        Where to start, with its unit.
    span : str
        Range to stay in, or to search.
    basis : str
        What the weakest number rests on.
    note : str
        What to watch; may be empty.
    low, high : float or None
        The range in `unit`.
    unit : str
        SI unit, empty where the setting is no number.
    """

    name: str
    start: str
    span: str
    basis: str
    note: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""


def settings_of(head: Head) -> tuple[Setting, ...]:
    """Work out the first settings of a build.

    Parameters
    ----------
    head : Head
        The build at work.
    """
    case = head.case
    return (
        *(setting for side in case.sides for setting in _speeds(case, side)),
        *(setting for side in case.sides for setting in _feed(case, side)),
        _pressure_trip(head),
        *_path(head),
        _standoff(head),
        *(setting for side in case.sides for setting in _suck_back(head, side)),
        _temperature(head),
        *_purge(head),
        _recalibration(head),
        *_guarding(head),
    )


def _named(side: Side) -> str:
    return f" {side.prefix.rstrip('.')}" if side.prefix else ""


def _asked(case: Case, side: Side, *fields: str) -> Basis:
    """Weakest basis of request fields, and of the cavity's figures."""
    asked = basis_of(
        fields,
        component=side.component,
        material=case.material,
        process=case.process,
        practice=case.practice,
        practice_fields=("slip_factor_other",),
    )
    cavity = case.frame.parts[side.slot("cavity")][0]
    displacement = getattr(cavity, "displacement", None)
    return asked if displacement is None else weakest(asked, displacement.basis)


def _speeds(case: Case, side: Side) -> Iterator[Setting]:
    """Rotor speed at each wanted flow, with the slip that nobody has measured yet as its range."""
    duty = case.duty
    basis = _asked(case, side, *FLOW_ASKS).value
    factor = one(side.slip_factor)
    displacement = one(side.column("cavity", "displacement"))
    flows = dict.fromkeys((duty.flow.low, duty.flow.nominal, duty.flow.high))
    for flow in flows:
        own = flow * side.share
        slip = side.slip(case.behind_outlet(flow), own)
        least = one(slip.low.min(axis=0)) / factor
        most = one(slip.high.max(axis=0)) * factor
        span = Interval(own / displacement, speed_at(case, side, flow), (own + most) / displacement)
        span = Interval(
            min((own + least) / displacement, span.nominal),
            span.nominal,
            max(span.high, span.nominal),
        )
        yield Setting(
            f"rotor speed{_named(side)} at {show_value(own, VOLUME_FLOW)}",
            show_value(span.nominal, ROTATION),
            show_interval(span, ROTATION),
            basis,
            "set it on the scale; the range is the slip that no trial has shown yet",
            span.low,
            span.high,
            "rev/s",
        )


def _feed(case: Case, side: Side) -> Iterator[Setting]:
    needed = inlet_pressure(case, side)
    low, high = (max(one(end) - AMBIENT_PRESSURE, 0.0) for end in (needed.nominal, needed.hard))
    ceiling = min(case.duty.feed_pressure, one(side.column("feed", "pressure_max")))
    rest = one(rest_pressure(case, side).limit.nominal)
    note = f"up to {show_value(ceiling, PRESSURE)} is there"
    if math.isfinite(rest):
        ceiling = min(ceiling, rest)
        note += f"; above {show_value(rest, PRESSURE)} it may drip at rest"
    start = min(max(high, 0.3e5), max(ceiling, high))
    yield Setting(
        f"feed pressure{_named(side)}",
        show_value(start, PRESSURE),
        f"{show_value(min(low, start), PRESSURE)} to {show_value(max(ceiling, start), PRESSURE)}",
        _asked(case, side, "component.flow", "process.feed_pressure").value,
        f"{note}; at least 0.3 bar ({PRACTICE})",
        min(low, start),
        max(ceiling, start),
        "Pa",
    )


def _pressure_trip(head: Head) -> Setting:
    case = head.case
    expected = one(case.pressure.hard)
    allowed = head.pressure_allowed
    trip = min(max(1.5 * expected, 0.5e5), allowed)
    return Setting(
        "pressure trip behind the tip",
        show_value(trip, PRESSURE),
        f"{show_value(expected, PRESSURE)} expected at most, {show_value(allowed, PRESSURE)} rated",
        PRACTICE,
        "a clogged tip under a volumetric drive climbs until something trips",
        expected,
        allowed,
        "Pa",
    )


def _path(head: Head) -> Iterator[Setting]:
    """Bead speed with matching flow, ramp and corner; rise for a potting; shot time for dots."""
    deposit, duty = head.case.process.deposit, head.case.duty
    if isinstance(deposit, Bead):
        speed = deposit.path_speed.interval
        area = duty.flow.nominal / speed.nominal
        yield Setting(
            "bead speed and matching flow",
            f"{show_value(speed.nominal, SPEED)} with {show_value(duty.flow.nominal, VOLUME_FLOW)}",
            f"{show(area, 'mm^2')} times the path speed; exit speed over path speed 0.8 to 1.2",
            f"{deposit.path_speed.basis.value}; ratio {PRACTICE}",
            "below 0.7 the bead bulges, above 1.5 it tears",
            duty.flow.low,
            duty.flow.high,
            "m^3/s",
        )
        yield Setting(
            "ramp",
            "40 ms",
            "20 to 100 ms",
            PRACTICE,
            "start and stop the rotor that much before and after the path",
            0.02,
            0.1,
            "s",
        )
        yield _corner(head, deposit)
    elif isinstance(deposit, Dots):
        time = deposit.dispense_time.interval
        yield Setting(
            "time of a shot",
            show_value(time.nominal, TIME),
            show_interval(time, TIME),
            deposit.dispense_time.basis.value,
            "stop the rotor at the same angle each time where a shot is less than a turn",
            time.low,
            time.high,
            "s",
        )
    elif isinstance(deposit, Potting):
        time = deposit.fill_time.interval
        yield Setting(
            "time of a filling",
            show_value(time.nominal, TIME),
            show_interval(time, TIME),
            deposit.fill_time.basis.value,
            "fill from the lowest point up, and slow down before the end",
            time.low,
            time.high,
            "s",
        )


def _corner(head: Head, deposit: Bead) -> Setting:
    duty = head.case.duty
    speed = deposit.path_speed.interval
    slowest = duty.flow.low / (duty.flow.nominal / speed.nominal)
    if deposit.smallest_corner_radius is None or slowest >= speed.low:
        return Setting(
            "corner turndown",
            "60 %",
            "50 to 70 % of path speed and flow alike",
            PRACTICE,
            "no corner radius and acceleration are stated, from which it would follow",
            0.5,
            0.7,
            "1",
        )
    share = min(slowest / speed.nominal, 1.0)
    return Setting(
        "corner turndown",
        f"{figures(share * 100)} %",
        f"{figures(0.9 * share * 100)} to {figures(min(share * 1.1, 1.0) * 100)} % of path speed "
        "and flow alike",
        weakest(deposit.smallest_corner_radius.basis, deposit.path_speed.basis).value,
        "scale the rotor speed with the path speed through the corner",
        0.9 * share,
        min(1.1 * share, 1.0),
        "1",
    )


def _standoff(head: Head) -> Setting:
    deposit = head.case.process.deposit
    bore = one(head.case.column("outlet", "bore"))
    if isinstance(deposit, Bead):
        width = deposit.width.nominal
        if deposit.height is not None:
            height = deposit.height.nominal
        else:
            assert deposit.contact_angle is not None
            height = width / 2.0 * math.tan(deposit.contact_angle.nominal / 2.0)
        low, high = 0.8 * height, max(min(1.2 * height, 1.5 * bore), 0.8 * height)
        note = "of the height of the bead, and no more than 1.5 bores"
    elif isinstance(deposit, Dots):
        low, high, note = 0.4 * bore, 0.6 * bore, "of the bore; lift after the flow has stopped"
    else:
        low, high, note = 5e-3, 20e-3, "above the surface; follow it as it rises"
    span = Interval.of(low, high)
    return Setting(
        "standoff",
        show_value(span.nominal, LENGTH),
        show_interval(span, LENGTH),
        PRACTICE,
        note,
        low,
        high,
        "m",
    )


def _suck_back(head: Head, side: Side) -> Iterator[Setting]:
    """Turns back after a stop: what the air behind the tip lets out, at least what is usual."""
    case = head.case
    entry = one(case.column("outlet", "entry_bore"))
    length = one(case.column("outlet", "length"))
    pressure = one(case.back_pressure_fast[1])
    stored = trapped_air_volume(
        volume=math.pi / 4.0 * entry**2 * length,
        air_share=case.practice.trapped_air.nominal,
        pressure_low=AMBIENT_PRESSURE,
        pressure_high=AMBIENT_PRESSURE + pressure,
    )
    displacement = one(side.column("cavity", "displacement"))
    angle = suck_back_angle(
        stored_volume=max(float(np.asarray(stored)), 0.0) * side.share, displacement=displacement
    )
    turns = float(np.asarray(angle)) / (2.0 * math.pi)
    low, high = 0.05, 0.25
    start = min(max(turns, low), high)
    trigger = case.material.trigger
    note = f"stored air alone asks for {figures(turns)} turns; 1 to 2 times the speed of dispensing"
    if trigger == "surface moisture":
        start = low = high = 0.0
        note = "none: this material cures on what comes back in"
    elif len(case.sides) > 1:
        note += "; both sides together and little, or the next shot has another ratio"
        start = low
    yield Setting(
        f"suck-back{_named(side)}",
        f"{figures(start)} turns",
        f"{figures(low)} to {figures(high)} turns",
        PRACTICE,
        note,
        low,
        high,
        "rev",
    )


def _temperature(head: Head) -> Setting:
    asked = head.case.duty.temperature
    tops = [
        part.temperature_high.nominal for part in head.parts.values() if isinstance(part, Stator)
    ]
    return Setting(
        "temperature of material and head",
        show_value(asked.nominal, TEMPERATURE),
        show_interval(asked, TEMPERATURE),
        head.case.process.temperature.basis.value,
        f"weigh again after a change of 2 K ({PRACTICE}); the stator stands "
        f"{show_value(min(tops), TEMPERATURE)}",
        asked.low,
        asked.high,
        "K",
    )


def _purge(head: Head) -> Iterator[Setting]:
    case = head.case
    if not case.material.two_part:
        entry = one(case.column("outlet", "entry_bore"))
        volume = math.pi / 4.0 * entry**2 * one(case.column("outlet", "length"))
        stop = case.duty.longest_stop
        when = "after each long stop" if math.isnan(stop) else f"after {show_value(stop, TIME)}"
        times = case.practice.purge_volumes.nominal
        yield Setting(
            "purge",
            f"{show_value(times * volume, VOLUME)} {when}",
            f"{show_value(volume, VOLUME)} to {show_value(2 * times * volume, VOLUME)}",
            PRACTICE,
            f"{figures(times)} volumes of the tip",
            volume,
            2 * times * volume,
            "m^3",
        )
        return
    life = case.mixer.pot_life
    volume = one(case.mixer.volume)
    times = case.practice.purge_volumes.nominal
    assert case.material.mix is not None
    basis = weakest(case.material.mix.pot_life.value.basis, Basis.COMMON_PRACTICE).value
    yield Setting(
        "purge interval",
        show_value(PURGE_SHARE * life, TIME),
        f"{show_value(0.2 * life, TIME)} to {show_value(0.5 * life, TIME)}",
        basis,
        f"of {show_value(life, TIME)} pot life at the warmest, as stated: "
        f"{case.material.mix.pot_life.definition}",
        0.2 * life,
        0.5 * life,
        "s",
    )
    yield Setting(
        "purge volume",
        show_value(times * volume, VOLUME),
        f"{show_value(2.0 * volume, VOLUME)} to {show_value((times + 1.0) * volume, VOLUME)}",
        PRACTICE,
        f"{figures(times)} volumes of the mixer",
        2.0 * volume,
        (times + 1.0) * volume,
        "m^3",
    )
    yield Setting(
        "mixer change",
        f"after any stop of {show_value(life, TIME)}",
        f"{show_value(0.5 * life, TIME)} to {show_value(life, TIME)}",
        basis,
        "and whenever the pressure at the same flow has risen by half",
        0.5 * life,
        life,
        "s",
    )


def _recalibration(head: Head) -> Setting:
    half = head.case.duty.tolerance / 2.0
    trigger = min(RECALIBRATE, half)
    return Setting(
        "recalibration",
        f"when the scale asks for {figures(trigger * 100)} % more or fewer turns",
        f"{figures(trigger / 2 * 100)} to {figures(RECALIBRATE * 100)} %",
        PRACTICE,
        "half the tolerance, at most 5 %; weigh at each start of a shift and after each change of "
        "batch",
        trigger / 2.0,
        RECALIBRATE,
        "1",
    )


def _guarding(head: Head) -> Iterator[Setting]:
    """A distance to start the planning of the cell with, by a named edition, and no certificate."""
    carrier = head.case.process.carrier
    if carrier.stopping_time is None or carrier.curtain_resolution is None:
        return
    stop, resolution = carrier.stopping_time, carrier.curtain_resolution
    distance = float(
        np.asarray(light_curtain_distance(stopping_time=stop.high, resolution=resolution.high))
    )
    yield Setting(
        "light curtain distance (note)",
        show(distance, "mm"),
        f"{EDITION}, right angle, {show_value(stop.high, TIME)} stopping time",
        weakest(stop.basis, Basis.FROM_MEMORY).value,
        f"a note by {EDITION} alone, no certificate: the 2024 edition has other supplements; who "
        "builds the cell measures the stopping time and answers for the distance",
        distance,
        distance,
        "m",
    )
