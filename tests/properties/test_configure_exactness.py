"""The one path against brute force: every combination of the full product, rule by rule.

The oracle lays out the product of all parts that a request lets in, as rows, asks every rule of
every row, and takes the worst finding as the build's state. It narrows nothing, knows no
relation and no threshold, and shares with the path only the rules themselves.
"""

from collections import Counter
from functools import cached_property
from itertools import product
from unittest.mock import patch

import numpy as np
import pytest
from draws import draws
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from listing import listed_states
from random_worlds import two_part_worlds, worlds
from small_world import World

from configurator.rules import ruleset, space
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import LISTED, State
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK

SETTINGS = settings(
    max_examples=draws(40, 110),
    deadline=None,
    derandomize=True,
    database=None,
    # A world says what is odd in it; shrinking would take minutes.
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


DESCRIBED = 20
"""Builds of a world whose findings are worked out as well."""


class BruteForce:
    """Every combination of a world's parts and its state."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.slots = world.slots
        question = world.question
        self.parts = {}
        for slot in self.slots:
            without = question.without.get(slot, frozenset())
            self.parts[slot] = tuple(
                part
                for part in world.catalog.slot(slot)
                if part.name not in without
                and (slot != "mixing" or part.kind == "none" or question.material.two_part)
            )

    @cached_property
    def states(self) -> dict[tuple[str, ...], State]:
        """State by the names of a build's parts."""
        places = [range(len(self.parts[slot])) for slot in self.slots]
        rows = np.array(list(product(*places)), dtype=np.intp).reshape(-1, len(self.slots))
        if not len(rows):
            return {}
        case = Case(self.world.answer.subject, Frame(self.parts, rows))
        worst = np.zeros(len(rows), dtype=np.int8)
        for applied in apply_rules(case, RULEBOOK):
            outcome = applied.outcome
            states = outcome.whole.states
            worst = np.maximum(worst, states)
        names = [[part.name for part in self.parts[slot]] for slot in self.slots]
        return {
            tuple(names[axis][place] for axis, place in enumerate(row)): State(int(state))
            for row, state in zip(rows.tolist(), worst.tolist(), strict=True)
        }

    def listed(self, picks) -> dict[tuple[str, ...], State]:
        """Builds that are not ruled out and hold the picks."""
        wanted = [(self.slots.index(slot), name) for slot, name in picks.items()]
        return {
            build: state
            for build, state in self.states.items()
            if state < State.RULED_OUT and all(build[at] == name for at, name in wanted)
        }


def build_of(world: World, ranked) -> tuple[str, ...]:
    return tuple(ranked.parts[slot].name for slot in world.slots)


def check(world: World) -> None:
    oracle = BruteForce(world)
    answer = world.answer
    picks = world.question.picks
    listed = oracle.listed(picks)

    by_state = Counter(listed.values())
    assert answer.counts == {level: by_state[level] for level in LISTED}
    assert answer.count == len(listed)
    assert answer.considered == len(oracle.states)

    assert listed_states(answer) == listed
    page = answer.builds(limit=DESCRIBED)
    assert len(page) == min(DESCRIBED, len(listed))
    for ranked in page:
        assert ranked.state == listed[build_of(world, ranked)]

    for slot, choices in answer.choices.items():
        assert {choice.part.name for choice in choices} == {
            part.name for part in oracle.parts[slot]
        }
        for choice in choices:
            left = oracle.listed({**picks, slot: choice.part.name})
            assert choice.builds == len(left), (slot, choice.part.name)
            assert choice.state == min(left.values(), default=State.RULED_OUT)
            assert choice.picked == (picks.get(slot) == choice.part.name)
            if choice.reasons:
                assert all(finding.state is State.RULED_OUT for finding in choice.reasons)
                assert not oracle.listed({slot: choice.part.name})


def check_either_way(world: World, *, wide: bool) -> None:
    """Small catalogs fit in tables; with `wide` every table counts as too wide for one."""
    if not wide:
        check(world)
        return
    with (
        patch.object(space, "THRESHOLD_FROM", 2),
        patch.object(ruleset, "NARROW_UP_TO", 8),
    ):
        check(world)


@SETTINGS
@given(worlds(), st.booleans())
def test_counts_builds_states_and_choices_equal_brute_force(world, wide):
    check_either_way(world, wide=wide)


@settings(SETTINGS, max_examples=draws(20, 50))
@given(two_part_worlds(), st.booleans())
def test_two_metering_sides_equal_brute_force(world, wide):
    check_either_way(world, wide=wide)


@pytest.mark.parametrize("slot", ["stator", "outlet", "feed", "size"])
def test_a_slot_with_every_part_excluded_leaves_no_build(slot):
    base = World()
    names = frozenset(part.name for part in base.catalog.slot(slot))
    check(base.asking(without={slot: names}))


def test_rows_do_not_lean_on_each_other():
    """One build at a time says the same as all of them in one array."""
    world = World().having({"component.density": None})
    oracle = BruteForce(world)
    for build, state in oracle.states.items():
        rows = np.array(
            [
                [
                    next(at for at, part in enumerate(oracle.parts[slot]) if part.name == name)
                    for slot, name in zip(oracle.slots, build, strict=True)
                ]
            ],
            dtype=np.intp,
        )
        case = Case(world.answer.subject, Frame(oracle.parts, rows))
        found = [applied.outcome for applied in apply_rules(case, RULEBOOK)]
        alone = max(int(each.whole.states.max()) for each in found)
        assert alone == state
