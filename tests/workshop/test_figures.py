"""Figures of one build against sums done by hand."""

import math

import numpy as np
import pytest
from flow_ways import ERROR, SHOT, STORED, TIP, TORQUE, TURNS, UNWEIGHED, Q, V
from small_catalog import SMALL
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.rules.case import Case
from configurator.rules.frame import Frame
from configurator.rules.prices import DIGITS
from configurator.workshop.figures import FIGURES
from configurator.workshop.listing import costs_of
from configurator.workshop.process_figures import time_pressure_error

BY_HAND = {
    "speed_low_rpm": 60 * TURNS,
    "speed_high_rpm": 60 * TURNS,
    "back_pressure_bar": TIP / 1e5,
    # Housing, body, seal and tip are rated 40 bar; two stages hold 12 bar each.
    "pressure_allowed_bar": 24.0,
    "torque_nm": TORQUE,
    "volume_error_unweighed_pct": 100 * UNWEIGHED,
    "volume_error_pct": 100 * ERROR,
    "settling_ms": 1e3 * STORED * SHOT / Q,
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


def test_a_dispenser_whose_volume_is_out_of_all_bounds_is_told_as_ten_times():
    """Oracle: a power law of index 0.2 at half the consistency flows 2^5 = 32 times as fast."""

    def error(spread: str) -> float:
        changes = {
            "component.flow.model": "power law",
            "component.flow.viscosity": None,
            "component.flow.consistency": "100 Pa*s^n",
            "component.flow.index": "0.2",
            "component.flow.batch_spread": spread,
            "component.flow.activation_energy": "1 J/mol",
        }
        answer = WORLD.having(changes).only_base.answer
        case = Case(answer.subject, Frame(answer.frame.parts))
        return float(time_pressure_error(case).reshape(-1)[0])

    assert error("50 %") == 1000.0
    # Nine tenths of the consistency: 0.9^-5 = 1.6935 times.
    assert error("10 %") == pytest.approx(69.35, rel=2e-3)


def of_sides(name: str) -> tuple[float, list[float]]:
    """A figure of a two-part build whose sides share the flow 3 to 1, and those of its sides."""
    answer = TWO_PART.having({"mix.ratio": ["3", "1"]}).only_base.answer
    case = Case(answer.subject, Frame(answer.frame.parts))
    figure = next(each for each in FIGURES if each.name == name)
    sides = [float(np.asarray(figure.of_side(case, side)).max()) for side in case.sides]
    return answer.builds()[0].figures[name], sides


def test_of_two_sides_the_faster_one_gives_the_speed_and_the_one_that_turns_less_the_shot():
    speed, speeds = of_sides("speed_low_rpm")
    turns, of_shots = of_sides("shot_revolutions")

    assert speeds[0] == pytest.approx(3 * speeds[1])
    assert speed == pytest.approx(max(speeds))
    assert turns == pytest.approx(min(of_shots))


def test_a_title_says_whose_figure_it_is_where_there_are_two_sides():
    figure = next(each for each in FIGURES if each.name == "speed_low_rpm")

    assert figure.titled(two_part=False) == "rotor speed at the lowest flow"
    assert figure.titled(two_part=True) == "rotor speed at the lowest flow, of the faster side"
    assert FIGURES[0].titled(two_part=True) == FIGURES[0].title


def test_names_are_unique_and_end_in_a_unit_or_are_bare():
    names = [figure.name for figure in FIGURES]
    assert len(set(names)) == len(names)
    assert all(name == name.lower() and " " not in name for name in names)


@pytest.mark.parametrize(
    "figure",
    [figure for figure in FIGURES if figure.trades and figure.read],
    ids=lambda figure: figure.name,
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
