"""First settings at the part: path, ramp and corner, standoff, suck-back, guarding."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from configurator.physics.machine import COARSEST_CURTAIN, EDITION, light_curtain_distance
from configurator.physics.stored_volume import suck_back_angle
from configurator.report.settings_kind import PRACTICE, Setting, of_side, ranged, told
from configurator.report.settings_pressure import tip_volume
from configurator.report.sheet_words import SheetWords
from configurator.request.process import Bead, Dots, Potting
from configurator.rules.error_budget import settling, stored_at
from configurator.rules.side import Side
from configurator.rules.tip_at_rest import falling_drop, touch_height
from configurator.trial.head import Head, one
from configurator.units.display import figures, show, show_interval, show_value
from configurator.units.interval import Basis, Interval, weakest
from configurator.units.kinds import LENGTH, SPEED, TIME, VOLUME, VOLUME_FLOW
from configurator.units.quantity import Quantity

FARTHEST_BORES = 1.5
"""Standoff of a bead over the bore, at most: beyond it the string coils (common practice). [-]"""


def path_settings(head: Head, say: SheetWords) -> Iterator[Setting]:
    """Bead speed with matching flow, ramp and corner; rise for a potting; shot time for dots."""
    deposit, duty = head.case.process.deposit, head.case.duty
    if isinstance(deposit, Bead):
        speed = deposit.path_speed.interval
        area = duty.flow.nominal / speed.nominal
        flow = show_value(duty.flow.nominal, VOLUME_FLOW)
        yield told(
            say,
            "bead",
            say("set_bead_start", speed=show_value(speed.nominal, SPEED), flow=flow),
            say("set_bead_span", area=show(area, "mm^2")),
            ends=(duty.flow.low, duty.flow.high),
            unit="m^3/s",
            basis=f"{deposit.path_speed.basis.value}; ratio {PRACTICE}",
        )
        follows = one(settling(head.case))
        path = show_value(follows * deposit.path_speed.high, LENGTH)
        note = say("set_ramp_note", time=show_value(follows, TIME), path=path)
        yield told(say, "ramp", "40 ms", "20 to 100 ms", ends=(0.02, 0.1), unit="s", note=note)
        yield _corner(head, deposit, say)
    elif isinstance(deposit, Dots):
        yield _timed("shot", deposit.dispense_time, say)
    elif isinstance(deposit, Potting):
        yield _timed("filling", deposit.fill_time, say)


def _timed(key: str, time: Quantity, say: SheetWords) -> Setting:
    """A stated time, and a tenth either way to search in."""
    ends, basis = (0.9 * time.low, 1.1 * time.high), f"{time.basis.value}; range {PRACTICE}"
    return ranged(say, key, TIME, start=time.nominal, ends=ends, basis=basis)


def _corner(head: Head, deposit: Bead, say: SheetWords) -> Setting:
    duty = head.case.duty
    speed = deposit.path_speed.interval
    slowest = duty.flow.low / (duty.flow.nominal / speed.nominal)
    if deposit.smallest_corner_radius is None or slowest >= speed.low:
        span, note = say("set_corner_span", low="50", high="70"), say("set_corner_unstated")
        return told(say, "corner", "60 %", span, ends=(0.5, 0.7), unit="1", note=note)
    share = min(slowest / speed.nominal, 1.0)
    most = figures(min(share * 1.1, 1.0) * 100)
    return told(
        say,
        "corner",
        f"{figures(share * 100)} %",
        say("set_corner_span", low=figures(0.9 * share * 100), high=most),
        ends=(0.9 * share, min(1.1 * share, 1.0)),
        unit="1",
        basis=weakest(deposit.smallest_corner_radius.basis, deposit.path_speed.basis).value,
    )


def standoff(head: Head, say: SheetWords) -> Setting:
    """Distance from the tip to the part."""
    deposit = head.case.process.deposit
    bore = one(head.case.column("outlet", "bore"))
    if isinstance(deposit, Bead):
        width = deposit.width.nominal
        if deposit.height is not None:
            height = deposit.height.nominal
        else:
            assert deposit.contact_angle is not None
            height = width / 2.0 * math.tan(deposit.contact_angle.nominal / 2.0)
        low, high = 0.8 * height, min(1.2 * height, FARTHEST_BORES * bore)
        note = say("set_standoff_bead")
        if low >= high:
            low, note = bore, say("set_standoff_high_bead")
    elif isinstance(deposit, Dots):
        low, high, note = 0.4 * bore, 0.6 * bore, say("set_standoff_dot")
        touches = one(touch_height(head.case))
        if not math.isnan(touches):
            low, high = min(low, 0.8 * touches), min(high, touches)
            drop = show_value(one(falling_drop(head.case)), VOLUME)
            note = say("set_standoff_touch", drop=drop, height=show_value(touches, LENGTH))
    else:
        low, high, note = 5e-3, 20e-3, say("set_standoff_jet")
    span = Interval.of(low, high)
    start, shown = show_value(span.nominal, LENGTH), show_interval(span, LENGTH)
    return told(say, "standoff", start, shown, ends=(low, high), unit="m", note=note)


def suck_back(head: Head, side: Side, say: SheetWords) -> Iterator[Setting]:
    """Turns back after a stop: what is stored under pressure between rotor and mouth.

    No more than a share of the shot, and than the tip holds: what comes back in brings air.
    """
    case, practice = head.case, head.case.practice
    tip = tip_volume(case)
    stored = one(stored_at(case, case.outlet.fast[1]))
    bound, why = tip, say("set_back_tip")
    if case.duty.shot is not None:
        share = practice.suck_back_share.nominal * case.duty.shot.low
        if share < bound:
            percent = figures(practice.suck_back_share.nominal * 100)
            bound, why = share, say("set_back_shot", percent=percent)
    displacement = one(side.column("cavity", "displacement"))
    angles = (
        suck_back_angle(stored_volume=part * side.share.nominal, displacement=displacement)
        for part in (stored, bound)
    )
    stored_turns, most = (float(np.asarray(angle)) / (2.0 * math.pi) for angle in angles)
    start, low, high = min(stored_turns, most), 0.0, min(2.0 * stored_turns, most)
    held = show_value(stored, VOLUME)
    note = say("set_back_note", stored=held, bound=why)
    play = one(side.column("drive", "backlash")) / (2.0 * math.pi)
    if stored_turns < play:  # no drive takes back less than its own play
        start, high = 0.0, most
        note = say("set_back_play", stored=held, play=figures(play), bound=why)
    if case.material.trigger == "surface moisture":
        start = high = 0.0
        note = say("set_back_none")
    elif len(case.sides) > 1:
        note += f"; {say('set_back_sides')}"
    yield told(
        say,
        "suck-back",
        say("set_turns", turns=figures(start)),
        say("set_turns", turns=f"{figures(low)} to {figures(high)}"),
        ends=(low, high),
        unit="rev",
        basis=f"stored volume; bound {PRACTICE}",
        note=note,
        called="back",
        side=of_side(side),
    )


def guarding(head: Head, say: SheetWords) -> Iterator[Setting]:
    """A distance to start the planning of the cell with, by a named edition, and no certificate."""
    carrier = head.case.process.carrier
    if carrier.stopping_time is None or carrier.curtain_resolution is None:
        return
    stop, resolution = carrier.stopping_time, carrier.curtain_resolution
    if resolution.high > COARSEST_CURTAIN:
        yield told(
            say,
            "curtain",
            say("set_curtain_none"),
            say("set_curtain_limit", edition=EDITION, most=show(COARSEST_CURTAIN, "mm")),
            basis=weakest(resolution.basis, Basis.FROM_MEMORY).value,
            note=say("set_curtain_coarse", resolution=show(resolution.high, "mm")),
        )
        return
    distance = float(
        np.asarray(light_curtain_distance(stopping_time=stop.high, resolution=resolution.high))
    )
    yield told(
        say,
        "curtain",
        show(distance, "mm"),
        say("set_curtain_span", edition=EDITION, time=show_value(stop.high, TIME)),
        ends=(distance, distance),
        unit="m",
        basis=weakest(stop.basis, Basis.FROM_MEMORY).value,
        note=say("set_curtain_note", edition=EDITION),
    )
