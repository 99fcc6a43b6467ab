"""Each rule of the rulebook four ways: it holds, it fails, a datum is missing, at the limit.

Each is heard on one build of the small world, and the one path has to agree: a world whose only
build some rule rules out has no build, any other has exactly one, in the state of its worst
finding.
"""

import pytest
from duty_ways import DUTY_WAYS
from flow_ways import FLOW_WAYS
from part_ways import PART_WAYS
from pydantic import ValidationError
from small_world import WORLD, World
from supply_ways import CONTAINER_WAYS, SENSOR_WAYS
from two_part_ways import TWO_PART_RULES, TWO_PART_WAYS
from two_part_world import TWO_PART
from ways import Ways

from configurator.errors import InputError
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK

WAYS = (*PART_WAYS, *DUTY_WAYS, *FLOW_WAYS, *SENSOR_WAYS, *CONTAINER_WAYS, *TWO_PART_WAYS)

ALL = pytest.mark.parametrize("ways", WAYS, ids=lambda ways: ways.rule)

LIMITS = [
    pytest.param(ways, limit, id=f"{ways.rule} {number}")
    for ways in WAYS
    if not isinstance(ways.limits, str)
    for number, limit in enumerate(ways.limits)
]

MISSING = [ways for ways in WAYS if not isinstance(ways.unknown, str)]
NOTHING_MISSING = [ways for ways in WAYS if isinstance(ways.unknown, str)]


_WORLDS: dict[str, World] = {}


def world_of(ways: Ways, changes) -> World:
    """The world of some changes; many rules hold in the same one, which is then judged once."""
    base, changed = (TWO_PART if ways.rule in TWO_PART_RULES else WORLD), ways.setting | changes
    return _WORLDS.setdefault(f"{base is WORLD} {changed}", base.having(changed))


def check_margin(finding: Finding) -> None:
    """The margin is below nothing exactly where the demand passes the limit."""
    if finding.margin is None:
        return
    assert isinstance(finding.demand, float)
    assert isinstance(finding.limit, float)
    left = finding.limit - finding.demand
    assert finding.margin * (-left if finding.at_least else left) >= 0.0


def state_of(world: World, rule: str) -> State | None:
    """State of a rule, heard alone and by the one path."""
    worst = max(State(int(applied.outcome.whole.states.max())) for applied in world.applied)
    answer = world.only_base.answer
    expected = {level: int(level == worst) for level in answer.counts}
    assert answer.counts == expected
    heard = world.findings(rule)
    for finding in heard:
        check_margin(finding)
    return max((finding.state for finding in heard), default=None)


def test_every_rule_is_tried_once():
    names = [ways.rule for ways in WAYS]
    assert len(set(names)) == len(names)
    assert set(names) == {rule.name for rule in RULEBOOK}


def test_two_part_rules_stay_silent_on_one_part():
    silent = {ways.rule for ways in TWO_PART_WAYS if not WORLD.findings(ways.rule)}
    parts_of_the_mixer = {"chemistry of the mixing", "early cure in the mixing"}
    assert silent == set(TWO_PART_RULES) - parts_of_the_mixer


@pytest.mark.parametrize("world", [WORLD, TWO_PART], ids=["one part", "two parts"])
def test_the_small_world_fits_in_every_rule(world):
    states = {applied.finding(0, world.base_build).state for applied in world.applied}
    assert states == {State.FITS}


@ALL
def test_it_holds(ways):
    world = world_of(ways, ways.holds)
    assert state_of(world, ways.rule) is ways.held
    if ways.demand is not None:
        demand = world.findings(ways.rule)[0].demand
        assert demand == pytest.approx(ways.demand, rel=ways.accuracy)


@ALL
def test_it_fails(ways):
    assert state_of(world_of(ways, ways.fails), ways.rule) is ways.failed


@pytest.mark.parametrize("ways", MISSING, ids=lambda ways: ways.rule)
def test_a_missing_datum_leaves_it_unproven_and_is_never_a_pass(ways):
    assert state_of(world_of(ways, ways.unknown), ways.rule) is State.UNPROVEN


@pytest.mark.parametrize(("ways", "limit"), LIMITS)
def test_at_the_limit(ways, limit):
    assert state_of(world_of(ways, limit.changes), ways.rule) is limit.state


def test_each_rule_without_a_limit_or_an_unknown_says_why():
    for ways in WAYS:
        for text in (ways.limits, ways.unknown):
            if isinstance(text, str):
                assert len(text.split()) > 3, ways.rule


@pytest.mark.parametrize("ways", NOTHING_MISSING, ids=lambda ways: ways.rule)
def test_nothing_that_such_a_rule_reads_can_be_left_out(ways):
    """Without it the file is refused, the rule is not asked, or the absence says something."""
    rule = next(rule for rule in RULEBOOK if rule.name == ways.rule)
    base = world_of(ways, ways.holds)
    assert base.findings(ways.rule)
    for path in (*rule.parts, *rule.asks):
        if path in ways.absent_means:
            continue
        try:
            left = base.having({path: None}).findings(ways.rule)
        except (ValidationError, InputError):
            continue
        slot = path.partition(".")[0]
        unread = slot == "mixing" and not base.question.material.two_part
        assert not left or unread, f"{path} can be left out of {ways.rule}"
