"""What more demand can do to a build: nothing good, where a rule only weighs it against a limit.

Each law raises one demand, leaves all else as it is, and holds for every build of a random
small world. It is stated only where every rule that reads the demand is monotone in it:

- tolerance: read by the volume error as its ceiling, and by the shot's turns, where a tight one
  asks for more. Both limits only get harder.
- feed pressure: read by the filling of the cavity alone, as its limit; what drips at rest is
  worked out from the pressure that filling needs.
- payload and moment: ceilings of one sum, read by nothing else.
- density left out: slip and Reynolds number become unknown, and unknown passes nothing, nor does
  it rule out: builds that were listed stay listed, and all are unproven.
- back pressure is none: it widens the opening of elastomer lines and evens out the share of the
  stages, so that the change of slip over the range can fall. Rules on pressure and torque alone
  are monotone in it, and are asked alone.
- flow is none either: a shot gets no larger, but slip weighs less at more flow.
"""

from draws import draws
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from listing import listed_states
from random_worlds import worlds
from small_world import World

from configurator.rules.finding import State

SETTINGS = settings(
    max_examples=draws(12, 25),
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def states(world: World):
    return listed_states(world.answer)


def check_no_build_gets_better(before: World, after: World) -> None:
    """Whatever the harder request lists was listed before, in a state no worse."""
    harder, easier = states(after), states(before)
    for build, state in harder.items():
        assert build in easier
        assert easier[build] <= state


@SETTINGS
@given(worlds(), st.sampled_from([("5 %", "2 %"), ("2 %", "1 %"), ("1.001 %", "0.999 %")]))
def test_a_tighter_tolerance_makes_no_build_better(world, tolerances):
    loose, tight = (world.having({"process.tolerance": text}) for text in tolerances)
    check_no_build_gets_better(loose, tight)


@SETTINGS
@given(worlds(), st.sampled_from([("3 bar", "1 bar"), ("1 bar", "0 bar"), ("5 bar", "4.9 bar")]))
def test_less_feed_pressure_makes_no_build_better(world, pressures):
    more, less = (world.having({"process.feed_pressure": text}) for text in pressures)
    check_no_build_gets_better(more, less)


@SETTINGS
@given(worlds(), st.sampled_from([(None, "4 kg"), ("4 kg", "3 kg"), ("3 kg", "2.9 kg")]))
def test_less_payload_makes_no_build_better(world, payloads):
    more, less = (world.having({"process.carrier.payload": text}) for text in payloads)
    check_no_build_gets_better(more, less)


PROVEN = (State.FITS, State.MARGINAL)


@SETTINGS
@given(worlds())
def test_a_density_left_out_proves_nothing(world):
    # A trigger may tell the class of a material, and a class a density.
    world = world.having({"material.trigger": "none"})
    known = world.having({"component.density": "1000 kg/m^3"})
    unknown = world.having({"component.density": None})
    after = {build: state for build, state in states(unknown).items() if state in PROVEN}
    # The volume error of every one-part build needs slip, and slip needs the density.
    assert not after
    assert set(states(known)) <= set(states(unknown))


PRESSURE_RULES = {
    "pressure on each stage",
    "pressure in the housing",
    "pressure in the body",
    "pressure at the shaft seal",
    "pressure at the tip joint",
    "hollow spheres against pressure",
    "running torque",
}


@SETTINGS
@given(
    worlds(picking=False),
    st.sampled_from([(None, "1 bar"), ("1 bar", "0.5..2 bar"), ("2 bar", "6 bar")]),
)
def test_more_back_pressure_eases_no_rule_on_pressure_or_torque(world, pressures):
    low, high = (world.having({"process.back_pressure": text}) for text in pressures)
    for before, after in zip(low.applied, high.applied, strict=True):
        assert before.title == after.title
        if before.rule.name in PRESSURE_RULES:
            was = before.finding(0, low.base_build)
            now = after.finding(0, high.base_build)
            assert now.state >= was.state
            if isinstance(was.demand, float) and isinstance(now.demand, float):
                assert now.demand >= was.demand
