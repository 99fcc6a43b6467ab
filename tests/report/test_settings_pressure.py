"""First settings of pressures: what fills and what is there, what drips, what trips at a restart."""

from __future__ import annotations

import json
import math
from collections import Counter

import pytest
from small_world import WORLD, World

from configurator.report.settings import settings_of
from configurator.report.settings_kind import Setting
from configurator.report.sheet_words import english
from configurator.report.trial_plan import plan_page, plan_table, planned_json
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.trial.head import Head, head_of
from configurator.trial.planning import TrialAims, plan_trial
from configurator.units.interval import Basis
from configurator.units.kinds import PRESSURE
from configurator.units.quantity import read_quantity

STAGES = 2 * 12e5
THIXOTROPIC = {"component.flow.thixotropic": True, "process.longest_stop": "20 min"}
"""Three times as stiff after a stop, by the practice of the small world."""


def head_in(world: World) -> Head:
    return head_of(world.only_base.answer.subject, world.base_build)


def pressures(changes: dict[str, object]) -> dict[str, Setting]:
    found = settings_of(head_in(WORLD.having(changes)), english())
    keys = Counter(setting.key for setting in found)
    return {setting.key: setting for setting in found if keys[setting.key] == 1}


def start(setting: Setting) -> float:
    return read_quantity(setting.start, PRESSURE, Basis.INVENTED).nominal


LOST = head_in(WORLD).pressure_at(1e-6)
"""Of the base tip at 10 Pa*s and 1 mL/s: 2.55 bar by Hagen and Poiseuille, and its ends. [Pa]"""


def thick(times: float) -> dict[str, object]:
    return {"component.flow.viscosity": f"{10 * times} Pa*s", "practice.speed_caps": CAPS}


CAPS = [{"viscosity_up_to": "10000 Pa*s", "speed": "100 rpm"}]


def test_the_trip_lies_above_the_restart_and_below_the_rating():
    trip = pressures(THIXOTROPIC)["trip"]
    assert trip.low == pytest.approx(3 * LOST, rel=1e-3)
    assert 1.1 * 3 * LOST <= start(trip) * 1.01 < STAGES
    assert "after the longest stop" in trip.span
    assert "after the longest stop" not in pressures({})["trip"].span


def test_where_no_trip_lies_between_restart_and_rating_the_sheet_says_what_to_do():
    """Restart 5 % below the rating: it may trip at a start, and a purge or a timed mask answers."""
    trip = pressures(THIXOTROPIC | thick(0.95 * STAGES / (3 * LOST)))["trip"]
    assert start(trip) == pytest.approx(STAGES)
    assert "mask" in trip.note
    # Three volumes of the tip at 1 mL/s.
    assert f"{3 * math.pi / 4 * 4e-6 * 10e-3 / 1e-6 * 1e3:.3g} ms" in trip.note
    assert "purge" in trip.note


def test_no_mask_lets_a_restart_above_the_rating_through():
    trip = pressures(THIXOTROPIC | thick(1.2 * STAGES / (3 * LOST)))["trip"]
    assert start(trip) == pytest.approx(STAGES)
    assert "purge" in trip.note
    assert "never mask" in trip.note


FAR = {"feed.line_length": "10 m"}
"""Loses 128 mu L Q / (pi D^4) = 4.07 bar and more; the supply has 3 bar, the feed stands 10."""


def fills_at(changes: dict[str, object]) -> float:
    """Gauge pressure that the rule asks for."""
    return WORLD.having(changes).finding("filling of the cavity").demand - AMBIENT_PRESSURE


def test_no_feed_is_set_above_what_is_there():
    feed = pressures(FAR)["feed"]
    assert feed.start == "none"
    assert feed.low is None
    assert feed.high is None
    assert "3 bar" in feed.note
    assert "10 bar" in feed.note
    assert "missing" in feed.note
    enough = pressures(FAR | {"process.feed_pressure": "6 bar"})["feed"]
    assert start(enough) == pytest.approx(fills_at(FAR), rel=5e-3)
    assert fills_at(FAR) < enough.high <= 6e5
    assert (
        pressures(FAR | {"process.feed_pressure": "60 bar", "feed.line_length": "30 m"})[
            "feed"
        ].start
        == "none"
    )  # 12 bar, of a feed that stands 10


