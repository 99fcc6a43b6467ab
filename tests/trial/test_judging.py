"""Every condition by itself: whatever fails decides, and is said first."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from benchmarks.trial_faults.faults import FAULTS, weighed
from configurator.report.trial_verdict import evaluation_table
from configurator.trial.evaluate import evaluate
from configurator.trial.groups import shots_of
from configurator.trial.judging import judge
from configurator.trial.planning import TrialAims, plan_trial

MATERIALS = ["lid-sealant", "bay-potting", "bearing-oil", "hull-paste"]


@pytest.fixture
def plans(planned):
    return [planned(material) for material in MATERIALS]


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_no_fault_at_twice_the_tolerance_is_accepted(plans, fault):
    """A few trials here; a thousand of each in benchmarks/trial_faults."""
    for plan in filter(fault.applies, plans):
        for seed in range(2):
            verdict = evaluate([weighed(plan, fault, 2.0, seed)]).verdict

            assert verdict.word != "accept"
            assert "within" not in verdict.reasons[0]


def test_a_good_head_is_accepted(plans):
    words = [
        evaluate([weighed(plan, None, 0.0, seed)]).verdict.word
        for plan in plans
        for seed in range(10)
    ]

    assert words.count("accept") >= 38
    assert "reject" not in words


@pytest.mark.parametrize("hours", [1.5, 4.0])
def test_a_good_head_is_accepted_on_a_short_plan_that_says_what_it_left_out(built, hours):
    _, build, head = built("lid-sealant")
    plan = plan_trial(head, TrialAims(), build.findings, hours=hours)[0]
    found = evaluate([weighed(plan, None, 0.0, 3)])

    assert found.verdict.word == "accept"
    assert found.untested == plan.unproven


def test_first_shots_at_60_per_cent_after_the_longest_stop_are_said_first(planned):
    (short,) = [
        fault for fault in FAULTS if fault.name == "first shot after the longest stop short"
    ]
    found = evaluate([weighed(planned("lid-sealant"), short, 8.0, 1)])

    assert found.verdict.word == "reject"
    assert found.verdict.reasons[0].startswith("first shots after a stop of 20 min: -4")
    assert "outside +/- 5 %" in found.verdict.reasons[0]


def test_a_catch_is_judged_by_the_t_interval_of_scipy(planned):
    """Oracle: the mean's interval from scipy, the spread pooled here by hand."""
    plan = planned("lid-sealant")
    form = weighed(plan, None, 0.0, 5)
    shots = shots_of(form, 0.0)
    found = judge(shots, plan, plan.runs)
    caught: dict[object, list[float]] = {}
    for shot in shots:
        run = shot.run
        if run.block in ("line", "pressure map"):
            caught.setdefault((run.block, run.speed, run.pressure), []).append(shot.error)
    middle = next(
        errors
        for (block, speed, _), errors in caught.items()
        if block == "line" and round(speed * 60.0, 3) == 18.8
    )
    whole = np.mean(
        [
            shot.error
            for shot in shots
            if shot.run.block == "repeatability" and shot.run.level == "middle"
        ]
    )
    scaled = [
        (1.0 + np.array(errors)) / (1.0 + (whole if errors is middle else np.mean(middle))) - 1.0
        for errors in caught.values()
    ]
    freedom = sum(len(errors) - 1 for errors in scaled)
    spread = math.sqrt(
        sum(np.var(errors, ddof=1) * (len(errors) - 1) for errors in scaled) / freedom
    )
    (top,) = [each for each in found.conditions if each.words == "2.15 bar at 20.8 rpm"]
    half = stats.t.ppf((1.0 + found.each) / 2.0, freedom) * spread * math.sqrt(1 / 3 + 1 / 5)

    assert top.deviation == pytest.approx(spread)
    assert top.high - top.mean == pytest.approx(half)
    beside = [each for each in found.conditions if each.block != "repeatability"]
    assert found.each == pytest.approx(1.0 - 0.025 / len(beside))


