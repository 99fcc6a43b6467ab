"""First settings at the part: path, ramp and corner, standoff, suck-back, guarding."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from configurator.physics.machine import COARSEST_CURTAIN, EDITION, light_curtain_distance
from configurator.physics.stored_volume import suck_back_angle
from configurator.report.settings_kind import PRACTICE, Setting, of_side, ranged
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


def path_settings(head: Head) -> Iterator[Setting]:
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
        follows = one(settling(head.case))
        yield Setting(
            "ramp",
            "40 ms",
            "20 to 100 ms",
            PRACTICE,
            "start and stop the rotor that much before and after the path; the flow at the tip "
            f"follows the rotor in {show_value(follows, TIME)}, a change is through after three times "
            f"that, {show_value(follows * deposit.path_speed.high, LENGTH)} of path each",
            0.02,
            0.1,
            "s",
        )
        yield _corner(head, deposit)
    elif isinstance(deposit, Dots):
        note = "stop the rotor at the same angle each time where a shot is less than a turn"
        yield _timed("time of a shot", deposit.dispense_time, note)
    elif isinstance(deposit, Potting):
        note = "fill from the lowest point up, and slow down before the end"
        yield _timed("time of a filling", deposit.fill_time, note)


def _timed(name: str, time: Quantity, note: str) -> Setting:
    """A stated time, and a tenth either way to search in."""
    low, high = 0.9 * time.low, 1.1 * time.high
    basis = f"{time.basis.value}; range {PRACTICE}"
    return ranged(name, TIME, start=time.nominal, low=low, high=high, basis=basis, note=note)


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


def standoff(head: Head) -> Setting:
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
        note = "0.8 to 1.2 times the height of the bead, and no more than 1.5 bores"
        if low >= high:
            low = bore
            note = (
                "1 to 1.5 bores: the bead is higher than that and has to build up; a wider tip "
                "suits it better"
            )
    elif isinstance(deposit, Dots):
        low, high, note = 0.4 * bore, 0.6 * bore, "of the bore; lift after the flow has stopped"
        touches = one(touch_height(head.case))
        if not math.isnan(touches):
            low, high = min(low, 0.8 * touches), min(high, touches)
            drop = show_value(one(falling_drop(head.case)), VOLUME)
            note = (
                f"the shot is smaller than the drop of up to {drop} that hangs at this tip, so that it "
                f"has to touch the part: at most {show_value(touches, LENGTH)}; lift after the flow "
                "has stopped"
            )
    else:
        low, high, note = 5e-3, 20e-3, "above the surface; closer where the jet breaks up"
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


def suck_back(head: Head, side: Side) -> Iterator[Setting]:
    """Turns back after a stop: what is stored under pressure between rotor and mouth.

    No more than a share of the shot, and than the tip holds: what comes back in brings air.
    """
    case, practice = head.case, head.case.practice
    entry = one(case.column("outlet", "entry_bore"))
    tip = math.pi / 4.0 * entry**2 * one(case.column("outlet", "length"))
    stored = one(stored_at(case, case.outlet.fast[1]))
    bound, why = tip, "what the tip holds"
    if case.duty.shot is not None:
        share = practice.suck_back_share.nominal * case.duty.shot.low
        if share < bound:
            bound, why = share, f"{figures(practice.suck_back_share.nominal * 100)} % of a shot"
    displacement = one(side.column("cavity", "displacement"))
    angles = (
        suck_back_angle(stored_volume=part * side.share.nominal, displacement=displacement)
        for part in (stored, bound)
    )
    stored_turns, most = (float(np.asarray(angle)) / (2.0 * math.pi) for angle in angles)
    start, low, high = min(stored_turns, most), 0.0, min(2.0 * stored_turns, most)
    note = (
        f"{show_value(stored, VOLUME)} stored under pressure; at most {why}, "
        f"{figures(most)} turns; 1 to 2 times the speed of dispensing"
    )
    if case.material.trigger == "surface moisture":
        start = high = 0.0
        note = "none: this material cures on what comes back in"
    elif len(case.sides) > 1:
        note += "; both sides together and little, or the next shot has another ratio"
    yield Setting(
        f"suck-back{of_side(side)}",
        f"{figures(start)} turns",
        f"{figures(low)} to {figures(high)} turns",
        f"stored volume; bound {PRACTICE}",
        note,
        low,
        high,
        "rev",
    )


def guarding(head: Head) -> Iterator[Setting]:
    """A distance to start the planning of the cell with, by a named edition, and no certificate."""
    carrier = head.case.process.carrier
    if carrier.stopping_time is None or carrier.curtain_resolution is None:
        return
    stop, resolution = carrier.stopping_time, carrier.curtain_resolution
    if resolution.high > COARSEST_CURTAIN:
        yield Setting(
            "light curtain distance (note)",
            "not worked out",
            f"{EDITION} has this formula up to {show(COARSEST_CURTAIN, 'mm')} resolution",
            weakest(resolution.basis, Basis.FROM_MEMORY).value,
            f"the curtain resolves {show(resolution.high, 'mm')}: another part of the standard; who "
            "builds the cell answers for the distance, and this is no certificate",
        )
        return
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