def test_the_least_that_a_shop_sets_is_no_more_than_there_is():
    weak = {"practice.feed_least": "0.3 bar", "process.feed_pressure": "0.1 bar"}
    feed = pressures(weak | {"component.flow.viscosity": "1 mPa*s"})["feed"]
    assert start(feed) == pytest.approx(0.1e5)
    assert feed.high == pytest.approx(0.1e5)


def test_a_regulated_feed_has_a_supply_and_a_set_pressure_of_which_only_one_drips():
    stiff = thick(5) | {"process.feed_pressure": "9 bar"}
    line = stiff | {"feed.line_length": "1 m", "feed.regulator_drop": "2 bar"}
    found = pressures(line)
    supply, at_head = found["feed"], found["regulator"]
    assert "in front of the regulator" in supply.name
    assert start(supply) == pytest.approx(fills_at(line), rel=5e-3)
    assert start(at_head) == pytest.approx(
        fills_at(stiff | {"feed.line_length": "0.000001 m"}), rel=5e-3
    )
    assert start(supply) > start(at_head) + 2e5
    assert "drip" not in supply.note
    # Half of 20 bar hold at rest, 10 % more than is set; 9 bar less the drop are there.
    assert "9.09 bar" in at_head.note
    assert at_head.high == pytest.approx(7e5)


LEAKING = {
    "stator.kind": "rigid",
    "cavity.rated_rigid.efficiency": "1 %",
    "cavity.rated_rigid.pressure": "21 bar",
    "process.feed_pressure": "9 bar",
}
SHEAR_THINNING = {
    "component.flow": {
        "model": "power law",
        "consistency": "20 Pa*s^n",
        "index": "0.6",
        "at": "20 degC",
        "activation_energy": "0 kJ/mol",
    }
}


@pytest.mark.parametrize("flow", [{}, SHEAR_THINNING])
def test_the_feed_of_a_rigid_stator_ends_where_the_shop_says_that_it_weeps(flow):
    """Oracle: the rule on weeping, with the feed set to the very pressures that are told."""
    feed = pressures(LEAKING | flow)["feed"]

    def weeping(pressure: float) -> float:
        least = {"practice.feed_least": f"{pressure!r} Pa"}
        return WORLD.having(LEAKING | flow | least).finding("weep at rest").demand

    assert feed.high < 9e5
    assert weeping(feed.high) == pytest.approx(0.01, rel=1e-3)
    drips = next(word for word in feed.note.split("; ") if "drips" in word)
    told = float(drips.split("above ")[-1].split(" bar")[0]) * 1e5
    assert weeping(told) == pytest.approx(0.1, rel=0.02)


def test_a_tip_that_shuts_off_holds_back_what_a_rigid_stator_lets_through():
    shut = {"outlet.shut_off_pressure": "8 bar"}
    assert pressures(LEAKING | shut)["feed"].high == pytest.approx(8e5)


def test_a_trial_of_a_build_that_passes_a_rating_says_so_first():
    head = head_in(WORLD.having(thick(1.2 * STAGES / LOST) | {"process.tolerance": "5 %"}))
    made, sizing = plan_trial(head, TrialAims(), ())
    first = " ".join(plan_table(made, sizing, head).splitlines()[:4])
    assert "28.8 bar" in first
    assert "24 bar" in first
    assert "28.8 bar" in json.loads(planned_json(made, sizing, head))["over_rating"]
    assert plan_page(made, sizing, head).index("28.8 bar") < plan_page(made, sizing, head).index(
        "Material"
    )
    fine = head_in(WORLD.having({"process.tolerance": "5 %"}))
    assert json.loads(planned_json(*plan_trial(fine, TrialAims(), ()), fine))["over_rating"] is None
