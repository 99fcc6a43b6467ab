"""What explanations promise, on random small catalogs and requests, against the full product.

The oracle lays out every combination of all parts as rows and asks every rule of every row. It
knows no narrowing, no relation and no solver; it shares the rules with what it checks.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from draws import draws
from every_combination import HARD, SETTINGS, Product, hard_worlds
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from random_worlds import two_part_worlds

from configurator.explain.what_if import WhatIf
from configurator.explain.why import why
from configurator.report.why import why_json, why_text


def check_conflict(oracle: Product, members, given=None) -> None:
    assert not oracle.meets(members, given).any()
    for member in members:
        assert oracle.meets(members - {member}, given).any(), member


@SETTINGS
@given(hard_worlds())
def test_each_conflict_leaves_no_build_and_without_any_member_it_leaves_one(world):
    assume(not world.answer.count)
    oracle = Product(world)

    found = WhatIf(world.answer).problem.conflicts(limit=6)

    assert oracle.count == 0
    assert found.catalog_alone == bool(oracle.meets(()).any())
    assert bool(found.found) == found.catalog_alone
    for conflict in found.found:
        check_conflict(oracle, conflict.members)
    assert len({conflict.members for conflict in found.found}) == len(found.found)
    if found.complete and found.found:
        check_that_there_are_no_others(oracle, found)


@settings(SETTINGS, max_examples=draws(6, 12))
@given(two_part_worlds(), st.sampled_from(HARD[:4]))
def test_conflicts_of_two_metering_sides_are_minimal_too(world, change):
    world = world.having(change).asking(world.picks, world.without)
    assume(not world.answer.count)
    oracle = Product(world)

    found = WhatIf(world.answer).problem.conflicts(limit=3)

    assert found.catalog_alone == bool(oracle.meets(()).any())
    for conflict in found.found:
        check_conflict(oracle, conflict.members)


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
