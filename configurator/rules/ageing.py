"""Ageing: how long a mix stands in the mixer between two deposits and in a stop."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.finding import State
from configurator.rules.mixing import STATIC_PARTS
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import NUMBER, TIME

VOLUME_PARTS = (*STATIC_PARTS, "mixing.volume")
AGE_ASKS = ("process.deposit", "process.production.cycle_time")
POT_LIFE_ASKS = ("material.mix", "process.temperature", *AGE_ASKS)
CYCLE_TIME = "the cycle time (production.cycle_time of the process)"


def chamber_turns(case: Case, _side: Side) -> Comparison | None:
    """Turns of a chamber's stirrer before a shot against the shop's least."""
    if not case.material.two_part:
        return None
    turns = _of_chambers(case, case.mixer.turns, np.inf)
    least = Bound.exact(case.practice.chamber_turns.nominal)
    return Comparison(turns, least, NUMBER, at_least=True, untold=untold_age(case))


def chamber_fresh_enough(case: Case, _side: Side) -> Comparison | None:
    """Shots that a chamber holds against the shop's most: of more, a shot renews little.

    One that holds less than a shot mixes as well as its stirrer turns while that flows through.
    """
    shot = case.duty.shot
    if shot is None or not case.material.two_part:
        return None
    held = Bound.falling(shot, "smallest shot").each(lambda end: case.mixer.volume / end)
    most = Bound.exact(case.practice.chamber_shots.high)
    return Comparison(_of_chambers(case, held, 0.0), most, NUMBER, cap=State.MARGINAL)


def _of_chambers(case: Case, bound: Bound, elsewhere: float) -> Bound:
    return bound.each(lambda end: np.where(case.mixer.chamber, end, elsewhere))


def untold_age(case: Case) -> str:
    """What to tell where the age is unknown."""
    duty = case.duty
    return CYCLE_TIME if duty.shot is not None and duty.cycle is None else ""


def residence(case: Case, _side: Side) -> Comparison | None:
    """Age of what leaves the mixer against a share of the pot life."""
    if not case.material.two_part:
        return None
    limit = case.mixer.cure.share(case.practice.pot_life_run_share.nominal)
    return Comparison(case.mixer.age(case.duty.flow), limit, TIME, untold=untold_age(case))


def stop(case: Case, _side: Side) -> Comparison | None:
    """Longest stop plus age against a share of the pot life: beyond it, purge."""
    if not case.material.two_part:
        return None
    age, stands = case.mixer.age(case.duty.flow), case.duty.longest_stop
    demand = replace(age.each(lambda end: end + stands), corner="after the longest stop")
    limit = case.mixer.cure.share(case.practice.pot_life_stop_share.nominal)
    # Purging on a clock answers a long stop, so that it never rules a head out.
    return Comparison(demand, limit, TIME, cap=State.MARGINAL, untold=untold_age(case))


def shot_in_time(case: Case, _side: Side) -> Comparison | None:
    """Time of a shot against the pot life: what is laid down first sets before the last is."""
    shot = case.duty.shot_time
    if shot is None or not case.material.two_part:
        return None
    demand = Bound.rising(shot, "longest shot")
    # A head may well meter it; whether the deposit stands it, the part has to show.
    return Comparison(demand, case.mixer.cure.share(1.0), TIME, cap=State.MARGINAL)


RULES: tuple[Rule, ...] = (
    Rule(
        name="turns of the driven mixer",
        family="mixing",
        parts=("mixing.volume", "mixing.speed_max"),
        asks=AGE_ASKS,
        practice=("chamber_turns",),
        check=chamber_turns,
        sentence="the stirrer of {mixing} turns {demand} times before a shot; "
        "it should turn {limit} times",
        source="speed times the pause, or the time to flow through if that is longer; shop practice",
        whole=True,
    ),
    Rule(
        name="chamber small enough for the shot",
        family="mixing",
        parts=("mixing.volume",),
        asks=("process.deposit",),
        practice=("chamber_shots",),
        check=chamber_fresh_enough,
        sentence="{mixing} holds {demand} of the smallest shots; it should hold {limit} at most",
        source="shop practice",
        whole=True,
    ),
    Rule(
        name="residence against pot life",
        family="mixing",
        parts=VOLUME_PARTS,
        asks=POT_LIFE_ASKS,
        practice=("pot_life_run_share", "pot_life_factor", "mixer_tail"),
        check=residence,
        sentence="the age of the mix that leaves {mixing} is {demand}; the pot life at the "
        "warmest allows {limit}",
        source="shots that the mixer holds times the cycle, or volume over flow without an end; "
        "tail, change of pot life with temperature and its share are shop practice",
        whole=True,
    ),
    Rule(
        name="shot against pot life",
        family="mixing",
        parts=(),
        asks=("material.mix", "process.temperature", "process.deposit"),
        practice=("pot_life_factor",),
        check=shot_in_time,
        sentence="a shot takes {demand}; what is laid down first has a pot life of {limit}",
        source="time of the shot; change of pot life with temperature is shop practice",
        whole=True,
    ),
    Rule(
        name="longest stop against pot life",
        family="mixing",
        parts=VOLUME_PARTS,
        asks=(*POT_LIFE_ASKS, "process.longest_stop"),
        practice=("pot_life_stop_share", "pot_life_factor", "mixer_tail"),
        check=stop,
        sentence="after the longest stop the age of the mix in {mixing} is {demand}; beyond "
        "{limit} it has to be purged",
        source="age plus stop; change of pot life with temperature and its share of practice",
        whole=True,
    ),
)
