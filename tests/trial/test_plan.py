"""The plan: its size, its blocks, its order, and the form that carries it."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from simulated_head import SimulatedHead, filled

from configurator.errors import UsageError
from configurator.trial.blocks import PURPOSE
from configurator.trial.form import form_csv
from configurator.trial.form_reader import read_weighings
from configurator.trial.planning import TrialAims, plan_trial, size_of
from configurator.trial.sample_size import coarsest_step, two_sided_factor, weighing


def test_the_size_follows_from_the_tolerance(built):
    head = built("lid-sealant")[2]
    wide = size_of(head, TrialAims(tolerance=0.05, spread=0.005, reliability=0.9))
    tight = size_of(head, TrialAims(tolerance=0.0125, spread=0.005, reliability=0.9))

    assert tight.by_interval > wide.by_interval
    assert tight.factor * 0.005 <= 0.0125
    assert wide.by_count == 29


def test_enough_shots_for_a_proof_by_counting_are_planned(planned):
    for material in ("lid-sealant", "bay-potting"):
        assert len(planned(material).of("repeatability")) >= 59


def test_a_tolerance_that_no_trial_can_show_is_refused_with_its_numbers(built):
    head = built("lid-sealant")[2]

    with pytest.raises(UsageError, match=r"shows \+/- 1 % .* spread by 0\.6 %.*1\.18 %"):
        size_of(head, TrialAims(tolerance=0.01, spread=0.006))


def test_a_build_whose_drive_does_not_reach_the_flow_is_not_planned(built):
    """As one may be listed whose slip is unknown for want of a density."""
    _, build, head = built("lid-sealant")
    (side,) = head.sides
    weak = replace(head, sides=(replace(side, fastest=0.5 * side.speeds.nominal),))

    with pytest.raises(UsageError, match=r"takes 18\.8 rpm .* reaches 9\.42 rpm"):
        plan_trial(weak, TrialAims(), build.findings)


@pytest.mark.parametrize("material", ["lid-sealant", "bay-potting", "bearing-oil"])
def test_all_blocks_are_there_and_say_what_for(planned, material):
    plan = planned(material)
    blocks = {run.block for run in plan.runs}

    assert blocks <= set(PURPOSE)
    assert set(PURPOSE) - blocks == (set() if plan.two_part else {"ratio"})
    assert [run.number for run in plan.runs] == list(range(1, len(plan.runs) + 1))
    assert {run.batch for run in plan.runs} == {1, 2}
    assert len({run.speed for run in plan.of("line", side=plan.sides[0].name)}) == 5
    assert len({run.pressure for run in plan.of("pressure map", side=plan.sides[0].name)}) == 3


def test_the_wanted_confidence_is_that_of_the_process_unless_asked_otherwise(planned):
    assert planned("bearing-oil").confidence == pytest.approx(0.90)
    assert planned("lid-sealant").confidence == pytest.approx(0.95)
    assert planned("bearing-oil", TrialAims(confidence=0.99)).confidence == pytest.approx(0.99)


def test_a_head_at_work_beyond_its_rating_is_told_and_mapped_below_it(planned, built):
    head, plan = built("hull-paste")[2], planned("hull-paste")
    (told,) = [text for topic, text in plan.tasks if topic == "pressure"]
    apart = [run for run in plan.runs if run.side]

    assert head.pressure_at(head.subject.duty.flow.high) > head.pressure_allowed
    assert "rated 10 bar" in told
    assert max(run.pressure for run in apart) <= head.pressure_allowed * (1.0 + 1e-9)
    assert len({run.pressure for run in plan.of("pressure map", side="a")}) == 3
    assert not [topic for topic, _ in planned("lid-sealant").tasks if topic == "pressure"]


def test_the_balance_tells_in_the_lightest_weighing(planned):
    """Oracle: each mass worked out from the form's own columns."""
    for material in ("lid-sealant", "bay-potting", "bearing-oil"):
        plan = planned(material)
        masses = []
        for run in plan.runs:
            if run.block in {"blank", "dwell"}:
                continue
            sides = [side for side in plan.sides if run.side in ("", side.name)]
            first = plan.sides[0]
            both = first.displacement / first.share
            masses.append(
                sum(
                    run.shots
                    * run.turns
                    * (side.displacement if run.side else both * side.share)
                    * side.density.low
                    for side in sides
                )
            )

        assert plan.balance_step == pytest.approx(0.1 * plan.tolerance * min(masses))
        assert plan.balance_step >= 1e-7


def test_half_whole_and_double_shots_are_caught_on_each_side(planned):
    for material, sides in (("lid-sealant", {""}), ("bay-potting", {"a", "b"})):
        sized = planned(material).of("shot size")

        assert {run.side for run in sized} == sides
        for side in sides:
            turns = sorted({run.turns for run in sized if run.side == side})
            assert turns == pytest.approx([turns[1] / 2.0, turns[1], turns[1] * 2.0])


def test_set_points_stay_within_what_the_head_is_rated_for(planned, built):
    for material in ("lid-sealant", "bay-potting", "bearing-oil"):
        head = built(material)[2]
        for run in planned(material).runs:
            assert run.pressure <= head.pressure_allowed
            if run.speed and run.side in ("", head.sides[0].name):
                assert head.sides[0].slowest <= run.speed <= head.sides[0].fastest


def test_temperatures_are_both_ends_of_the_process(planned):
    plan = planned("lid-sealant")

    assert {run.temperature for run in plan.of("temperature")} == {
        plan.temperature.low,
        plan.temperature.high,
    }


