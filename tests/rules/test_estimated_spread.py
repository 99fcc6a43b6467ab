"""A spread that is stated makes a rule marginal; one that is estimated leaves it unproven."""

import numpy as np
import pytest
from flow_ways import TIP
from small_world import WORLD
from ways import SPREAD, STATED_SPREAD

from configurator.rules.comparison import Bound
from configurator.rules.finding import LISTED, State

HOUSING = "pressure in the housing"
CAP = "rotor speed against viscosity"


def rated(share: float):
    """A housing rated for a share of what the base tip asks for at 20 degC."""
    return {"size.pressure_max": f"{share * TIP!r} Pa"}


@pytest.mark.parametrize(
    ("share", "stated", "estimated"),
    [
        # 8.2 times as thick at 0 degC, 0.16 times at 40 degC; 10 % is the caution margin.
        (10.0, State.FITS, State.FITS),
        (8.3, State.MARGINAL, State.MARGINAL),
        (2.0, State.MARGINAL, State.UNPROVEN),
        (0.5, State.RULED_OUT, State.UNPROVEN),
        (0.15, State.RULED_OUT, State.RULED_OUT),
    ],
)
def test_where_the_limit_lies_in_the_spread_decides(share, stated, estimated):
    known = WORLD.having({**STATED_SPREAD, **rated(share)})
    guessed = WORLD.having({**SPREAD, **rated(share)})
    assert known.finding(HOUSING).state is stated
    assert guessed.finding(HOUSING).state is estimated


def test_an_estimated_viscosity_rules_no_speed_out_that_its_thin_end_allows():
    """At 20 Pa*s the shop allows 50 rpm, at a thin end below 10 Pa*s it allows 100 rpm."""
    thick = WORLD.having({"component.flow.viscosity": "20 Pa*s"})
    assert thick.finding(CAP).state is State.RULED_OUT
    assert thick.having(SPREAD).finding(CAP).state is State.UNPROVEN
    assert thick.having(STATED_SPREAD).finding(CAP).state is State.RULED_OUT


def test_a_lone_reading_is_an_estimate_and_a_stated_model_is_not():
    assert WORLD.having({"component.flow.model": None}).answer.subject.fluids[0].estimated
    assert not WORLD.answer.subject.fluids[0].estimated


def test_slip_at_the_rated_point_is_the_rated_slip():
    """A rigid stator at its own rated viscosity and pressure leaks what its rating says.

    0.1 mL a turn is lost there; on oil a figure may be off by two either way.
    """
    rating = {
        "viscosity": "10 Pa*s",
        "density": "1000 kg/m^3",
        "speed": "60 rpm",
        "pressure": f"{TIP!r} Pa",
        "efficiency": "90 %",
        "fluid": "oil",
    }
    world = WORLD.having({"stator.kind": "rigid", "cavity.rated_rigid": rating})
    assert world.finding("rotor speed against the drive").demand == pytest.approx(1 + 0.1 * 2)
    own = world.having({"cavity.rated_rigid": {**rating, "fluid": "own material"}})
    assert own.finding("rotor speed against the drive").demand == pytest.approx(1 + 0.1 * 1.2)
    elastomer = {"cavity.rated_elastomer": {**rating, "pressure": "80 bar", "fluid": "water"}}
    assert own.having(elastomer).finding("rotor speed against the drive").demand == pytest.approx(
        1 + 0.1 * 1.2
    )


def test_a_cavity_without_a_rigid_rating_leaves_slip_unknown():
    world = WORLD.having({"stator.kind": "rigid", "cavity.rated_rigid": None})
    for rule in ("volume error", CAP):
        assert world.finding(rule).state is State.UNPROVEN


def test_of_many_requests_each_level_has_an_array_of_its_own_that_stays():
    """Levels that look at the same array share a table, so that no two may be mistaken."""
    kind, nominal, hard = np.array([[1.0, 1.0], [2.0, 2.0], [3.0, 3.0]])
    bound = Bound(kind, nominal, hard, estimated=np.array([False, True]))
    seen = {level: id(bound.end(level)) for level in LISTED}

    assert len(set(seen.values())) == len(LISTED)
    assert {level: id(bound.end(level)) for level in LISTED} == seen
    assert [bound.end(level).tolist() for level in LISTED] == [[3.0, 3.0], [2.0, 3.0], [2.0, 1.0]]
