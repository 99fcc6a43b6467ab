"""First settings of a build, each as a range with what it rests on: where to start, not what holds."""

from __future__ import annotations

import math
from collections.abc import Iterator

from configurator.catalog.parts import Stator
from configurator.report.settings_deposit import (
    guarding,
    path_settings,
    standoff,
    suck_back,
)
from configurator.report.settings_kind import PRACTICE, Setting, of_side, ranged
from configurator.rules.at_rest import rest_pressure
from configurator.rules.basis import basis_of
from configurator.rules.case import Case
from configurator.rules.error_budget import displacement_error, part_basis
from configurator.rules.filling import inlet_pressure
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS
from configurator.trial.head import Head, one, speed_at
from configurator.units.display import figures, show_interval, show_value
from configurator.units.interval import Basis, Interval, weakest
from configurator.units.kinds import (
    PRESSURE,
    ROTATION,
    TEMPERATURE,
    TIME,
    VOLUME,
    VOLUME_FLOW,
)

LEAST_FEED = 0.3e5
"""Least feed pressure, so that the cavity fills (common practice, no source). [Pa]"""

RECALIBRATE = 0.05
"""Change of the turns that the scale asks for, from which a head is looked at (common practice). [-]"""

PURGE_SHARE = 0.3
"""First purge after this share of the pot life, at the warmest (common practice, no source). [-]"""


def settings_of(head: Head) -> tuple[Setting, ...]:
    """Work out the first settings of a build at work."""
    case = head.case
    return (
        *(setting for side in case.sides for setting in _speeds(head, side)),
        *(setting for side in case.sides for setting in _feed(case, side)),
        _pressure_trip(head),
        *path_settings(head),
        standoff(head),
        *(setting for side in case.sides for setting in suck_back(head, side)),
        _temperature(head),
        *_purge(head),
        _recalibration(head),
        *guarding(head),
    )


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


def _speeds(head: Head, side: Side) -> Iterator[Setting]:
    """Rotor speed at each wanted flow, with the slip that nobody has measured yet as its range."""
    case = head.case
    duty, off = case.duty, one(displacement_error(case, side))
    told = part_basis("displacement", case, side, head.parts).value
    basis = _asked(case, side, *FLOW_ASKS).value
    factor = one(side.rotation.seals.factor)
    displacement = one(side.column("cavity", "displacement"))
    flows = dict.fromkeys((duty.flow.low, duty.flow.nominal, duty.flow.high))
    for flow in flows:
        own = flow * side.share.nominal
        slip = side.rotation.slip_at(flow)
        least = one(slip.low.min(axis=0)) / factor
        most = one(slip.high.max(axis=0)) * factor
        middle = speed_at(side, flow)
        known = math.isfinite(least) and math.isfinite(most)
        span = Interval(
            min((own + (least if known else 0.0)) / displacement / (1.0 + off), middle),
            middle,
            max((own + (most if known else 0.0)) / displacement / (1.0 - off), middle),
        )
        shown = show_interval(span, ROTATION)
        held = "the slip and the displacement" if known else "the displacement"
        unknown = "" if known else "; its slip is not known and comes on top"
        yield Setting(
            f"rotor speed{of_side(side)} at {show_value(own, VOLUME_FLOW)}",
            show_value(span.nominal, ROTATION),
            shown if known else f"{shown}, and up by the slip",
            basis,
            f"set it on the scale; the range holds {held} that no trial has shown yet "
            f"(+/- {figures(off * 100)} %, {told}){unknown}",
            span.low,
            span.high if known else None,
            "rev/s",
        )


def _feed(case: Case, side: Side) -> Iterator[Setting]:
    needed = inlet_pressure(side)
    low, high = (
        max(one(end) - AMBIENT_PRESSURE, LEAST_FEED) for end in (needed.nominal, needed.hard)
    )
    ceiling = min(case.duty.feed_pressure, one(side.column("feed", "pressure_max")))
    rest = one(rest_pressure(case, side).limit.nominal)
    note = f"up to {show_value(ceiling, PRESSURE)} is there"
    if math.isfinite(rest):
        ceiling = min(ceiling, rest)
        note += f"; above {show_value(rest, PRESSURE)} it may drip at rest"
    yield ranged(
        f"feed pressure{of_side(side)}",
        PRESSURE,
        start=high,
        low=min(low, high),
        high=max(ceiling, high),
        basis=_asked(case, side, "component.flow", "process.feed_pressure").value,
        note=f"{note}; at least {show_value(LEAST_FEED, PRESSURE)} ({PRACTICE})",
    )


def _pressure_trip(head: Head) -> Setting:
    case = head.case
    expected = one(case.outlet.highest.hard)
    allowed = head.pressure_allowed
    trip = min(max(1.5 * expected, 0.5e5), allowed)
    note = "a clogged tip under a volumetric drive climbs until something trips"
    if expected > allowed:
        note = (
            "more is expected than the weakest part is rated for: no trip lets this build run over "
            "the whole range, and none is set above the rating"
        )
    return Setting(
        "pressure trip behind the tip",
        show_value(trip, PRESSURE),
        f"{show_value(expected, PRESSURE)} expected at most, {show_value(allowed, PRESSURE)} rated",
        PRACTICE,
        note,
        min(expected, allowed),
        allowed,
        "Pa",
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
    life = float(case.mixer.cure.pot_life[2])
    volume = one(case.mixer.volume)
    times = case.practice.purge_volumes.nominal
    assert case.material.mix is not None
    basis = weakest(case.material.mix.pot_life.value.basis, Basis.COMMON_PRACTICE).value
    yield ranged(
        "purge interval",
        TIME,
        start=PURGE_SHARE * life,
        low=0.2 * life,
        high=0.5 * life,
        basis=basis,
        note=f"of {show_value(life, TIME)} pot life at the warmest, as stated: "
        f"{case.material.mix.pot_life.definition}",
    )
    yield ranged(
        "purge volume",
        VOLUME,
        start=times * volume,
        low=2.0 * volume,
        high=(times + 1.0) * volume,
        basis=PRACTICE,
        note=f"{figures(times)} volumes of the mixer",
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