def test_the_stop_of_the_process_is_the_longest_dwell(planned):
    assert max(run.dwell for run in planned("lid-sealant").of("dwell")) == 20 * 60
    assert max(run.dwell for run in planned("bay-potting").of("dwell")) == 4 * 60


def test_what_is_quick_to_set_is_mixed_and_blanks_are_spread_among_it(planned):
    runs = planned("lid-sealant").runs
    core = [run for run in runs if run.block in ("line", "shot size", "repeatability", "blank")]
    blanks = [place for place, run in enumerate(core) if run.block == "blank"]
    changes = sum(a.block != b.block for a, b in pairwise(core))

    assert list(runs[: len(core)]) == core
    assert blanks[0] == 0
    assert len(blanks) >= 5
    assert changes > len(core) / 3


@pytest.mark.parametrize("material", ["lid-sealant", "bay-potting"])
@pytest.mark.parametrize("hours", [None, 8.0])
def test_what_takes_long_to_set_is_set_once(planned, built, material, hours):
    _, build, head = built(material)
    plan = plan_trial(head, TrialAims(), build.findings, hours=hours)[0]
    nominal = plan.temperature.nominal
    temperatures = [run.temperature for run in plan.runs]
    changes = sum(a != b for a, b in pairwise(temperatures))
    batches = [run.batch for run in plan.runs]

    assert changes <= 2 + (temperatures[-1] == nominal)
    assert batches == sorted(batches)
    for side in {run.side for run in plan.of("pressure map")}:
        pressures = [run.pressure for run in plan.of("pressure map", side=side)]
        assert sum(a != b for a, b in pairwise(pressures)) == 2


def test_set_points_are_such_as_a_bench_can_set(planned):
    """Speeds to three digits of an rpm, turns to four, pressures to 0.05 bar: never 1.58 Pa."""
    for material in ("lid-sealant", "bay-potting", "bearing-oil", "hull-paste"):
        for run in planned(material).runs:
            rpm, steps = run.speed * 60.0, run.pressure / 5e3
            assert rpm == pytest.approx(float(f"{rpm:.3g}"), rel=1e-9)
            assert run.turns == pytest.approx(float(f"{run.turns:.5g}"), rel=1e-9)
            assert steps == pytest.approx(round(steps), abs=1e-6)


def test_the_seed_moves_the_order_and_nothing_else(planned):
    one, two = planned("lid-sealant"), planned("lid-sealant", TrialAims(seed=2))

    def content(plan):
        return sorted((run.block, run.speed, run.turns, run.pressure) for run in plan.runs)

    assert content(one) == content(two)
    assert [run.block for run in one.runs] != [run.block for run in two.runs]
    assert one.trial == two.trial
    assert one.fingerprint != two.fingerprint


def test_unproven_chemistry_asks_for_an_immersion(planned):
    topics = [topic for topic, _ in planned("lid-sealant").tasks]
    texts = " ".join(text for _, text in planned("lid-sealant").tasks)

    assert topics.count("immersion") > 1
    assert "168 h" in texts
    assert "MDI prepolymer" in texts


def test_light_shots_are_grouped_for_the_balance():
    grouped = weighing(shot_mass=1e-6, tolerance=0.05, step=1e-7)

    assert grouped.shots == 20
    assert coarsest_step(mass=1e-3, tolerance=0.05) == pytest.approx(5e-6)
    assert not weighing(shot_mass=1e-9, tolerance=0.01).enough


def test_a_filled_form_gives_its_plan_back(planned):
    for material in ("lid-sealant", "bay-potting"):
        plan = planned(material)
        found = read_weighings(filled(plan, SimulatedHead()), "own.csv").plan

        assert found.fingerprint == plan.fingerprint
        assert found.trial == plan.trial
        assert found.sides == plan.sides
        for ours, theirs in zip(plan.runs, found.runs, strict=True):
            assert math.isclose(ours.speed, theirs.speed, rel_tol=1e-5)
            assert (ours.block, ours.side, ours.level) == (theirs.block, theirs.side, theirs.level)


def test_a_form_is_the_same_for_the_same_plan(built):
    _, build, head = built("lid-sealant")
    texts = {form_csv(plan_trial(head, TrialAims(), build.findings)[0]) for _ in range(2)}

    assert len(texts) == 1
    assert next(iter(texts)).isascii()


def test_a_further_look_holds_each_condition_of_the_blocks_that_are_open(built):
    _, build, head = built("lid-sealant")
    blocks = ("dwell", "repeatability")
    plan = plan_trial(head, TrialAims(), build.findings, look=2, further=4, blocks=blocks)[0]

    assert {run.block for run in plan.runs} == {"dwell", "repeatability", "blank"}
    assert sorted(run.dwell for run in plan.of("dwell")) == sorted([60.0, 300.0, 900.0, 1200.0] * 4)


def test_a_further_look_holds_repeatability_shots_alone_unless_asked_otherwise(planned):
    plan = planned("lid-sealant", look=2, further=7)

    assert {run.block for run in plan.runs} == {"repeatability", "blank"}
    assert len(plan.of("repeatability")) == 21
    assert plan.trial == planned("lid-sealant").trial


def test_the_stop_rule_names_its_numbers_before_anything_is_weighed(planned):
    plan = planned("lid-sealant")
    accept, extend, reject, at_once = plan.stop_rule

    assert "+/- 5 %" in accept
    assert "97.5 %" in accept
    assert f"{plan.most_shots} shots" in extend
    assert reject.startswith("Reject")
    assert "leak" in at_once
    assert two_sided_factor(20, 0.95, plan.look_confidence) > two_sided_factor(20, 0.95, 0.95)
