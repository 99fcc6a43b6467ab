"""What explanations promise, on random small catalogs and requests, against the full product.

The oracle lays out every combination of all parts as rows and asks every rule of every row. It
knows no narrowing, no relation and no solver; it shares the rules with what it checks.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from random_worlds import worlds
from small_world import World

from configurator.configure import parts_of, subject_of
from configurator.explain.again import Again
from configurator.explain.chosen import judged
from configurator.explain.conflict import Board
from configurator.explain.flip import flips_of
from configurator.explain.knobs import knobs_of, turned
from configurator.explain.remedy import remedies_for
from configurator.explain.standing import Ground
from configurator.explain.why import why
from configurator.physics.domain import PhysicsDomainError
from configurator.report.why import why_json, why_text
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.comparison import Total
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK

SETTINGS = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],  # a world says what is odd in it; shrinking takes long
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)

HARD = [
    {"process.reach": "20 mm"},
    {"process.tip_outside_diameter_max": "4 mm"},
    {"process.tolerance": "0.02 %"},
    {"process.carrier": {"payload": "900 g"}},
    {"component.filler": {"name": "mystery", "d99": "600 um", "mohs": "7 Mohs"}},
    {"process.deposit": {"kind": "flow", "flow": "900 mL/min"}},
    {"process.deposit": {"kind": "dots", "volume": "100 uL", "dispense_time": "1 s"}},
    {"process.control": ["step and direction"]},
    {"process.feed_pressure": "0 bar", "component.flow.viscosity": None},
    {"process.temperature": "20..60 degC"},
]
"""Wishes that few of the random parts meet."""


@st.composite
def hard_worlds(draw: st.DrawFn) -> World:
    world = draw(worlds())
    for change in draw(st.lists(st.sampled_from(HARD), min_size=1, max_size=2, unique_by=str)):
        if "component.flow.viscosity" not in change:
            world = world.having(change).asking(world.picks, world.without)
    return world


class Product:
    """Every combination of all parts, excluded ones as well, and which rules each passes."""

    def __init__(self, world: World, request=None) -> None:
        self.request = request or world.request
        parts = parts_of(replace(self.request, without={}), world.catalog)
        self.slots = tuple(parts)
        self.names = {slot: [part.name for part in each] for slot, each in parts.items()}
        rows = list(product(*(range(len(each)) for each in parts.values())))
        self.rows = np.array(rows, dtype=np.intp).reshape(-1, len(parts))
        subject = subject_of(self.request, world.catalog, None)
        self.passes = {}
        self.background = []
        with np.errstate(all="ignore"):
            for applied in apply_rules(Case(subject, Frame(parts, self.rows)), RULEBOOK):
                outcome = applied.outcome
                states = outcome.whole.states if isinstance(outcome, Total) else outcome.states
                passed = np.broadcast_to(states < State.RULED_OUT, (len(self.rows),))
                self.passes[applied.title] = passed
                if not applied.rule.asks:
                    self.background.append(applied.title)

    def picked(self, slot: str, names) -> np.ndarray:
        held = np.array([name in names for name in self.names[slot]])
        return held[self.rows[:, self.slots.index(slot)]]

    def meets(self, members, given=None) -> np.ndarray:
        """Which rows meet the background and some members of a conflict."""
        found = np.ones(len(self.rows), dtype=bool)
        for title in self.background:
            found &= self.passes[title]
        for slot, name in (given or {}).items():
            found &= self.picked(slot, (name,))
        for kind, name in members:
            if kind == "rule":
                found &= self.passes.get(name, np.ones(len(self.rows), dtype=bool))
            elif kind == "pick":
                found &= self.picked(name, (self.request.picks[name],))
            else:
                found &= ~self.picked(name, self.request.without[name])
        return found

    def every_member(self):
        return [
            *(("rule", title) for title in self.passes),
            *(("pick", slot) for slot in self.request.picks),
            *(("without", slot) for slot, names in self.request.without.items() if names),
        ]

    @property
    def count(self) -> int:
        return int(self.meets(self.every_member()).sum())


def check_conflict(oracle: Product, members, given=None) -> None:
    assert not oracle.meets(members, given).any()
    for member in members:
        assert oracle.meets(members - {member}, given).any(), member


@SETTINGS
@given(hard_worlds())
def test_each_conflict_leaves_no_build_and_without_any_member_it_leaves_one(world):
    assume(not world.answer.count)
    oracle = Product(world)

    found = Board(Ground.of(world.answer)).conflicts(limit=6)

    assert oracle.count == 0
    assert found.catalog_alone == bool(oracle.meets(()).any())
    assert bool(found.found) == found.catalog_alone
    for conflict in found.found:
        check_conflict(oracle, conflict.members)
    assert len({conflict.members for conflict in found.found}) == len(found.found)
    if found.complete and found.found:
        check_that_there_are_no_others(oracle, found)


def check_that_there_are_no_others(oracle: Product, found) -> None:
    """Whatever hits every conflict once leaves a build when it is taken away."""
    every = frozenset(oracle.every_member())
    for hit in product(*(sorted(conflict.members) for conflict in found.found)):
        assert oracle.meets(every - set(hit)).any()


@SETTINGS
@given(hard_worlds(), st.data())
def test_a_part_is_told_to_be_out_exactly_where_no_combination_holds_it(world, data):
    slot = data.draw(st.sampled_from(world.slots))
    name = data.draw(st.sampled_from([part.name for part in world.catalog.slot(slot)]))
    assume(slot != "mixing" or name == "none")
    oracle = Product(world)
    members = [m for m in oracle.every_member() if m not in {("pick", slot), ("without", slot)}]
    left = int(oracle.meets(members, {slot: name}).sum())

    found = why(world.answer, {slot: name}, search=False)

    assert found.count == left
    if not left:
        for conflict in (*found.alone, *found.conflicts.found):
            check_conflict(oracle, conflict.members, {slot: name})
        assert all(len(conflict.members) == 1 for conflict in found.alone)
        for swap in found.swaps:
            swapped = [member for member in members if member != ("pick", swap.slot)]
            held = {slot: name, swap.slot: swap.part}
            assert oracle.meets(swapped, held).any()


@settings(SETTINGS, max_examples=12)
@given(hard_worlds())
def test_each_remedy_opens_a_build_and_a_slightly_smaller_change_opens_none(world):
    assume(not world.answer.count)
    board = Board(Ground.of(world.answer))

    found = remedies_for(world.answer, board, budget=2.0)

    for remedy in (*found.single, *found.pairs):
        assert Product(world, remedy.request).count == remedy.builds > 0
        last = remedy.changes[-1]
        if not last.choice:
            assert Product(world, remedy.short_request).count == 0
            if "temperature" not in last.title and last.now != "none":
                assert abs(math.log(last.setting / last.short_setting)) < 0.01


@settings(SETTINGS, max_examples=12)
@given(worlds(), st.data())
def test_each_flip_point_breaks_within_one_percent_and_not_before(world, data):
    assume(world.answer.count)
    build = world.answer.builds(limit=1)[0]
    every = sorted({knob.field for knob in knobs_of(world.request) if knob.continuous})
    fields = data.draw(st.sets(st.sampled_from(every), min_size=1, max_size=2))

    found = flips_of(world.answer, build.parts, fields=fields, budget=9.0, successors=False)

    again = Again(world.answer)
    knobs = {(knob.title, knob.more): knob for knob in knobs_of(world.request)}

    def out(request) -> bool:
        state = judged(world.answer, [build.parts], again.subject(request))[0].state
        return state is State.RULED_OUT

    with np.errstate(all="ignore"):
        for flip in found.points:
            assert not out(flip.requests[0])
            assert out(flip.requests[1])
            knob = knobs[flip.title, flip.more]
            for share in (0.1, 0.4, 0.7, 0.9):
                part = (
                    flip.held**share
                    if knob.at_rest
                    else knob.at_rest + share * (flip.held - knob.at_rest)
                )
                between = turned(knob, world.request, part)
                assert between is None or not out(between)
            if knob.at_rest:
                assert abs(math.log(flip.setting / flip.held)) < 0.01


@SETTINGS
@given(hard_worlds(), st.randoms(use_true_random=False))
def test_an_explanation_does_not_depend_on_the_order_of_the_catalog(world, random):
    shuffled = {slot: list(entries) for slot, entries in world.parts.items()}
    for entries in shuffled.values():
        random.shuffle(entries)
    other = replace(world, parts=shuffled)

    first, second = (why(each.answer, search=False) for each in (world, other))

    assert why_json(first) == why_json(second)
    assert why_text(first, 100) == why_text(second, 100)


@SETTINGS
@given(hard_worlds(), st.data())
def test_a_rule_says_the_same_when_a_field_moves_that_it_is_not_taken_to_read(world, data):
    """What `Again.exists` relies on: tables that a change cannot move are kept."""
    knob = data.draw(st.sampled_from(knobs_of(world.request)))
    setting = data.draw(st.sampled_from(knob.settings))
    changed = turned(knob, world.request, setting)
    assume(changed is not None)
    again = Again(world.answer)
    try:
        left = Product(world, changed).count
    except PhysicsDomainError:
        pytest.skip("beyond what a formula takes")

    assert again.exists(changed, {knob.field}) == (left > 0)
