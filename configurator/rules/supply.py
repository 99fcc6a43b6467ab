"""Supply and waste: what a container gives, what a shift takes, and what it throws away.

A dual cartridge feeds both sides of a two-part head. Each side's own pump meters, so the cartridge
holds no ratio: whatever its second chamber still has when the first is empty is thrown away.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from configurator.catalog.parts import Feed, Part
from configurator.rules.ageing import (
    AGE_ASKS,
    POT_LIFE_ASKS,
    VOLUME_PARTS,
    stop,
    untold_age,
)
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.outcome import Grades
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis
from configurator.units.kinds import FRACTION, TIME, VOLUME

MIXERS_A_SHIFT = 1.0
"""Changes of the mixer in a shift: it sets solid in the break (common practice, no source)."""

HALF, LEAST_SHARE = 0.5, 1e-9
"""Share of the flow from which a side has the larger chamber; one below any that is metered. [-]"""

PARTS_OF_A_SHIFT = "the parts of a shift (production.parts_per_shift of the process)"


def chambers(side: Side, feed: Side) -> tuple[Floats, Floats]:
    """What a side's container holds, and what the other chamber of a dual cartridge does. [m^3]

    The side that takes more has the larger chamber, the first of two alike; NaN where there is no other.

    Parameters
    ----------
    side : Side
        Whose share decides.
    feed : Side
        Whose feeds are read: either side has the same dual cartridge.
    """
    larger, smaller = (feed.column("feed", f, "low") for f in ("capacity", "second_capacity"))
    share = np.asarray(side.share.nominal)
    second = (share < HALF) | ((share == HALF) & (side.prefix == "b."))
    dual = second & ~np.isnan(smaller)
    return np.where(dual, smaller, larger), np.where(dual, larger, smaller)


def left_over(side: Side, feed: Side) -> Floats:
    """Share of a dual cartridge's chamber that is left when the other one is empty. [-]"""
    own, other = chambers(side, feed)
    share = np.asarray(side.share.nominal)
    emptied = other * share / (own * np.fmax(1.0 - share, LEAST_SHARE))
    return np.where(np.isnan(other), 0.0, np.fmax(1.0 - emptied, 0.0))


def _own_heel(case: Case, feed: Side) -> Floats:
    stated = feed.column("feed", "heel")
    return np.where(np.isnan(stated), case.practice.feed_heel.nominal, stated)


def heel(case: Case, side: Side, feed: Side | None = None) -> Floats:
    """Share of a container that stays behind when it is changed. [-]"""
    feed = feed or side
    kept = (1.0 - _own_heel(case, feed)) * (1.0 - left_over(side, feed))
    return np.asarray(1.0 - kept)


def usable(case: Case, side: Side) -> Floats:
    """Volume that a container gives. [m^3]"""
    return np.asarray(chambers(side, side)[0] * (1.0 - heel(case, side)))


def both_chambers(case: Case, _side: Side) -> Grades | None:
    """A dual cartridge stands on both sides of a two-part head, or on none."""
    names = [
        [part.both_sides for part in case.frame.parts[side.slot("feed")] if isinstance(part, Feed)]
        for side in case.sides
    ]
    if not case.material.two_part:
        return Grades(case.frame.codes("feed", lambda part: _alone(part)[0]))
    states = [[State.FITS if a == b else State.RULED_OUT for b in names[1]] for a in names[0]]
    table = np.array(states, dtype=np.int8).reshape(len(names[0]), len(names[1]))
    return Grades(table[tuple(case.frame.places(side.slot("feed")) for side in case.sides)])


def _alone(part: Part) -> tuple[State, str]:
    assert isinstance(part, Feed)
    if part.both_sides:
        return State.RULED_OUT, f"feed {part.name} holds two components; the material has one"
    return State.FITS, f"feed {part.name} holds one component"


def _both_words(case: Case, _side: Side, build: Build) -> Words:
    feeds = [build[side.slot("feed")] for side in case.sides]
    if len(feeds) == 1:
        reason = _alone(feeds[0])[1]
    else:
        dual = next((each for each in feeds if isinstance(each, Feed) and each.both_sides), None)
        shared = dual is not None and feeds[0].name == feeds[1].name
        reason = (
            f"feeds {feeds[0].name} and {feeds[1].name} hold one component each"
            if dual is None
            else f"dual cartridge {dual.name} feeds both sides"
            if shared
            else f"{dual.name} is a dual cartridge: it feeds both sides or none"
        )
    return Words("one container a side", "or one for both", reason, Basis.INVENTED)


