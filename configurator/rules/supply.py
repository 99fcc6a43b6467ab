"""Supply and waste: what a container gives, what a shift takes, and what it throws away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

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
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import FRACTION, TIME, VOLUME

MIXERS_A_SHIFT = 1.0
"""Changes of the mixer in a shift: it sets solid in the break (common practice, no source)."""

PARTS_OF_A_SHIFT = "the parts of a shift (production.parts_per_shift of the process)"


def heel(case: Case, side: Side) -> Floats:
    """Share of a container that stays behind when it is changed. [-]"""
    stated = side.column("feed", "heel")
    return np.where(np.isnan(stated), case.practice.feed_heel.nominal, stated)


def usable(case: Case, side: Side) -> Floats:
    """Volume that a container gives. [m^3]"""
    return np.asarray(side.column("feed", "capacity", "low") * (1.0 - heel(case, side)))


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
    mixer, and a purge where the longest stop, taken to come once, calls for one.
    """
    shares = [(side.share.nominal, heel(case, side)) for side in case.sides]
    heels, *others = [np.asarray(part * each / (1.0 - each)) for part, each in shares]
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
    first = Bound(heels, heels, heels, "fewest parts", estimated=two_part)
    return first, Bound(kind, nominal, hard, estimated=two_part)


def waste(case: Case, _side: Side) -> Comparison | None:
    """Waste of a shift against the share that the process allows."""
    allowed = case.duty.waste_max
    if np.isnan(allowed).all():
        return None
    untold = PARTS_OF_A_SHIFT if case.duty.laid_down is None else ""
    heels, rest = wasted(case)
    return Comparison(heels, Bound.exact(allowed), FRACTION, untold=untold, rest=rest)


RULES: tuple[Rule, ...] = (
    Rule(
        name="one shot from the feed",
        family="metering",
        parts=("feed.capacity", "feed.heel"),
        asks=("process.deposit",),
        practice=("feed_heel",),
        check=one_shot,
        sentence="the largest shot takes {demand}; feed {feed} gives {limit}",
        source="capacity less heel from the catalog",
    ),
    Rule(
        name="share of the feed in one shot",
        family="metering",
        parts=("feed.capacity", "feed.heel"),
        asks=("process.deposit",),
        practice=("feed_heel", "shot_of_feed"),
        check=share_of_feed,
        sentence="the largest shot takes {demand}; of feed {feed} one should take {limit} at most",
        source="shop practice",
    ),
    Rule(
        name="time between two changes of the feed",
        family="metering",
        parts=("feed.capacity", "feed.heel"),
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
        parts=("feed.capacity", "feed.heel"),
        asks=("component.open_time", *AGE_ASKS),
        practice=("feed_heel",),
        check=used_up,
        sentence="feed {feed} lasts {demand}; opened, the material may be used for {limit}",
        source="volume over pace; open time as stated",
    ),
    Rule(
        name="waste of a shift",
        family="metering",
        parts=("feed.heel", *VOLUME_PARTS),
        asks=(*POT_LIFE_ASKS, "process.longest_stop", "process.production"),
        practice=("feed_heel", "purge_volumes", "pot_life_stop_share"),
        check=waste,
        sentence="a shift wastes {demand} of what it lays down; {limit} is allowed",
        source="heels of the containers, one change of the mixer, and a purge where the longest stop "
        "calls for one",
        whole=True,
    ),
)
