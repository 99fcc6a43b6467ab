"""Containers, waste and wear of a shift: cases that were told to fit, and figures by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from flow_ways import TIP
from small_world import WORLD
from supply_ways import SENSOR
from two_part_ways import AGE, VOLUME
from two_part_world import TWO_PART

from configurator.rules.finding import State
from configurator.workshop.figures import FIGURES

READ = {figure.name: figure.read for figure in FIGURES}

SHIFT = {"process.production": {"cycle_time": "30 s", "parts_per_shift": "900", "shift": "8 h"}}


def figure(world, name: str) -> float:
    (case,) = {applied.case for applied in world.applied}
    return float(np.asarray(READ[name](case)).reshape(-1)[0])


@pytest.mark.parametrize(("capacity", "shot"), [("30 mL", "24 mL"), ("310 mL", "267 mL")])
def test_a_container_that_one_shot_all_but_empties_does_not_fit(capacity, shot):
    world = WORLD.having({"feed.capacity": capacity, "process.deposit.shot": shot})
    assert world.finding("share of the feed in one shot").state is State.MARGINAL
    assert world.finding("one shot from the feed").state is State.FITS


def test_a_shot_never_takes_what_stays_behind():
    """29.5 of 30 mL do not come out where 4 % stay behind; of a part that says 1 % they do."""
    world = WORLD.having({"feed.capacity": "30 mL", "process.deposit.shot": "29.5 mL"})
    assert world.finding("one shot from the feed").state is State.RULED_OUT
    stated = world.having({"feed.heel": "1 %"})
    assert stated.finding("one shot from the feed").state is State.FITS


def test_a_small_container_on_a_large_flow_is_empty_in_half_a_minute():
    """55 mL at 110 mL/min."""
    flow = {"kind": "flow", "flow": "110 mL/min"}
    world = WORLD.having({"process.deposit": flow, "feed.capacity": "55 mL"})
    found = world.finding("time between two changes of the feed")
    assert found.state is State.MARGINAL
    assert found.demand == pytest.approx(0.96 * 30.0)


@pytest.mark.parametrize(
    ("capacity", "state"), [("126 mL", State.FITS), ("124 mL", State.UNPROVEN)]
)
def test_where_nobody_says_how_often_shots_may_come_without_a_pause(capacity, state):
    """Two minutes at 60 mL/min are 120 mL, of which a container of 125 mL is left with 4 %."""
    found = WORLD.having({"feed.capacity": capacity}).finding("feed on shots of unknown pace")
    assert found.state is state
    assert "tell the cycle time" in found.reason
    assert not WORLD.findings("waste of a shift")


def test_figures_of_a_shift():
    """900 shots of 5 mL from a container that gives 288 mL: 57 shots, half an hour, 16 changes."""
    world = WORLD.having(SHIFT)
    assert figure(world, "shots_per_container") == pytest.approx(288 / 5)
    assert figure(world, "container_lasts_min") == pytest.approx(288 / 5 * 30 / 60)
    assert figure(world, "refills_per_shift") == pytest.approx(900 * 5 / 288)
    assert figure(world, "waste_ml") == pytest.approx(900 * 5 * 0.04 / 0.96)
    assert figure(world, "waste_pct") == pytest.approx(100 * 0.04 / 0.96)


def test_a_shift_of_so_many_cycles_has_so_many_parts():
    told, derived = (
        WORLD.having({"process.production": {"cycle_time": "30 s", "shift": "8 h", **more}})
        for more in ({"parts_per_shift": "960"}, {})
    )
    names = ("refills_per_shift", "waste_ml", "wear_band_low_shifts")
    assert [figure(told, name) for name in names] == [figure(derived, name) for name in names]


def test_an_endless_flow_lays_down_its_shift():
    world = WORLD.having(
        {
            "process.deposit": {"kind": "flow", "flow": "60 mL/min"},
            "process.production": {"shift": "8 h"},
        }
    )
    assert figure(world, "refills_per_shift") == pytest.approx(60 * 480 / 288)
    assert figure(world, "wear_band_low_shifts") == pytest.approx(
        figure(world, "wear_band_low_hours") / 8
    )
    assert math.isnan(figure(world, "wear_band_low_shots"))


def test_wear_counts_the_time_in_which_the_rotor_turns():
    """A shot takes 5 s of its 30, and 900 of them 75 min of a shift."""
    world = WORLD.having(SHIFT)
    for end in ("low", "high"):
        hours = figure(world, f"wear_band_{end}_hours")
        assert figure(world, f"wear_band_{end}_shots") == pytest.approx(hours * 3600 / 5)
        assert figure(world, f"wear_band_{end}_shifts") == pytest.approx(hours * 60 / 75)


def test_without_production_data_a_shift_is_unknown():
    for name in ("refills_per_shift", "waste_ml", "waste_pct", "wear_band_low_shifts"):
        assert math.isnan(figure(WORLD, name))
    assert figure(WORLD, "shots_per_container") == pytest.approx(288 / 5)


@pytest.mark.parametrize(("stop", "purges"), [("60 s", 0), ("30 min", 1)])
def test_a_mix_wastes_its_mixer_and_a_purge_where_the_stop_calls_for_one(stop, purges):
    """Half of each shot from either side; one mixer a shift; three volumes a purge."""
    world = TWO_PART.having({**SHIFT, "process.longest_stop": stop, "mix.pot_life.value": "60 min"})
    laid = 900 * 5e-6
    lost = laid * 0.04 / 0.96 + VOLUME * (1 + 3 * purges)
    assert (60 if purges == 0 else 1800) + AGE != pytest.approx(0.3 * 3600)
    assert figure(world, "waste_ml") == pytest.approx(lost * 1e6)
    assert figure(world, "waste_pct") == pytest.approx(100 * lost / laid)


def test_a_side_with_the_larger_heel_weighs_by_its_share():
    world = TWO_PART.having({**SHIFT, "process.production.waste_max": "5 %", "feed.heel": "10 %"})
    (finding,) = world.findings("waste of a shift")
    assert finding.demand == pytest.approx(0.1 / 0.9 + VOLUME / (900 * 5e-6))
    assert finding.state is State.RULED_OUT


def test_waste_of_an_unknown_shift_is_unproven_and_says_what_to_tell():
    finding = WORLD.having({"process.production.waste_max": "5 %"}).finding("waste of a shift")
    assert finding.state is State.UNPROVEN
    assert finding.reason.endswith("(production.parts_per_shift of the process)")


def test_waste_of_a_mix_whose_purges_nobody_knows_is_unproven():
    world = TWO_PART.having(
        {**SHIFT, "process.production.waste_max": "50 %", "process.longest_stop": None}
    )
    assert world.findings("waste of a shift")[0].state is State.UNPROVEN


def test_a_chamber_lets_a_share_out_that_is_older_than_its_pot_life():
    """10 mL, half of it renewed in 30 s: a mean of a minute, against five minutes of pot life."""
    chamber = TWO_PART.having(
        {
            "mixing.kind": "chamber",
            "mixing.volume": "10 mL",
            "mixing.speed_max": "120 rpm",
            "mix.pot_life.value": "5 min",
        }
    )
    assert figure(chamber, "overaged_pct") == pytest.approx(100 * math.exp(-5))
    assert math.isnan(figure(TWO_PART, "overaged_pct"))


def test_lists_are_sorted_by_waste_and_by_refills():
    feeds = [{"name": "small", "capacity": "100 mL", "heel": "1 %"}, {"name": "large"}]
    world = WORLD.with_parts({"feed": feeds}).having(SHIFT)
    for order, first in (("waste_pct", "small"), ("refills_per_shift", "large")):
        answer = world.workshop.answer(replace(world.question, sort=order))
        assert answer.first.parts["feed"].name == first


def test_a_container_that_lasts_comes_before_a_cheaper_one():
    """At 10 mL/min 144 mL last a quarter of an hour; of two minutes asked for, that is comfort."""
    feed = WORLD.parts["feed"][0]
    feeds = [
        feed | {"name": name, "capacity": capacity, "cost_index": cost}
        for name, capacity, cost in (("a", "50 mL", 1), ("b", "150 mL", 2))
    ]
    world = replace(WORLD, parts=WORLD.parts | {"feed": feeds})
    answer = world.having({"process.production.cycle_time": "30 s"}).answer

    builds = answer.builds(limit=1000)
    assert builds[0].parts["feed"].name == "b"
    strained = {build.parts["feed"].name: build.figures["comfort_steps"] for build in builds}
    assert strained["b"] < strained["a"]


DUAL = {"name": "dual", "kind": "dual cartridge", "second_capacity": "150 mL"}


def test_a_dual_cartridge_feeds_both_sides_or_none():
    """Three feeds a side: each pair of the single ones, and the dual one with itself."""
    world = TWO_PART.with_parts({"feed": [{}, {"name": "other"}, DUAL]})
    answer = world.workshop.answer(world.question)
    feeds = {(b.parts["a.feed"].name, b.parts["b.feed"].name) for b in answer.builds(limit=50)}
    assert sum(answer.counts.values()) == len(feeds) == 5
    assert ("dual", "dual") in feeds
    assert answer.choices  # and each part that is left has a partner


def test_a_dual_cartridge_is_of_no_use_to_one_component():
    world = WORLD.with_parts({"feed": [{}, DUAL]})
    answer = world.workshop.answer(world.question)
    assert {build.parts["feed"].name for build in answer.builds(limit=9)} == {"cartridge"}


@pytest.mark.parametrize(
    ("ratio", "left"),
    [([2, 1], (0.0, 0.0)), ([1, 1], (0.5, 0.0)), ([4, 1], (0.0, 0.5)), ([1, 2], (0.0, 0.0))],
)
def test_what_bores_leave_over_at_another_ratio_is_waste(ratio, left):
    """300 mL and 150 mL, of which 4 % stay behind: metered one to one, half of the larger stays."""
    world = TWO_PART.having(
        {
            "feed.kind": "dual cartridge",
            "feed.second_capacity": "150 mL",
            "mix.ratio": ratio,
            **SHIFT,
        }
    )
    found = [each.demand for each in world.findings("dual cartridge against the ratio")]
    assert found == pytest.approx(left, abs=1e-9)
    gives = [0.96 * (1.0 - share) for share in left]
    shares = [each / sum(ratio) for each in ratio]
    waste = sum(share * (1 / each - 1) for share, each in zip(shares, gives, strict=True))
    mixer = figure(TWO_PART.having(SHIFT), "waste_pct") / 100 - (1 / 0.96 - 1)
    assert figure(world, "waste_pct") / 100 == pytest.approx(waste + mixer, rel=1e-6)
    # Both chambers end together, and the shot of 5 mL is as often in what they gave.
    chambers = (300, 150) if ratio[0] >= ratio[1] else (150, 300)
    used = min(cap / part for cap, part in zip(chambers, shares, strict=True))
    assert figure(world, "container_lasts_min") == pytest.approx(0.96 * used / 5 * 30 / 60)


def test_a_dual_cartridge_weighs_and_costs_once():
    feed = {"carried_mass": "400 g", "cost_index": 6}
    one = TWO_PART.with_parts({"feed": [feed]})
    dual = TWO_PART.with_parts({"feed": [feed | DUAL]})
    masses = [figure(world, "head_mass_kg") for world in (one, dual)]
    costs = [figure(world, "cost_index") for world in (one, dual)]
    assert masses[0] - masses[1] == pytest.approx(0.4)
    assert costs[0] - costs[1] == pytest.approx(6)


@pytest.mark.parametrize(("share", "state"), [(3.2, State.MARGINAL), (3.4, State.FITS)])
def test_the_alarm_stands_above_the_restart_and_the_sensor_reads_it(share, state):
    """Three times as stiff after a stop, a tenth of margin above that: 3.3, and not 1.5."""
    sensor = SENSOR["body.sensor"] | {"range": f"{share * TIP} Pa"}
    world = WORLD.having(
        {
            "body.sensor": sensor,
            "process.notice_blocked_tip": True,
            "component.flow.thixotropic": True,
        }
    )
    found = world.finding("alarm within the range of the sensor")
    assert found.demand == pytest.approx(3.3 * TIP)
    assert found.state is state
