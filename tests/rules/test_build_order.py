"""The list of builds in the order of every combination, and what the words of the key mean."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from every_combination import SETTINGS, Product, hard_worlds
from hypothesis import given
from hypothesis import strategies as st
from random_worlds import two_part_worlds, worlds

from configurator.errors import HeadwrightError
from configurator.physics.domain import PhysicsDomainError
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.finding import State
from configurator.rules.outcome import Grades
from configurator.units.kinds import PRESSURE

MOST = 300


def in_order(world) -> None:
    """The list, its figures and the first build are those of every combination in order."""
    oracle = Product(world)
    rows = oracle.listed[:MOST]
    found = world.answer.builds(limit=MOST)

    names = [
        [
            oracle.names[slot][place]
            for slot, place in zip(oracle.slots, oracle.rows[row], strict=True)
        ]
        for row in rows
    ]
    assert [[part.name for part in build.parts.values()] for build in found] == names
    for build, row in zip(found, rows, strict=True):
        assert build.figures["shortfall_steps"] == oracle.steps[row]
        assert build.figures["comfort_steps"] == oracle.strain[row]


@SETTINGS
@given(st.one_of(worlds(), hard_worlds()))
def test_the_list_is_that_of_every_combination_in_order(world):
    try:
        in_order(world)
    except (PhysicsDomainError, HeadwrightError):
        return


@SETTINGS
@given(two_part_worlds())
def test_so_it_is_where_two_sides_meet(world):
    in_order(world)


@SETTINGS
@given(worlds(), st.sampled_from(["torque_nm", "head_mass_kg", "comfort_steps", "cost_index"]))
def test_what_ties_under_a_figure_falls_back_to_the_order(world, figure):
    answer = world.answer
    usual = {names(build): build.rank for build in answer.builds(limit=100_000)}
    asked = answer.with_question(replace(answer.question, sort=figure)).builds(limit=MOST)
    for before, after in pairwise(asked):
        alike = before.state is after.state and before.figures[figure] == after.figures[figure]
        assert not alike or usual[names(before)] < usual[names(after)]


def names(build) -> tuple[str, ...]:
    return tuple(part.name for part in build.parts.values())


@pytest.mark.parametrize(
    ("demand", "steps"),
    [
        (8.9, 0),
        (9.5, 1),
        (10.5, 2),
        (12.5, 2),
        (12.6, 3),
        (20.1, 4),
        (30.1, 5),
        (50.1, 6),
        (np.nan, 3),
    ],
)
def test_a_finding_is_short_by_the_depth_that_is_written_down(demand, steps):
    nominal = Bound(*(np.array(end) for end in (0.0 * demand, 0.0 * demand, demand)))
    found = Comparison(nominal, Bound.exact(10.0), PRESSURE, caution=0.1)
    assert found.steps == steps


@pytest.mark.parametrize(("demand", "steps"), [(11.2, 0), (10.9, 1), (9.9, 2), (7.9, 3), (1.9, 6)])
def test_so_is_one_under_a_floor(demand, steps):
    ends = Bound(*(np.array(end) for end in (20.0, 20.0, demand)))
    found = Comparison(ends, Bound.exact(10.0), PRESSURE, at_least=True, caution=0.1)
    assert found.steps == steps


def test_words_are_short_by_their_state():
    assert Grades(np.array([*State], dtype=np.int8)).steps.tolist() == [0, 2, 3, 0]


def test_a_window_is_left_in_the_steps_that_a_rule_names():
    found = Comparison(Bound.exact(np.array([4.9, 5.1, 7.1])), Bound.exact(10.0), PRESSURE)
    assert found.strained((0.5, 0.7)).tolist() == [0, 1, 2]
