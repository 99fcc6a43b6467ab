"""Figures of one build against sums done by hand."""

import math

import numpy as np
import pytest
from flow_ways import ERROR, SHOT, TIP, TORQUE, TURNS, V
from small_catalog import SMALL
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.rank.figures import DIGITS, FIGURES, costs_of
from configurator.rules.case import Case
from configurator.rules.frame import Frame

BY_HAND = {
    "speed_low_rpm": 60 * TURNS,
    "speed_high_rpm": 60 * TURNS,
    "back_pressure_bar": TIP / 1e5,
    # Housing, body, seal and tip are rated 40 bar; two stages hold 12 bar each.
    "pressure_allowed_bar": 24.0,
    "torque_nm": TORQUE,
    "volume_error_pct": 100 * ERROR,
    "shot_revolutions": SHOT / V,
    "head_mass_kg": 1.0 + 0.5 + 0.3 + 0.02,
    # Ten slots, each part with an index of 1.
    "cost_index": 10.0,
}


def figures_of(world):
    (ranked,) = world.only_base.answer.builds()
    return ranked.figures


@pytest.mark.parametrize("name", BY_HAND)
def test_a_figure_of_the_base_build_is_what_a_hand_gets(name):
    assert figures_of(WORLD)[name] == pytest.approx(BY_HAND[name], rel=1e-9)


def test_a_figure_that_does_not_apply_is_none():
    without_shot = WORLD.having({"process.deposit.shot": None})
    assert figures_of(without_shot)["shot_revolutions"] is None
    assert figures_of(WORLD.having({"component.density": None}))["volume_error_pct"] is None


def test_two_sides_carry_both_heads():
    assert figures_of(TWO_PART)["head_mass_kg"] == pytest.approx(2 * 1.8 + 0.02 + 0.03)


def test_names_are_unique_and_end_in_a_unit_or_are_bare():
    names = [figure.name for figure in FIGURES]
    assert len(set(names)) == len(names)
    assert all(name == name.lower() and " " not in name for name in names)


@pytest.mark.parametrize(
    "figure", [figure for figure in FIGURES if figure.sorts], ids=lambda figure: figure.name
)
def test_costs_put_every_combination_in_the_order_of_the_figure(figure):
    """Ranks are exact; a sum in whole steps is off by a rounding for each summand at most."""
    answer = SMALL.answer
    case = Case(answer.subject, Frame(answer.frame.parts))
    frame = case.frame
    shape = frame.shape(frame.slots)
    total = sum(
        np.broadcast_to(table.reshape(frame.shape(scope)), shape)
        for scope, table in costs_of(figure, case)
    )
    sign = -1.0 if figure.highest_first else 1.0
    values = np.broadcast_to(sign * figure.read(case), shape).reshape(-1)
    known = ~np.isnan(values)
    order = total.reshape(-1)[known].argsort(kind="stable")
    ordered = values[known][order]
    span = max(abs(float(ordered.max(initial=0.0))), abs(float(ordered.min(initial=0.0))))
    slack = 0.0 if figure.terms is None else 40 * span * 10.0**-DIGITS
    assert math.isfinite(slack)
    assert (ordered[:-1] <= ordered[1:] + slack).all()
