"""First settings of pressures: feed or regulator, and the trip behind the tip."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from configurator.report.settings_kind import Setting, asked, of_side, ranged, told
from configurator.report.sheet_words import SheetWords
from configurator.rules.at_rest import leak_share, rest_pressure
from configurator.rules.case import Case
from configurator.rules.comparison import Bound
from configurator.rules.filling import feed_pressure, head_pressure, inlet_pressure, regulator_drop
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.restart import restart_pressure
from configurator.rules.sensor import LEAST_ALARM, alarm
from configurator.rules.side import Side
from configurator.rules.tip_at_rest import shut_off
from configurator.trial.distributions import root
from configurator.trial.head import Head, one
from configurator.units.display import figures, show_value
from configurator.units.kinds import PRESSURE, TIME


def feed_settings(case: Case, side: Side, say: SheetWords) -> Iterator[Setting]:
    """Pressure of the feed; of a regulated one its supply, and what the regulator is set to."""
    there, regulated = one(feed_pressure(case, side)), _is_regulated(side)
    called = "supply" if regulated else "feed"
    usual, start = _fills(case, case.of_requests(inlet_pressure, side), there)
    if start > there:
        yield _no_feed(case, side, say, called, usual=usual, needed=start)
        return
    notes = [say("set_feed_note", most=show_value(there, PRESSURE))]
    if regulated:
        ends = min(usual, start), there
        yield _feed_setting(case, side, say, called, start=start, ends=ends, notes=notes)
        there -= one(regulator_drop(side))
        usual, start = _fills(case, head_pressure(side), there)
        called, notes = "regulator", []
    top, told_of_rest = _at_rest(case, side, say, start)
    notes += told_of_rest
    least = case.practice.feed_least.nominal
    if start >= least:
        notes.append(say("set_feed_least", least=show_value(least, PRESSURE)))
    ends = min(usual, start), max(min(there, top), start)
    yield _feed_setting(case, side, say, called, start=start, ends=ends, notes=notes)


def _is_regulated(side: Side) -> bool:
    return math.isfinite(one(side.column("feed", "regulator_drop")))


def _fills(case: Case, needed: Bound, there: float) -> tuple[float, float]:
    """What fills usual and thickest material, at least what any feed is set to. [Pa]"""
    least = min(case.practice.feed_least.nominal, there)
    usual, thickest = (
        max(one(end) - AMBIENT_PRESSURE, least) for end in (needed.nominal, needed.hard)
    )
    return usual, thickest


def _feed_setting(
    case: Case,
    side: Side,
    say: SheetWords,
    called: str,
    *,
    start: float,
    ends: tuple[float, float],
    notes: list[str],
) -> Setting:
    return ranged(
        say,
        "regulator" if called == "regulator" else "feed",
        PRESSURE,
        start=start,
        ends=ends,
        basis=asked(case, side, "component.flow", "process.feed_pressure").value,
        note="; ".join(notes),
        called=called,
        side=of_side(side),
    )


def _no_feed(
    case: Case, side: Side, say: SheetWords, called: str, *, usual: float, needed: float
) -> Setting:
    """Nothing that is there fills the cavity: what is missing, and of what."""
    there = one(feed_pressure(case, side))
    supply, rated = case.duty.feed_pressure, one(side.column("feed", "pressure_max", "low"))
    values = {"missing": needed - there, "supply": supply, "rated": rated}
    shown = {name: show_value(value, PRESSURE) for name, value in values.items()}
    notes = [say("set_feed_none_note", **shown)]
    if usual <= there:
        notes.append(say("set_feed_usual", usual=show_value(usual, PRESSURE)))
    return told(
        say,
        "feed",
        say("set_feed_none"),
        say("set_feed_none_span", needed=show_value(needed, PRESSURE)),
        unit="Pa",
        basis=asked(case, side, "component.flow", "process.feed_pressure").value,
        note="; ".join(notes),
        called=called,
        side=of_side(side),
    )


def _at_rest(case: Case, side: Side, say: SheetWords, start: float) -> tuple[float, list[str]]:
    """Set pressure up to which nothing comes out in a stop, and the words for it. [Pa]"""
    locked, notes = 1.0, []
    if _is_regulated(side):
        locked += case.practice.regulator_lock_up.high
        notes.append(say("set_regulator_lock_up", percent=figures((locked - 1.0) * 100)))
    top = one(rest_pressure(case, side).limit.nominal)
    if side.rotation.seals.rigid.all():
        share, shut = case.practice.weep_share, one(shut_off(case))
        weeps, drips = (
            float(np.maximum(_leaking_at(case, side, end), shut)) for end in (share.low, share.high)
        )
        if math.isnan(weeps + drips):
            notes.append(say("set_feed_weeps_unknown"))
        for key, pressure, end in ("weeps", weeps, share.low), ("leaks", drips, share.high):
            # A tip that shuts off goes from nothing to whatever it is.
            if math.isfinite(pressure) and (key == "leaks" or weeps < drips):
                shown = show_value(pressure / locked, PRESSURE)
                notes.append(say(f"set_feed_{key}", least=shown, percent=figures(end * 100)))
        top = float(np.fmin(top, weeps))
    elif math.isfinite(top):
        notes.append(say("set_feed_drips", rest=show_value(top / locked, PRESSURE)))
    if start > top / locked:
        notes.append(say("set_feed_stops"))
    return top / locked, notes


def _leaking_at(case: Case, side: Side, share: float) -> float:
    """Pressure at which a share of the lowest flow leaks; infinite if none up to the rating. [Pa]"""
    rated = one(side.column("cavity", "stage_pressure", "low") * side.column("cavity", "stages"))

    def beyond(pressure: float) -> float:
        return one(leak_share(side, np.full(case.frame.shape(()), pressure))) / share - 1.0

    at_rating = beyond(rated)
    if at_rating > 0.0:
        return root(beyond, 1.0, rated)
    return math.nan if math.isnan(at_rating) else math.inf


def tip_volume(case: Case) -> float:
    """Volume of the tip, taken at its entry. [m^3]"""
    entry = one(case.column("outlet", "entry_bore"))
    return math.pi / 4.0 * entry**2 * one(case.column("outlet", "length"))


def pressure_trip(head: Head, say: SheetWords) -> Setting:
    """The alarm of a blocked tip, and not above a rating."""
    case, rated = head.case, head.rated
    expected, restart = one(case.outlet.highest.hard), one(restart_pressure(case).hard)
    most = float(np.fmax(expected, restart))
    above = max((1.0 + case.caution) * most, LEAST_ALARM)
    trip = min(one(alarm(case).hard), rated)
    shown = {"expected": expected, "restart": restart, "rated": rated}
    words = {name: show_value(value, PRESSURE) for name, value in shown.items()}
    stiffer = restart > 1.001 * expected
    if not stiffer:
        del words["restart"]
    return told(
        say,
        "trip",
        show_value(trip, PRESSURE),
        say("set_trip_restart" if stiffer else "set_trip_span", **words),
        ends=(min(most, rated), rated),
        unit="Pa",
        note=_trip_note(head, say, expected, restart, above),
    )


def _trip_note(head: Head, say: SheetWords, expected: float, restart: float, above: float) -> str:
    """What to mind of the trip, the worst first: none of it masks what passes a rating."""
    case = head.case
    if expected > head.rated:
        return say("set_trip_over")
    if math.isnan(restart):
        return say("set_trip_stop_unknown")
    if restart > head.rated:
        return say("set_trip_restart_over")
    if above <= head.rated or restart <= expected:
        return say("set_trip_note")
    times = case.practice.purge_volumes.nominal
    stood = tip_volume(case) + (one(case.mixer.volume) if case.material.two_part else 0.0)
    return say(
        "set_trip_close",
        percent=figures(case.caution * 100),
        time=show_value(times * stood / case.duty.flow.nominal, TIME),
        times=figures(times),
    )
