"""Outlet: the bore for the dot or bead, reach, tip diameter, and what the feed can push."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from configurator.physics.deposit import mouth_speed
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.fluid import PRACTICE_RATE
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.interval import ENDS
from configurator.units.kinds import LENGTH, NUMBER, SPEED, VISCOSITY
from configurator.units.quantity import Quantity


def _width_to_bore(case: Case, *, widest: bool) -> Bound | None:
    width = case.duty.width
    if width is None:
        return None
    fine, usual, wide = (case.column("outlet", "bore", end) for end in ENDS)
    guessed = case.duty.width_guessed
    if widest and guessed:
        ends = width.low / wide, width.low / usual, width.low / fine
        return Bound(*ends, "dot that does not spread")
    low, nominal, high = width.low / wide, width.nominal / usual, width.high / fine
    if widest:
        return Bound(low, nominal, high, "widest deposit", guessed)
    return Bound(high, nominal, low, "narrowest deposit", guessed)


def at_most(practice: Quantity) -> Bound:
    """A ceiling of shop practice: up to its low end all is well, beyond its high end nothing is."""
    return Bound.spread(practice.high, practice.high, practice.low)


def at_least(practice: Quantity) -> Bound:
    """A floor of shop practice: from its high end on all is well, below its low end nothing is."""
    return Bound.spread(practice.low, practice.low, practice.high)


def bore_not_too_wide(case: Case, _side: Side) -> Comparison | None:
    """Dot or bead width over bore: a bore too wide cannot lay so fine a deposit."""
    ratio = _width_to_bore(case, widest=False)
    if ratio is None:
        return None
    practice = case.practice
    least = practice.dot_to_bore_low if case.duty.kind == "dots" else practice.bead_to_bore_low
    return Comparison(ratio, at_least(least), NUMBER, at_least=True)


def bore_not_too_fine(case: Case, _side: Side) -> Comparison | None:
    """Dot or bead width over bore: a bore too fine piles the deposit up.

    A deposit wider than practice spreads by wetting, so that the tip stays possible but has to
    prove itself, up to a width that no practice reaches. A volume without a shape asks for no width:
    then the tip has to lay the dot that does not spread, and wetting does the rest.
    """
    ratio = _width_to_bore(case, widest=True)
    if ratio is None:
        return None
    practice = case.practice
    most = practice.dot_to_bore_high if case.duty.kind == "dots" else practice.bead_to_bore_high
    return Comparison(ratio, at_most(most), NUMBER)


def tip_inside_dot(case: Case, _side: Side) -> Comparison | None:
    """Outside diameter of the tip against the dot: a wider face is wetted and smears it."""
    width = case.duty.width
    if width is None or case.duty.kind != "dots":
        return None
    least, usual, most = (case.column("outlet", "outside_diameter", end) for end in ENDS)
    demand = Bound(kind=least, nominal=usual, hard=most, corner="narrowest dot")
    limit = Bound.falling(width, estimated=case.duty.width_guessed)
    return Comparison(demand, limit, LENGTH)


def _speed_at_mouth(case: Case) -> Bound | None:
    """Speed at which a potting or a plain flow leaves the tip; nothing else tells its bore. [m/s]"""
    if case.duty.kind not in ("potting", "flow"):
        return None
    flow = case.duty.flow
    fine, usual, wide = (case.column("outlet", "bore", end) for end in ENDS)
    return Bound.spread(
        mouth_speed(flow_rate=flow.low, bore=wide),
        mouth_speed(flow_rate=flow.nominal, bore=usual),
        mouth_speed(flow_rate=flow.high, bore=fine),
        "highest flow",
    )


def mouth_not_too_fast(case: Case, _side: Side) -> Comparison | None:
    """Speed at the mouth against that from which a stream splashes and folds air in."""
    speed = _speed_at_mouth(case)
    if speed is None:
        return None
    return Comparison(speed, at_most(case.practice.mouth_speed_high), SPEED)


def mouth_not_too_slow(case: Case, _side: Side) -> Comparison | None:
    """Speed at the mouth against that below which a wide bore creeps, empties and drips."""
    speed = _speed_at_mouth(case)
    if speed is None:
        return None
    slowest = replace(speed, kind=speed.hard, hard=speed.kind, corner="lowest flow")
    return Comparison(slowest, at_least(case.practice.mouth_speed_low), SPEED, at_least=True)


def reach(case: Case, _side: Side) -> Comparison | None:
    """Length of the tip against the depth it has to reach into."""
    wanted = case.process.reach
    if wanted is None:
        return None
    length = case.column("outlet", "length", "low")
    return Comparison(Bound.exact(length), Bound.exact(wanted.high), LENGTH, at_least=True)


def tip_diameter(case: Case, _side: Side) -> Comparison | None:
    """Outside diameter of the tip against the room there is."""
    room = case.process.tip_outside_diameter_max
    if room is None:
        return None
    outside = case.column("outlet", "outside_diameter", "high")
    return Comparison(Bound.exact(outside), Bound.exact(room.low), LENGTH)


def rise_rate(case: Case, _side: Side) -> Comparison | None:
    """Rise of the level while potting: too quick a rise folds air in."""
    deposit = case.process.deposit
    if deposit.kind != "potting" or deposit.rise_rate_max is None:
        return None
    flow, area = case.duty.flow, deposit.free_area
    demand = Bound.exact(math.nan, "free area not stated")
    if area is not None:
        ends = flow.low / area.high, flow.nominal / area.nominal, flow.high / area.low
        demand = Bound.spread(*ends, "quickest fill")
    return Comparison(demand, Bound.exact(deposit.rise_rate_max.low), SPEED)


def feed_viscosity(_case: Case, side: Side) -> Comparison:
    """Apparent viscosity against what the feed can move at all."""
    ends, words = side.fluid.apparent(PRACTICE_RATE), side.fluid.thick_words
    demand = Bound.spread(*ends, words, estimated=side.fluid.estimated)
    limit = Bound.exact(side.column("feed", "viscosity_max", "low"))
    return Comparison(demand, limit, VISCOSITY)


def thick_enough(_case: Case, side: Side) -> Comparison:
    """Apparent viscosity against what a follower plate holds back: thinner runs past it."""
    thin, usual, thick = side.fluid.apparent(PRACTICE_RATE)
    words = side.fluid.thin_words
    demand = Bound.spread(thick, usual, thin, words, estimated=side.fluid.estimated)
    stated = side.column("feed", "viscosity_min", "high")
    limit = Bound.exact(np.where(np.isnan(stated), 0.0, stated))
    return Comparison(demand, limit, VISCOSITY, at_least=True)


RULES: tuple[Rule, ...] = (
    Rule(
        name="bore fine enough for the deposit",
        family="outlet",
        parts=("outlet.bore",),
        asks=("process.deposit",),
        practice=("dot_to_bore_low", "bead_to_bore_low"),
        check=bore_not_too_wide,
        whole=True,
        sentence="the deposit is {demand} times as wide as the bore of tip {outlet}; "
        "it should be at least {limit} times",
        source="shop practice",
    ),
    Rule(
        name="bore wide enough for the deposit",
        family="outlet",
        parts=("outlet.bore",),
        asks=("process.deposit",),
        practice=("dot_to_bore_high", "bead_to_bore_high"),
        check=bore_not_too_fine,
        whole=True,
        sentence="the deposit is {demand} times as wide as the bore of tip {outlet}; "
        "beyond {limit} times the shape has to prove itself, beyond {outer} times none holds",
        source="shop practice",
    ),
    Rule(
        name="tip narrower than the dot",
        family="outlet",
        parts=("outlet.outside_diameter",),
        asks=("process.deposit",),
        check=tip_inside_dot,
        whole=True,
        sentence="tip {outlet} is {demand} across and the dot {limit}: a wider tip smears it",
        source="common practice, no source: a dot wets the face of the tip",
    ),
    Rule(
        name="speed at the mouth",
        family="outlet",
        parts=("outlet.bore",),
        asks=("process.deposit",),
        practice=("mouth_speed_high",),
        check=mouth_not_too_fast,
        whole=True,
        sentence="the stream leaves tip {outlet} at {demand}; beyond {limit} it may splash, beyond "
        "{outer} it does",
        source="flow over bore; shop practice",
    ),
    Rule(
        name="mouth not too wide for the flow",
        family="outlet",
        parts=("outlet.bore",),
        asks=("process.deposit",),
        practice=("mouth_speed_low",),
        check=mouth_not_too_slow,
        whole=True,
        sentence="the material creeps out of tip {outlet} at {demand}; below {limit} a wide bore may "
        "empty between two shots, below {outer} it does",
        source="flow over bore; shop practice",
    ),
    Rule(
        name="reach of the tip",
        family="outlet",
        parts=("outlet.length",),
        asks=("process.reach",),
        check=reach,
        whole=True,
        sentence="tip {outlet} is {demand} long; the part asks for {limit}",
        source="length from the catalog",
    ),
    Rule(
        name="room for the tip",
        family="outlet",
        parts=("outlet.outside_diameter",),
        asks=("process.tip_outside_diameter_max",),
        check=tip_diameter,
        whole=True,
        sentence="tip {outlet} is {demand} across; there is room for {limit}",
        source="outside diameter from the catalog",
    ),
    Rule(
        name="rise rate in the potting",
        family="outlet",
        parts=(),
        asks=("process.deposit",),
        check=rise_rate,
        whole=True,
        sentence="the level rises at {demand}; the process allows {limit}",
        source="flow over free area",
    ),
    Rule(
        name="viscosity the feed can move",
        family="outlet",
        parts=("feed.viscosity_max",),
        asks=("component.flow", "process.temperature"),
        check=feed_viscosity,
        sentence="the material is up to {demand} thick at 10 1/s; feed {feed} moves {limit}",
        source="rating from the catalog",
    ),
    Rule(
        name="viscosity the feed holds back",
        family="outlet",
        parts=("feed.viscosity_min",),
        asks=("component.flow", "process.temperature"),
        check=thick_enough,
        sentence="the material is as thin as {demand} at 10 1/s; past the plate of feed {feed} runs what "
        "is thinner than {limit}",
        source="rating from the catalog",
    ),
)
