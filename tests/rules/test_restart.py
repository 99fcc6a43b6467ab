"""What a start after the longest stop asks for, and how long a stop may be; worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from flow_ways import STAGES, TIP
from small_world import WORLD
from two_part_ways import AGE, BEHIND, DOUBLINGS, POT_LIFE
from two_part_world import TWO_PART

from configurator.rules.finding import State
from configurator.workshop.figures import FIGURES

READ = {figure.name: figure.read for figure in FIGURES}


def figure(world, name: str) -> float:
    (case,) = {applied.case for applied in world.applied}
    return float(np.asarray(READ[name](case)).reshape(-1)[0])


def restarts(world) -> dict[str, State]:
    return {
        applied.title: applied.finding(0, world.base_build).state
        for applied in world.applied
        if "restart" in applied.title
    }


@pytest.mark.parametrize("minutes", [1, 30, 90])
def test_a_longer_stop_asks_for_more_pressure(minutes):
    """30 min of pot life that is a doubling: 90 min are eight times as thick, not as before."""
    world = TWO_PART.having(
        {
            "mix.pot_life.value": "30 min",
            "mix.pot_life.definition": "viscosity doubles",
            "process.longest_stop": f"{minutes} min",
        }
    )
    running = figure(world, "back_pressure_bar")
    assert figure(world, "restart_pressure_bar") == pytest.approx(running * 2 ** (minutes / 30))


def test_a_structure_that_is_built_up_again_counts_with_the_cure():
    stood = TWO_PART.having({"b.flow.thixotropic": True})
    grown = 2 ** (60 * DOUBLINGS / POT_LIFE)
    assert figure(stood, "restart_pressure_bar") == pytest.approx(3 * grown * BEHIND / 1e5)


def test_the_mouth_presses_as_before():
    closed = WORLD.having({"component.flow.thixotropic": True, "process.back_pressure": "1 bar"})
    assert figure(closed, "restart_pressure_bar") == pytest.approx(3 * TIP / 1e5 + 1)


def test_a_one_part_material_without_structure_starts_as_it_runs():
    assert not restarts(WORLD)
    assert figure(WORLD, "restart_pressure_bar") == pytest.approx(TIP / 1e5)
    assert math.isnan(figure(WORLD, "stop_allowed_min"))


def test_every_rating_of_the_chain_is_held_against_the_start():
    """All parts are rated so that the running mix passes and a day-old one does not."""
    rated = f"{BEHIND / 0.89} Pa"
    changes = {f"{slot}.pressure_max": rated for slot in ("size", "body", "seal", "outlet")}
    changes |= {
        "mixing.pressure_max": rated,
        "cavity.stage_pressure": f"{BEHIND / 0.89 / STAGES} Pa",
    }
    for stop, state in (("0 s", State.FITS), ("5 min", State.MARGINAL)):
        found = restarts(TWO_PART.having({**changes, "process.longest_stop": stop}))
        assert set(found.values()) == {state}
        assert len(found) == 2 + 2 * 4


def test_an_unknown_stop_proves_nothing():
    found = restarts(TWO_PART.having({"process.longest_stop": None}))
    assert set(found.values()) == {State.UNPROVEN}


def test_the_longest_stop_that_holds_is_the_one_of_pot_life_or_rating():
    """30 % of the pot life less the age; or as long as the mix takes to reach the rating."""
    by_life = (0.3 * POT_LIFE - AGE) / 60
    assert figure(TWO_PART, "stop_allowed_min") == pytest.approx(by_life)

    rated = TWO_PART.having({"mixing.pressure_max": f"{2 * BEHIND} Pa"})
    one_doubling = POT_LIFE / DOUBLINGS / 60
    assert figure(rated, "stop_allowed_min") == pytest.approx(one_doubling)

    overloaded = TWO_PART.having({"mixing.pressure_max": f"{0.9 * BEHIND} Pa"})
    assert figure(overloaded, "stop_allowed_min") == 0.0


def test_the_stop_that_is_named_is_the_longest_that_fits():
    """A second less and both rules hold, a second more and one does not."""
    allowed = figure(TWO_PART, "stop_allowed_min") * 60
    for seconds, state in ((allowed - 1, State.FITS), (allowed + 1, State.MARGINAL)):
        world = TWO_PART.having({"process.longest_stop": f"{seconds} s"})
        (finding,) = world.findings("longest stop against pot life")
        assert finding.state is state


def test_nobody_knows_a_stop_for_a_mix_of_unknown_age():
    untold = TWO_PART.having({"process.production.cycle_time": None})
    assert math.isnan(figure(untold, "stop_allowed_min"))
