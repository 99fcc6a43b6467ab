"""Propagation, counting and spaces against every build, whatever the rules say."""

from __future__ import annotations

import numpy as np
import pytest
from draws import draws
from random_rules import SIZES, RandomBuilds

from configurator.engine.table import Table
from configurator.rules import meeting, ruleset, space
from configurator.rules.build_order import BuildOrder
from configurator.rules.comparison import Comparison
from configurator.rules.counting import Count
from configurator.rules.finding import LISTED, State
from configurator.rules.held_rule import HeldRule
from configurator.rules.left_with import left_with
from configurator.rules.priced import PricedParts
from configurator.rules.prices import Prices
from configurator.rules.propagation import Propagation
from configurator.rules.space import HELPER_MARK
from configurator.rules.spaces import Spaces, conflict_in

SEEDS = range(draws(8, 25))


@pytest.fixture(params=[False, True], ids=["tables", "wide"])
def wide(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Also as if every rule over several slots were too wide for a table."""
    if request.param:
        monkeypatch.setattr(ruleset, "NARROW_UP_TO", 0)
        monkeypatch.setattr(space, "THRESHOLD_FROM", 0)
    return bool(request.param)


def others(axis: int) -> tuple[int, ...]:
    return tuple(other for other in range(len(SIZES)) if other != axis)


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_a_part_stands_as_long_as_each_rule_by_itself_leaves_it_a_partner(seed):
    builds = RandomBuilds(seed)
    left = builds.left

    stands = {slot: np.ones(size, dtype=bool) for slot, size in SIZES.items()}
    for outcome in builds.outcomes:
        states = np.broadcast_to(outcome.states, tuple(SIZES.values()))
        for axis, slot in enumerate(SIZES):
            stands[slot] &= (states < State.RULED_OUT).any(axis=others(axis))
    for slot, flags in stands.items():
        # Rules are heard in turns, so that more may be out than one turn takes.
        assert not (left.live[slot][0] & ~flags).any()
    out = {(each.slot, place) for each in left.cuts() for place in np.flatnonzero(each.out[0])}
    assert out == {(slot, place) for slot in SIZES for place in np.flatnonzero(~left.live[slot][0])}


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_counts_are_those_of_every_build(seed):
    builds = RandomBuilds(seed)
    count = Count(builds.left)
    for level in LISTED:
        expected = builds.passes(level).sum()
        assert count.up_to(level).tolist() == [expected]
        assert count.some(level).tolist() == [expected > 0]


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_builds_among_some_parts_are_counted_in_all_and_part_by_part(seed):
    builds = RandomBuilds(seed)
    random = np.random.default_rng(seed)
    count = Count(builds.left)
    for level in LISTED:
        every = builds.passes(level)
        for most in (1, 3, 9):
            among = {
                slot: np.sort(random.permutation(live[0].nonzero()[0])[:most])
                for slot, live in builds.left.live.items()
            }
            flags = {s: np.isin(np.arange(SIZES[s]), places) for s, places in among.items()}
            here = every[np.ix_(*among.values())]
            assert count.up_to(level, flags).tolist() == [here.sum()]
            if here.size:
                found = left_with(builds.left, level, among, SIZES)
                for axis, slot in enumerate(SIZES):
                    assert found[slot].tolist() == here.sum(axis=others(axis)).tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_pairs_of_cells_in_small_lots_are_counted_alike(seed, monkeypatch):
    builds = RandomBuilds(seed)
    monkeypatch.setattr(meeting, "MOST_PAIRS", 50)
    count = Count(builds.left)
    assert [count.up_to(level)[0] for level in LISTED] == [
        builds.passes(level).sum() for level in LISTED
    ]


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_builds_come_in_the_order_of_all_of_them(seed):
    """Of every build: a figure asked for, steps short, steps off comfort, cost, places of parts."""
    builds = RandomBuilds(seed)
    random = np.random.default_rng(seed)
    costs = {slot: random.integers(0, 3, size) for slot, size in SIZES.items()}
    figure = [
        Table(scope, random.integers(0, 2, (1, *(SIZES[slot] for slot in scope))))
        for scope in [("outlet",), ("a.cavity", "mixing"), ("a.cavity", "b.cavity", "outlet")]
    ]
    count = Count(builds.left)
    prices = Prices.of(costs)
    for level in LISTED:
        rows = np.argwhere(builds.passes(level))
        for leading in ([], figure):
            asked = sum(
                table.values[(0, *(rows[:, [*SIZES].index(slot)] for slot in table.scope))]
                for table in leading
            ) + np.zeros(len(rows))
            steps, strain = (of[tuple(rows.T)] for of in (builds.steps, builds.strain))
            total = sum(costs[slot][rows[:, axis]] for axis, slot in enumerate(SIZES))
            expected = rows[np.lexsort([*rows.T[::-1], total, strain, steps, asked])]
            order = BuildOrder(PricedParts(count, level, prices, figure=leading))
            assert [*order.builds()] == [tuple(row) for row in expected.tolist()]
            if len(rows):
                priced = PricedParts(count, level, prices, figure=leading)
                first = BuildOrder(priced).first()
                assert first.tolist() == expected[:1].tolist()


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_builds_that_leave_a_share_of_every_limit_are_those_of_all_that_do(seed):
    builds = RandomBuilds(seed)
    shape = tuple(SIZES.values())
    leaves = {share: np.ones(shape, dtype=bool) for share in (-0.5, 0.05, 0.3)}
    for outcome in builds.outcomes:
        if isinstance(outcome, Comparison):
            known = np.all([np.broadcast_to(b.known, shape) for b in outcome.bounds], axis=0)
            for share in leaves:
                leaves[share] &= known & (np.nan_to_num(outcome.margins) >= share - 1e-6)
    told = np.random.default_rng(seed).random((1, SIZES["a.cavity"], SIZES["b.drive"])) < 0.7
    flags = Table(("a.cavity", "b.drive"), told)
    count = Count(builds.left)
    for share, passes in leaves.items():
        held = [
            HeldRule.leaving(rule, share)
            for rule in builds.left.tables
            if isinstance(rule.outcome, Comparison)
        ]
        free = Prices.none(builds.frame)
        order, some = (
            BuildOrder(PricedParts(count, State.UNPROVEN, free, held=held, figure=figure))
            for figure in ((), [flags])
        )
        expected = {tuple(row) for row in np.argwhere(builds.passes(State.UNPROVEN) & passes)}
        assert set(order.builds()) == expected
        at = [[*SIZES].index(slot) for slot in flags.scope]
        assert set(some.builds()) == {b for b in expected if told[0, b[at[0]], b[at[1]]]}


@pytest.mark.usefixtures("wide")
@pytest.mark.parametrize("seed", SEEDS)
def test_spaces_hold_every_build_at_each_level(seed):
    builds = RandomBuilds(seed)
    left = builds.left
    spaces = Spaces(left)
    for level in LISTED:
        passes = builds.passes(level)
        assert spaces[level].count() == passes.sum()
        remaining = spaces[level].remaining()
        for axis, slot in enumerate(SIZES):
            expected = passes.sum(axis=others(axis))
            assert remaining[slot].tolist() == expected[left.live[slot][0]].tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_conflict_leaves_no_build_and_none_of_its_rules_is_idle(seed):
    builds = RandomBuilds(seed)
    left = builds.left
    found = Spaces(left)[State.UNPROVEN]
    every = builds.passes(State.UNPROVEN)
    by_title = {
        each.title: np.broadcast_to(
            builds.outcomes[builds.rules.index(each.rule)].states < State.RULED_OUT, every.shape
        )
        for each in left.evaluation.rules.judgements
    }
    # Rules over the same slots of both sides are one table, which is blamed as a whole.
    by_title["mass and moment"] = by_title["mass"] & by_title["moment"]

    def together(names, axis, place):
        passes = np.ones(every.shape, dtype=bool)
        for name in names:
            passes &= by_title[name]
        return np.take(passes, place, axis=axis).any()

    for axis, slot in enumerate(SIZES):
        for value, place in enumerate(np.flatnonzero(left.live[slot][0])):
            blames = conflict_in(found, {slot: value})
            names = {blame.name for blame in blames if blame.kind != "pick"}
            if np.take(every, place, axis=axis).any():
                assert not blames
            else:
                assert not any(name.startswith(HELPER_MARK) for name in names)
                assert not together(names, axis, place)
                assert all(together(names - {name}, axis, place) for name in names)


def test_parts_for_which_no_rule_would_be_heard_may_not_stand():
    left = RandomBuilds(1).left
    over = {slot: np.ones((1, size), dtype=bool) for slot, size in SIZES.items()}
    first = np.flatnonzero(left.stages[1]["outlet"][0])[0]
    over["outlet"][0, first] = False

    with pytest.raises(ValueError, match="outlet"):
        Propagation(left.evaluation, over=over)


def test_the_random_rules_leave_some_builds_and_not_all():
    for level in LISTED:
        shares = [float(RandomBuilds(seed).passes(level).mean()) for seed in SEEDS]
        assert sum(0.0 < share < 1.0 for share in shares) > len(SEEDS) // 2
