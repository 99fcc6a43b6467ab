"""Swelling and the fit of the stator, beside the four ways in which every rule is tried."""

from __future__ import annotations

import pytest
from small_world import WORLD
from swelling_ways import soaked

from configurator.rules.finding import State
from configurator.units.interval import Basis

RULE = "fit of the stator"


def finding(changes):
    return WORLD.having(changes).finding(RULE)


def test_a_measured_change_is_told_with_its_date_and_what_follows():
    found = finding(soaked(5.0))

    assert found.state is State.MARGINAL
    for said in ("5 %", "measured", "2026-03-04", "another fit"):
        assert said in found.reason


def test_what_a_grade_allows_is_not_called_measured():
    found = finding({"stator.material": "SOFT RUBBER"})

    assert found.demand == "up to 8 %"
    assert "what a limited contact stands for" in found.reason
    assert found.basis is not Basis.MEASURED


def test_a_bound_beyond_every_fit_asks_for_a_soak():
    found = finding({"stator.material": "SOFT RUBBER", "practice.swell_reject": "5 %"})

    assert found.state is State.UNPROVEN
    assert "soak test the SOFT RUBBER part" in found.reason


@pytest.mark.parametrize("code", ["NEW RUBBER", "not in the tables"])
def test_where_the_contact_is_unknown_so_is_the_fit(code):
    world = WORLD.having({"stator.material": code})
    assert world.finding(RULE).state is State.UNPROVEN
    assert world.finding("chemistry of the stator").state is State.UNPROVEN


def test_a_stator_that_chemistry_rules_out_is_counted_once():
    stators = [{"material": "BAD RUBBER"}, {"name": "other", "material": "RUBBER"}]
    answer = WORLD.with_parts({"stator": stators}).answer

    lost = (losses for (slot, _), losses in answer.losses.items() if slot == "stator")
    rules = {loss.title for losses in lost for loss in losses}
    assert rules == {"chemistry of the stator"}
    assert answer.count == 1


def test_a_soak_of_one_compound_speaks_for_that_part_alone():
    stators = [{"material": "RUBBER"}, {"name": "other", "material": "RUBBER"}]
    changes = soaked(5.0, grade_name="other")
    answer = (
        WORLD.with_parts({"stator": stators})
        .having({"evidence.records": changes["evidence.records"]})
        .answer
    )

    states = {choice.part.name: choice.state for choice in answer.choices["stator"]}
    assert states == {"soft": State.FITS, "other": State.MARGINAL}


def test_more_swelling_is_never_better():
    changes = [0.0, 1.0, 2.9, 3.1, 5.0, 7.9, 8.1, 20.0]
    for sign in (1.0, -1.0):
        states = [finding(soaked(sign * change)).state for change in changes]
        assert states == sorted(states)
        assert states[-1] is State.RULED_OUT


def test_a_swelling_and_a_warmth_that_pass_alone_do_not_pass_together():
    warm = {"process.temperature": "20..40 degC"}
    hot_soak = soaked(2.9, temperature_c=60.0)

    assert finding(hot_soak).state is State.FITS
    assert finding({**soaked(0.0, temperature_c=60.0), **warm}).state is State.FITS
    together = finding({**hot_soak, **warm})
    assert together.state is State.MARGINAL
    assert together.demand == "up to 5.3 %"
    for said in ("grow by up to 2.9 %", "heat at 20 to 40 degC counts as 2.4 % more"):
        assert said in together.reason


def test_a_grade_without_a_number_is_a_bound_that_few_come_near():
    """Half of the 3 % that satisfactory allows, beside heat that counts as 1 % and as 2.4 %."""
    states = {
        warm: finding(
            {"stator.material": "RUBBER", "process.temperature": f"20..{warm} degC"}
        ).state
        for warm in (33, 40)
    }
    assert states == {33: State.FITS, 40: State.MARGINAL}


def test_a_shrunk_stator_in_the_cold_is_told_by_its_slip_end():
    found = finding({**soaked(-2.0), "process.temperature": "8..20 degC"})

    assert found.state is State.MARGINAL
    assert "shrink by up to 2 % of its wall" in found.reason
    assert "cold at 8 to 20 degC counts as 2 % less" in found.reason
