"""What is unknown is bounded where physics bounds it, and both sides of a mixture have one oven."""

from __future__ import annotations

import pytest
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.rules.finding import State


@pytest.mark.parametrize(
    ("reaches", "state"), [("50 rpm", State.RULED_OUT), ("70 rpm", State.UNPROVEN)]
)
def test_a_head_too_slow_without_any_slip_is_out_though_slip_is_unknown(reaches, state):
    # One turn moves 1 mL and 1 mL/s is wanted: 60 rpm, and more for whatever slips.
    world = WORLD.having({"component.density": None, "drive.speed_max": reaches})
    found = world.finding("rotor speed against the drive")

    assert found.state is state
    if state is State.RULED_OUT:
        assert "at least 60 rpm" in found.reason


def test_both_components_have_one_temperature_and_batches_of_their_own():
    world = TWO_PART.having(
        {
            "process.temperature": "0..40 degC",
            "a.flow.activation_energy": "40 kJ/mol",
            "b.flow.activation_energy": "40 kJ/mol",
            "a.flow.viscosity": "20 Pa*s +/- 50 %",
            "b.flow.viscosity": "10 Pa*s +/- 20 %",
        }
    )

    # At any temperature at most 30 against 8.
    assert world.finding("unlike viscosities").demand == pytest.approx(30 / 8)


def test_a_stated_mixed_viscosity_thins_as_the_components_do():
    paste = {
        "a.flow": {"model": "power law", "consistency": "50 Pa*s^n", "index": 0.5, "at": "20 degC"},
        "b.flow": {"model": "power law", "consistency": "50 Pa*s^n", "index": 0.5, "at": "20 degC"},
    }
    alone, stated = (
        TWO_PART.having({**paste, **more}).finding("pressure at the tip joint").demand
        for more in ({"mix.mixed_viscosity": None}, {"mix.mixed_viscosity": "28.12 Pa*s"})
    )

    # 50 Pa*s^0.5 is 28.12 Pa*s at the 3.162 1/s in the middle of where such readings are taken,
    # and at the ends, 1 and 10 1/s, a factor of 1.78 more or less.
    assert stated == pytest.approx(10**0.25 * alone, rel=1e-3)


@pytest.mark.parametrize(
    ("rule", "rating", "loose", "least"),
    [
        ("a: restart against the housing", "size.pressure_max", "40 bar +/- 5 %", "38 bar"),
        ("restart against the tip joint", "outlet.pressure_max", "40 bar +/- 5 %", "38 bar"),
        ("a: rotor speed the feed can fill", "feed.pressure_max", "1 bar +/- 10 %", "0.9 bar"),
    ],
)
def test_a_rating_with_a_tolerance_counts_at_its_low_end(rule, rating, loose, least):
    limits = []
    for stated in (loose, least):
        world = TWO_PART.having({rating: stated})
        (applied,) = (each for each in world.applied if each.title == rule)
        limits.append(applied.finding(0, world.base_build).limit)

    assert limits[0] == pytest.approx(limits[1])