def ratio_of_dual(case: Case, side: Side) -> Comparison | None:
    """What the bores of a dual cartridge leave over at this ratio, against the shop's most."""
    if not case.material.two_part:
        return None
    left = Bound.exact(left_over(side, side))
    most = Bound.exact(case.practice.dual_left_over.nominal)
    return Comparison(left, most, FRACTION, cap=State.MARGINAL)


def one_shot(case: Case, side: Side) -> Comparison | None:
    """The largest shot against what a container gives: none ends in the middle of a shot."""
    shot = _shot(case, side)
    return None if shot is None else Comparison(shot, Bound.exact(usable(case, side)), VOLUME)


def share_of_feed(case: Case, side: Side) -> Comparison | None:
    """The largest shot against the share of a container that the shop lets one take."""
    shot = _shot(case, side)
    if shot is None:
        return None
    allowed = usable(case, side) * case.practice.shot_of_feed.nominal
    return Comparison(shot, Bound.exact(allowed), VOLUME, cap=State.MARGINAL)


def _shot(case: Case, side: Side) -> Bound | None:
    shot = case.duty.shot
    if shot is None:
        return None
    share = side.share
    ends = shot.low * share.low, shot.nominal * share.nominal, shot.high * share.high
    return Bound.spread(*ends, "largest shot")


def container_time(case: Case, side: Side) -> tuple[Floats, Floats, Floats] | None:
    """Least, nominal and longest time that a container lasts; None if the pace is unknown. [s]"""
    pace = case.duty.pace
    if pace is None:
        return None
    gives, share = usable(case, side), side.share
    return (
        gives / (pace.high * share.high),
        gives / (pace.nominal * share.nominal),
        gives / (pace.low * share.low),
    )


def changed_seldom(case: Case, side: Side) -> Comparison | None:
    """Time that a container lasts against the shop's least, where the pace is known."""
    lasts = container_time(case, side)
    if lasts is None:
        return None
    least, nominal, longest = lasts
    demand = Bound(longest, nominal, least, "highest pace")
    return _lasting(case, demand)


def without_pause(case: Case, side: Side) -> Comparison | None:
    """The same where nobody says how often shots come: what lasts without a pause lasts."""
    if case.duty.pace is not None:
        return None
    least = usable(case, side) / (case.duty.flow.high * side.share.high)
    floor = case.practice.feed_lasts.nominal
    demand = Bound.exact(np.where(least < floor, np.nan, least), "without any pause")
    return replace(_lasting(case, demand), untold=untold_age(case))


def _lasting(case: Case, demand: Bound) -> Comparison:
    floor = Bound.exact(case.practice.feed_lasts.nominal)
    return Comparison(demand, floor, TIME, at_least=True, cap=State.MARGINAL)


def used_up(case: Case, side: Side) -> Comparison | None:
    """Time that a container lasts against how long it may stand open; its rest is waste."""
    may = side.component.open_time
    if may is None:
        return None
    least, nominal, longest = container_time(case, side) or (np.asarray(np.nan),) * 3
    return Comparison(
        Bound(least, nominal, longest, "lowest pace"),
        Bound.exact(may.low),
        TIME,
        cap=State.MARGINAL,
        asked=~np.isposinf(may.low),
        untold=untold_age(case),
    )


def wasted(case: Case) -> tuple[Bound, Bound]:
    """Waste of a shift over what it lays down, in two halves; NaN where that is unknown. [-]

    The heels of the first side's containers; and those of the other side with one change of the
    mixer, and a purge where the longest stop, taken to come once, calls for one. The first half tells
    what a dual cartridge leaves over on either side, so that few feeds of the other are told apart.
    """
    first, *rest = case.sides
    behind = [(side, _own_heel(case, side)) for side in case.sides]
    heels, *others = [_per_laid(side, each) for side, each in behind]
    for side in rest:
        leaves = _per_laid(side, heel(case, side, first)) - _per_laid(side, _own_heel(case, first))
        heels = heels + leaves
    heels = heels + _per_laid(first, heel(case, first)) - _per_laid(first, _own_heel(case, first))
    two_part, laid = case.material.two_part, case.duty.laid_down
    if laid is None:
        unknown = Bound.exact(np.nan)
        return unknown, unknown
    lost = [np.asarray(0.0)] * 3
    standing = stop(case, case.sides[0])
    if standing is not None:
        purge, volume = case.practice.purge_volumes.nominal, case.mixer.volume
        ages, lives = standing.demand, standing.limit
        pairs = ((ages.kind, lives.kind), (ages.nominal, lives.nominal), (ages.hard, lives.hard))
        late = [np.where(np.isnan(age), np.nan, age > life) for age, life in pairs]
        lost = [volume * (MIXERS_A_SHIFT + purge * each) for each in late]
    kind, nominal, hard = (
        np.asarray(sum(others, volume / of))
        for volume, of in zip(lost, (laid.high, laid.nominal, laid.low), strict=True)
    )
    fewest = Bound(heels, heels, heels, "fewest parts", estimated=two_part)
    return fewest, Bound(kind, nominal, hard, estimated=two_part)


