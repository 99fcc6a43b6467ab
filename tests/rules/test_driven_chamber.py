"""A driven chamber that holds less than a shot: what stood in it, and what only flows through.

Shots of 5 mL in 5 s, one in 30 s: a chamber of 1 mL is filled five times by a shot, each time in a
second, and its content stands for 25 s between two.
"""

from __future__ import annotations

import math

import pytest
from two_part_world import TWO_PART

from configurator.rules.case import Case
from configurator.rules.finding import State

SMALL = {"mixing.kind": "chamber", "mixing.volume": "1 mL", "mixing.speed_max": "600 rpm"}
GAP = {"mixing.chamber_diameter": "10 mm", "mixing.gap": "0.5 mm"}


def test_what_flows_through_does_not_see_the_pause():
    (found,) = TWO_PART.having(SMALL).findings("turns of the driven mixer")
    assert found.demand == pytest.approx(10.0 * 1.0)
    assert found.state is State.RULED_OUT


def test_a_shot_that_stood_in_it_does():
    (found,) = TWO_PART.having(SMALL | {"mixing.volume": "6 mL"}).findings(
        "turns of the driven mixer"
    )
    assert found.demand == pytest.approx(10.0 * 25.0)


def test_nobody_knows_the_pause_of_a_shot_that_could_stand_in_it():
    untold = {"process.production.cycle_time": None}
    states = {
        volume: TWO_PART.having(SMALL | untold | {"mixing.volume": volume})
        .findings("turns of the driven mixer")[0]
        .state
        for volume in ("1 mL", "5.1 mL")
    }
    slow = TWO_PART.having(
        SMALL | untold | {"mixing.volume": "5.1 mL", "mixing.speed_max": "60 rpm"}
    )
    assert states == {"1 mL": State.RULED_OUT, "5.1 mL": State.FITS}
    assert slow.findings("turns of the driven mixer")[0].state is State.UNPROVEN


def test_what_stood_in_it_is_as_old_as_the_pause():
    """25 s of pause, and a second to push it out; the mean of a shot is a fifth of a cycle."""
    (found,) = TWO_PART.having(SMALL).findings("residence against pot life")
    assert found.demand == pytest.approx(26.0)
    (whole,) = TWO_PART.having(SMALL | {"mixing.volume": "10 mL"}).findings(
        "residence against pot life"
    )
    assert whole.demand == pytest.approx(60.0)


@pytest.mark.parametrize(("volume", "speed"), [("4 mL", 5.0), ("1 mL", 10.0), ("6 mL", 0.8)])
def test_the_stirrer_need_turn_no_faster_than_the_turns_asked_for(volume, speed):
    """Twenty turns in four seconds, in one, which it cannot, and in a pause of 25 s."""
    world = TWO_PART.having(SMALL | GAP | {"mixing.volume": volume})
    answer = world.answer
    case = Case(answer.subject, answer.frame)
    place = [part.kind for part in answer.frame.parts["mixing"]].index("chamber")
    assert case.mixer.stirrer_speed.reshape(-1)[place] == pytest.approx(speed)


def test_the_gap_of_the_stirrer_shears_what_minds_it():
    """Five turns a second of a rim of 9 mm over half a millimetre."""
    world = TWO_PART.having(SMALL | GAP | {"mixing.volume": "4 mL", "a.shear_rate_max": "250 1/s"})
    found, *_ = world.findings("shear in the mixer")
    assert found.demand == pytest.approx(math.pi * 9e-3 * 5.0 / 0.5e-3)
    assert found.state is State.RULED_OUT
    unknown, *_ = world.having({"mixing.gap": None}).findings("shear in the mixer")
    assert unknown.state is State.UNPROVEN


@pytest.mark.parametrize("rule", ["mixed well enough", "unlike viscosities"])
def test_what_only_a_tube_is_asked_is_not_told_of_a_chamber_as_a_figure(rule):
    for found in TWO_PART.having(SMALL | {"process.mixing_quality": "5 %"}).findings(rule):
        assert found.state is State.FITS
        assert found.reason.startswith("it asks nothing of ")
        assert found.margin is None
