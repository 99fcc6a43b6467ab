"""First settings of a build, each as a range with what it rests on: where to start, not what holds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from configurator.catalog.parts import Stator
from configurator.report.settings_deposit import (
    guarding,
    path_settings,
    standoff,
    suck_back,
)
from configurator.report.settings_kind import Setting, asked, of_side, ranged, told
from configurator.report.settings_pressure import feed_settings, pressure_trip, tip_volume
from configurator.report.sheet_words import SheetWords
from configurator.rules.case import Case
from configurator.rules.error_budget import displacement_error, part_basis
from configurator.rules.restart import stop_allowed
from configurator.rules.sensor import signal
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

RECALIBRATE = 0.05
"""Change of the turns that the scale asks for, from which a head is looked at (common practice). [-]"""

PURGE_SHARE = 0.3
"""First purge after this share of the pot life, at the warmest (common practice, no source). [-]"""


def settings_of(head: Head, say: SheetWords) -> tuple[Setting, ...]:
    """Work out the first settings of a build at work, told in the language of its sheet."""
    case = head.case
    return (
        *(setting for side in case.sides for setting in _speeds(head, side, say)),
        *(setting for side in case.sides for setting in feed_settings(case, side, say)),
        *_stirrer(case, say),
        pressure_trip(head, say),
        *_low_alarm(head, say),
        *path_settings(head, say),
        standoff(head, say),
        *(setting for side in case.sides for setting in suck_back(head, side, say)),
        _temperature(head, say),
        *_purge(head, say),
        _recalibration(head, say),
        *guarding(head, say),
    )


def _speeds(head: Head, side: Side, say: SheetWords) -> Iterator[Setting]:
    """Rotor speed at each wanted flow, with the slip that nobody has measured yet as its range."""
    case = head.case
    duty, off = case.duty, one(displacement_error(case, side))
    rests_on = part_basis("displacement", case, side, head.parts).value
    basis = asked(case, side, *FLOW_ASKS).value
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
        note = "set_speed_note" if known else "set_speed_note_unknown"
        yield Setting(
            "speed",
            say("set_speed", side=of_side(side), flow=show_value(own, VOLUME_FLOW)),
            show_value(span.nominal, ROTATION),
            shown if known else say("set_speed_up", span=shown),
            basis,
            say(note, percent=figures(off * 100), basis=rests_on),
            span.low,
            span.high if known else None,
            "rev/s",
        )


def _low_alarm(head: Head, say: SheetWords) -> Iterator[Setting]:
    """What a sensor at the outlet lets the control notice beside the trip."""
    case, least = head.case, one(signal(head.case).hard)
    for side in case.sides:
        error = one(side.column("body", "sensor.error", "high"))
        if error < least:
            shown = [show_value(each, PRESSURE) for each in (0.5 * least, error, least)]
            yield told(
                say,
                "low",
                shown[0],
                say("set_low_span", error=shown[1], least=shown[2]),
                ends=(error, least),
                unit="Pa",
                side=of_side(side),
            )


def _temperature(head: Head, say: SheetWords) -> Setting:
    asked = head.case.duty.temperature
    tops = [
        part.temperature_high.nominal for part in head.parts.values() if isinstance(part, Stator)
    ]
    return told(
        say,
        "temperature",
        show_value(asked.nominal, TEMPERATURE),
        show_interval(asked, TEMPERATURE),
        ends=(asked.low, asked.high),
        unit="K",
        basis=head.case.process.temperature.basis.value,
        note=say("set_temperature_note", top=show_value(min(tops), TEMPERATURE)),
    )


def _stirrer(case: Case, say: SheetWords) -> Iterator[Setting]:
    """Speed of a driven chamber: as often round as the shop asks, and no faster than that needs."""
    if not one(case.mixer.chamber):
        return
    turns = figures(case.practice.chamber_turns.nominal)
    yield ranged(
        say,
        "stirrer",
        ROTATION,
        start=one(case.mixer.stirrer_speed),
        ends=(one(case.mixer.stirrer_speed), one(case.mixer.column("speed_max"))),
        note=say("set_stirrer_turns", turns=turns),
    )


def _purge(head: Head, say: SheetWords) -> Iterator[Setting]:
    case = head.case
    if not case.material.two_part:
        volume = tip_volume(case)
        stop = case.duty.longest_stop
        times = case.practice.purge_volumes.nominal
        found = ranged(
            say,
            "purge",
            VOLUME,
            start=times * volume,
            ends=(volume, 2 * times * volume),
            note=say("set_purge_tip", times=figures(times)),
        )
        key = "set_purge_stop" if math.isnan(stop) else "set_purge_after"
        yield replace(found, start=say(key, volume=found.start, stop=show_value(stop, TIME)))
        return
    life = float(case.mixer.cure.pot_life[2])
    volume = one(case.mixer.volume)
    times = case.practice.purge_volumes.nominal
    assert case.material.mix is not None
    basis = weakest(case.material.mix.pot_life.value.basis, Basis.COMMON_PRACTICE).value
    shown, definition = show_value(life, TIME), case.material.mix.pot_life.definition
    # A purge that comes after the longest stop that holds comes too late.
    holds = one(stop_allowed(case))
    latest = min(0.5 * life, holds) if math.isfinite(holds) else 0.5 * life
    notes = [say("set_purge_life", life=shown, definition=definition)]
    if latest < PURGE_SHARE * life:
        notes.append(say("set_purge_holds", longest=show_value(latest, TIME)))
    yield ranged(
        say,
        "purge interval",
        TIME,
        start=min(PURGE_SHARE * life, latest),
        ends=(min(0.2 * life, latest), latest),
        basis=basis,
        note="; ".join(notes),
    )
    yield ranged(
        say,
        "purge volume",
        VOLUME,
        start=times * volume,
        ends=(2.0 * volume, (times + 1.0) * volume),
        note=say("set_purge_mixer", times=figures(times)),
    )
    yield told(
        say,
        "mixer change",
        say("set_mixer_stop", life=shown),
        f"{show_value(0.5 * life, TIME)} to {shown}",
        ends=(0.5 * life, life),
        unit="s",
        basis=basis,
        called="mixer",
    )


def _recalibration(head: Head, say: SheetWords) -> Setting:
    half = head.case.duty.tolerance / 2.0
    trigger = min(RECALIBRATE, half)
    when = say("set_recalibration_when", percent=figures(trigger * 100))
    span = f"{figures(trigger / 2 * 100)} to {figures(RECALIBRATE * 100)} %"
    ends = (trigger / 2.0, RECALIBRATE)
    return told(say, "recalibration", when, span, ends=ends, unit="1")