def test_all_conditions_hold_at_once_as_often_as_promised(planned):
    """A head without any error: the means of catches, and 95 % of shots, lie in every interval."""
    plan = planned("lid-sealant", TrialAims(looks=1))
    spread = plan.tolerance / 9.0
    reach = stats.norm.ppf(0.975) * spread
    trials, held = 120, 0
    for seed in range(trials):
        found = evaluate([weighed(plan, None, 0.0, seed)])
        held += all(
            each.low <= 0.0 <= each.high
            if each.block in ("line", "pressure map", "shot size")
            else each.low <= -reach + 0.5 * spread and each.high >= reach - 0.5 * spread
            for each in found.judged.conditions
            if each.block != "repeatability"
        )

    # 95 % less three standard deviations of 120 trials.
    assert held >= (0.95 - 3.0 * math.sqrt(0.05 * 0.95 / trials)) * trials


def test_a_condition_that_people_left_out_is_not_tested_and_extends(planned):
    plan = planned("lid-sealant")
    form = weighed(plan, None, 0.0, 1)
    readings = tuple(
        each
        if each.run.dwell < 1000.0
        else type(each)(
            each.run, each.mass, each.pressure, each.temperature, each.clock, "cup fell"
        )
        for each in form.readings
    )
    found = evaluate([type(form)(plan, readings, (), form.densities, "")])

    assert found.verdict.word == "extend"
    assert found.verdict.reasons[0].startswith(
        "not tested: first shots after a stop of 20 min: 0 of 3"
    )


def test_what_is_open_names_its_blocks_and_a_further_look_closes_it(built):
    _, build, head = built("lid-sealant")
    aims = TrialAims(tolerance=0.0165, spread=0.0045)
    plan = plan_trial(head, aims, build.findings)[0]
    words = set()
    for seed in range(12):
        form = weighed(plan, None, 0.0, seed)
        first = evaluate([form]).verdict
        words.add(first.word)
        assert first.word != "reject"
        if first.word == "extend":
            assert first.blocks
            further = plan_trial(
                head, aims, build.findings, look=2, further=first.further, blocks=first.blocks
            )[0]
            again = weighed(further, None, 0.0, seed + 1000)
            assert evaluate([form, again]).looks == 2

    assert "accept" in words


def test_a_leak_that_the_catches_cannot_tell_is_not_called_tested(planned, built):
    """One side caught behind one restriction: leak and slip fall with the speed alike."""
    _, build, head = built("hull-paste")
    plan = plan_trial(head, TrialAims(), build.findings)[0]
    form = weighed(plan, None, 0.0, 2)
    kept = tuple(each for each in form.readings if each.run.block != "pressure map")
    found = evaluate([type(form)(plan, kept, (), form.densities, "")])

    assert "side a: leak and slip: the catches cannot tell them apart" in found.untested
    assert found.verdict.word == "extend"


@pytest.mark.parametrize("hours", [1.5, 2.0, 3.0, 4.0, 6.0, 8.0])
@pytest.mark.parametrize("material", MATERIALS)
def test_whatever_a_short_plan_holds_has_something_to_be_compared_with(built, material, hours):
    _, build, head = built(material)
    plan = plan_trial(head, TrialAims(), build.findings, hours=hours)[0]
    found = evaluate([weighed(plan, None, 0.0, 4)])

    assert not found.judged.thin
    assert found.verdict.word == "accept"


def test_a_leak_shows_in_a_short_plan_that_does_not_name_it_as_left_out(built):
    _, build, head = built("lid-sealant")
    plan = plan_trial(head, TrialAims(), build.findings, hours=4.0)[0]
    (leak,) = [fault for fault in FAULTS if fault.name == "leak"]

    assert not [text for text in plan.unproven if "leak" in text]
    for seed in range(10):
        assert evaluate([weighed(plan, leak, 2.0, seed)]).verdict.word == "reject"


