"""How long a trial takes, and what of it fits into some hours."""

from __future__ import annotations

from dataclasses import replace

import pytest

from configurator.errors import UsageError
from configurator.trial.planning import TrialAims, plan_trial
from configurator.trial.schedule import duration, stretches

MATERIALS = ["lid-sealant", "bay-potting", "bearing-oil"]


@pytest.fixture(scope="session")
def cut(built):
    def plan(material: str, hours: float | None):
        _, build, head = built(material)
        return plan_trial(head, TrialAims(), build.findings, hours=hours)

    return plan


def test_the_time_is_what_its_parts_add_up_to(planned):
    """Worked out by hand: 1 min a weighing, the catch, 5 min a restriction, 10 min an outlet."""
    plan = planned("lid-sealant")
    shot = next(run for run in plan.runs if run.block == "repeatability" and run.level == "middle")
    catch = 5.969 / 18.8 * 60.0
    behind = replace(shot, block="pressure map", pressure=1e5)
    stopped = replace(shot, block="dwell", dwell=600.0)
    warm = replace(shot, block="temperature", temperature=shot.temperature + 5.0)
    other = replace(shot, batch=2)
    late = [replace(shot, block="drift", minute=minute) for minute in (0.0, 15.0)]

    assert duration([shot]) == pytest.approx(60.0 + catch)
    assert duration([shot, shot, stopped]) == pytest.approx(3 * (60.0 + catch) + 600.0)
    assert duration([shot, behind]) == pytest.approx(2 * (60.0 + catch) + 600.0)
    assert duration([behind, replace(behind, pressure=2e5)]) == pytest.approx(
        2 * (60.0 + catch) + 300.0
    )
    assert duration([shot, warm]) == pytest.approx(2 * (60.0 + catch) + 3600.0)
    assert duration([shot, other]) == pytest.approx(2 * (60.0 + catch) + 1800.0)
    assert duration(late) == pytest.approx(15 * 60.0 + 60.0 + catch)
    assert duration([]) == 0.0


@pytest.mark.parametrize("material", MATERIALS)
@pytest.mark.parametrize("hours", [1.5, 4.0, 8.0])
def test_a_plan_for_some_hours_fits_into_them(cut, material, hours):
    plan, sizing = cut(material, hours)

    assert 0.5 * hours <= duration(plan.runs) / 3600.0 <= hours
    assert sizing.whole is not None
    assert sizing.whole[1] > duration(plan.runs)
    assert sizing.whole[0] == len(cut(material, None)[0].runs)


@pytest.mark.parametrize("material", MATERIALS)
def test_more_hours_prove_no_less(cut, material):
    left = [len(cut(material, hours)[0].unproven) for hours in (1.5, 3.0, 6.0, 30.0)]

    assert left == sorted(left, reverse=True)


@pytest.mark.parametrize("hours", [1.0, 4.0])
def test_what_is_left_out_is_told_and_what_is_told_is_left_out(cut, hours):
    plan, _ = cut("lid-sealant", hours)
    told = " ".join(plan.unproven)
    blocks = {run.block for run in plan.runs}

    assert ("a second batch" in told) == ("second batch" not in blocks)
    assert ("slip" in told) == ("pressure map" not in blocks)
    assert ("linearity" in told) == ("line" not in blocks)
    assert ("leak" in told) == ("pressure map" not in blocks)
    for stop in (60.0, 300.0, 900.0, 1200.0):
        tried = any(run.dwell == stop for run in plan.runs)
        assert (f"a stop of {stop / 60.0:.3g} min" in told) != tried


def test_hours_in_which_not_even_the_flows_fit_are_refused_with_the_time_that_they_take(cut):
    with pytest.raises(UsageError, match=r"the flows alone take 0\.\d+ h"):
        cut("lid-sealant", 0.2)


def test_the_usual_shot_is_weighed_again_between_the_blocks_of_a_short_plan(cut):
    """So that a drift shows without hours of their own."""
    runs = cut("lid-sealant", 4.0)[0].runs
    minutes = sorted({run.minute for run in runs if run.block == "drift"})

    assert minutes[0] == 0.0
    assert len(minutes) >= 4
    assert minutes[-1] >= 60.0


@pytest.mark.parametrize("material", ["bay-potting", "hull-paste"])
def test_half_a_day_holds_the_ratio_and_each_side_by_itself(cut, material):
    plan, _ = cut(material, 4.0)
    after = [run for run in plan.of("dwell") if run.side]

    assert {run.side for run in after} == {"a", "b"}
    assert {run.side for run in plan.of("shot size")} == {"a", "b"}
    # What gave way while the sides were caught shows in whole shots behind them.
    last = max(run.number for run in plan.runs if run.side)
    assert [run for run in plan.runs if run.number > last and not run.side]


@pytest.mark.parametrize("hours", [4.0, None])
def test_the_order_is_told_in_stretches_that_are_set_once(cut, hours):
    plan, _ = cut("bay-potting", hours)
    told = stretches(plan.runs)

    assert [run for each in told for run in each.runs] == list(plan.runs)
    assert len(told) < len(plan.runs) / 4
    for each in told:
        shots = [run for run in each.runs if run.speed]
        assert len({(run.side, run.batch, run.temperature, run.dwell) for run in shots}) == 1 or {
            run.block for run in shots
        } == {"drift", "ratio"}
    starts = [each.start for each in told]
    assert starts == sorted(starts)
    assert starts[-1] < duration(plan.runs)
