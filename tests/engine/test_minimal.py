"""Minimal conflicts of plain items, against trying every subset."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.engine.conflict import (
    is_minimal_conflict_found,
    minimal_conflict,
    minimal_conflicts,
)

ITEMS = tuple(range(6))

forbidden = st.lists(st.frozensets(st.sampled_from(ITEMS), min_size=1), max_size=5)


def goes(sets):
    """Items go together unless they hold one of the forbidden sets: fewer are never harder."""
    return lambda chosen: not any(each <= chosen for each in sets)


def every_minimal(sets) -> set[frozenset[int]]:
    together = goes(sets)
    bad = [
        frozenset(each)
        for size in range(len(ITEMS) + 1)
        for each in combinations(ITEMS, size)
        if not together(frozenset(each))
    ]
    return {each for each in bad if not any(other < each for other in bad)}


@settings(max_examples=200, deadline=None, derandomize=True)
@given(forbidden)
def test_every_minimal_conflict_is_found_once(sets):
    found = list(minimal_conflicts(ITEMS, goes(sets)))

    assert len(found) == len(set(found))
    assert set(found) == every_minimal(sets)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(forbidden)
def test_one_conflict_is_minimal_or_there_is_none(sets):
    found = minimal_conflict(ITEMS, goes(sets))

    minimal = every_minimal(sets)
    assert found in minimal if minimal else found is None


@settings(max_examples=200, deadline=None, derandomize=True)
@given(forbidden, st.permutations(ITEMS))
def test_a_known_conflict_is_told_to_be_the_one_that_a_search_would_find(sets, items):
    found = minimal_conflict(items, goes(sets))

    fails = [
        frozenset(each)
        for size in range(1, len(ITEMS) + 1)
        for each in combinations(ITEMS, size)
        if not goes(sets)(frozenset(each))
    ]
    told = [each for each in fails if is_minimal_conflict_found(each, items, goes(sets))]
    assert told == ([] if found is None else [found])


def test_nothing_at_all_is_the_empty_conflict():
    assert minimal_conflict(ITEMS, lambda _chosen: False) == frozenset()


def test_what_comes_first_is_blamed_where_there_is_a_choice():
    sets = [frozenset({0, 5}), frozenset({4, 5})]

    assert minimal_conflict(ITEMS, goes(sets)) == {0, 5}


def test_the_search_stops_when_told_but_not_before_the_first():
    sets = [frozenset({0}), frozenset({1}), frozenset({2})]

    assert len(list(minimal_conflicts(ITEMS, goes(sets), lambda: True))) == 1