def test_masses_that_are_all_the_same_show_no_spread_and_are_not_accepted(planned):
    """Copied, or of a balance too coarse: either way nobody knows how shots spread."""
    plan = planned("lid-sealant")
    form = weighed(plan, None, 0.0, 1)
    alike = tuple(
        replace(each, mass=form.readings[each.run.number - 1].mass)
        if each.run.block != "repeatability"
        else replace(each, mass=0.00597)
        for each in form.readings
    )
    found = evaluate([replace(form, readings=alike)])

    assert found.verdict.word == "extend"
    assert "low flow: all 20 masses are the same" in found.verdict.reasons[0]


@pytest.mark.parametrize(("out", "word"), [(2, "accept"), (3, "extend")])
def test_more_than_a_tenth_of_a_flow_left_out_is_not_accepted(planned, out, word):
    """An interval is that of a random sample, and what is left out was picked."""
    form = weighed(planned("lid-sealant"), None, 0.0, 3)
    low = [each.run.number for each in form.readings if each.run.level == "low"]
    picked = [
        number
        for number in low
        if next(r for r in form.readings if r.run.number == number).run.block == "repeatability"
    ][:out]
    readings = tuple(
        replace(each, left_out="spilled") if each.run.number in picked else each
        for each in form.readings
    )
    verdict = evaluate([replace(form, readings=readings)]).verdict

    assert verdict.word == word
    assert (
        verdict.reasons[0] == "not tested: low flow: 17 of 20 weighings count; weigh the others "
        "again"
    ) == (out == 3)


def test_a_ratio_that_is_off_with_each_side_in_is_said_first(planned):
    """Either side is off by 2.65 of 3 %, in opposite directions, where the ratio may be off by 5 %."""
    plan = planned("bay-potting")
    form = weighed(plan, None, 0.0, 1)
    highest = max(run.pressure for run in plan.of("pressure map", side="a"))
    off = {"a": 0.0265, "b": -0.0265}
    readings = tuple(
        replace(each, mass=each.mass * (1.0 + off[each.run.side]))
        if each.run.block == "pressure map" and each.run.pressure == highest
        else each
        for each in form.readings
    )
    found = evaluate([replace(form, readings=readings)])
    sides = [each for each in found.judged.conditions if each.block == "pressure map"]

    assert plan.ratio_tolerance == pytest.approx(0.05)
    assert found.verdict.word == "reject"
    assert found.verdict.reasons[0].startswith("ratio, ")
    assert not [each for each in sides if each.side != "a:b" and abs(each.mean) > each.limit]


def test_sides_that_are_off_against_one_another_are_set_each_by_itself(planned):
    """a gives 3 % more and b so much less that whole shots are right: one factor cannot mend it."""
    plan = planned("bay-potting")
    form = weighed(plan, None, 0.0, 1)
    a, b = (side.share for side in plan.sides)
    off = {"a": 0.03, "b": -0.03 * a / b, "": 0.0}
    readings = tuple(
        replace(each, mass=each.mass * (1.0 + off[each.run.side])) for each in form.readings
    )
    found = evaluate([replace(form, readings=readings)])

    # The simulator's heads all give 1 % more than the catalog says.
    for result in found.sides:
        wanted = 1.0 / (1.01 * (1.0 + off[result.side.name]))
        assert result.setting == pytest.approx(wanted, rel=0.005)
    assert "of side a and times" in evaluation_table(found).replace("\n          ", " ")


def test_whole_shots_alone_tell_no_ratio(planned):
    plan = planned("bay-potting")
    form = weighed(plan, None, 0.0, 1)
    whole = tuple(each for each in form.readings if not each.run.side)
    found = evaluate([replace(form, readings=whole)])

    assert "the ratio at the nominal flow: no catch of each side by itself" in found.untested
    assert found.verdict.word == "extend"