def _per_laid(side: Side, stays: Floats) -> Floats:
    """What stays of a side's containers over all that is laid down. [-]"""
    return np.asarray(side.share.nominal * stays / (1.0 - stays))


def waste(case: Case, _side: Side) -> Comparison | None:
    """Waste of a shift against the share that the process allows."""
    allowed = case.duty.waste_max
    if np.isnan(allowed).all():
        return None
    untold = PARTS_OF_A_SHIFT if case.duty.laid_down is None else ""
    heels, rest = wasted(case)
    return Comparison(heels, Bound.exact(allowed), FRACTION, untold=untold, rest=rest)


CONTAINER_PARTS = ("feed.capacity", "feed.second_capacity", "feed.heel")

RULES: tuple[Rule, ...] = (
    Rule(
        name="dual cartridge on both sides",
        family="fit",
        parts=("feed.both_sides",),
        asks=(),
        check=both_chambers,
        words=_both_words,
        whole=True,
        source="definition",
    ),
    Rule(
        name="dual cartridge against the ratio",
        family="metering",
        parts=CONTAINER_PARTS[:2],
        asks=("material.mix",),
        practice=("dual_left_over",),
        check=ratio_of_dual,
        sentence="when the other chamber of {feed} is empty, {demand} of this one is left over; "
        "{limit} should be at most",
        source="bores of the two chambers against the mix ratio; share of shop practice",
    ),
    Rule(
        name="one shot from the feed",
        family="metering",
        parts=CONTAINER_PARTS,
        asks=("process.deposit",),
        practice=("feed_heel",),
        check=one_shot,
        sentence="the largest shot takes {demand}; feed {feed} gives {limit}",
        source="capacity less heel from the catalog",
    ),
    Rule(
        name="share of the feed in one shot",
        family="metering",
        parts=CONTAINER_PARTS,
        asks=("process.deposit",),
        practice=("feed_heel", "shot_of_feed"),
        check=share_of_feed,
        sentence="the largest shot takes {demand}; of feed {feed} one should take {limit} at most",
        source="shop practice",
    ),
    Rule(
        name="time between two changes of the feed",
        family="metering",
        parts=CONTAINER_PARTS,
        asks=AGE_ASKS,
        practice=("feed_heel", "feed_lasts"),
        check=changed_seldom,
        comfort=(1 / 6, 1 / 2),
        sentence="feed {feed} lasts {demand}; it should last {limit}",
        source="shop practice",
    ),
    Rule(
        name="feed on shots of unknown pace",
        family="metering",
        parts=("feed.capacity", "feed.heel"),
        asks=AGE_ASKS,
        practice=("feed_heel", "feed_lasts"),
        check=without_pause,
        sentence="without any pause feed {feed} lasts {demand}; it should last {limit}",
        source="shop practice",
    ),
    Rule(
        name="open time of the feed",
        family="metering",
        parts=CONTAINER_PARTS,
        asks=("component.open_time", *AGE_ASKS),
        practice=("feed_heel",),
        check=used_up,
        sentence="feed {feed} lasts {demand}; opened, the material may be used for {limit}",
        source="volume over pace; open time as stated",
    ),
    Rule(
        name="waste of a shift",
        family="metering",
        parts=(*CONTAINER_PARTS, *VOLUME_PARTS),
        asks=(*POT_LIFE_ASKS, "process.longest_stop", "process.production"),
        practice=("feed_heel", "purge_volumes", "pot_life_stop_share"),
        check=waste,
        sentence="a shift wastes {demand} of what it lays down; {limit} is allowed",
        source="heels of the containers, one change of the mixer, and a purge where the longest stop "
        "calls for one",
        whole=True,
    ),
)
