"""Counting by summing slots away, against looking at every combination."""

from __future__ import annotations

from itertools import product
from math import prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.explain import tally
from configurator.explain.tally import Sieve, Table, TooWideError, some, total

SLOTS = ("size", "cavity", "drive", "seal", "tip")


@st.composite
def problems(draw):
    """Sizes of a few slots, tables over some of them, and how often each value counts."""
    sizes = {slot: draw(st.integers(1, 4)) for slot in SLOTS}
    tables = []
    for _ in range(draw(st.integers(0, 6))):
        scope = tuple(draw(st.lists(st.sampled_from(SLOTS), min_size=1, max_size=3, unique=True)))
        shape = tuple(sizes[slot] for slot in scope)
        cells = draw(st.lists(st.booleans(), min_size=prod(shape), max_size=prod(shape)))
        tables.append(Table(scope, np.array(cells).reshape(shape)))
    if draw(st.booleans()):  # as a cavity decides its size
        decided = draw(
            st.lists(
                st.integers(0, sizes["size"] - 1),
                min_size=sizes["cavity"],
                max_size=sizes["cavity"],
            )
        )
        table = np.equal(np.arange(sizes["size"])[:, None], np.array(decided))
        tables.append(Table(("size", "cavity"), table))
    for slot in draw(st.sets(st.sampled_from(SLOTS))):
        weights = draw(st.lists(st.integers(0, 3), min_size=sizes[slot], max_size=sizes[slot]))
        tables.append(Table((slot,), np.array(weights, dtype=float)))
    return tables, sizes


def by_hand(tables, sizes):
    found = 0
    for values in product(*(range(size) for size in sizes.values())):
        at = dict(zip(sizes, values, strict=True))
        ways = 1
        for table in tables:
            ways *= int(table.values[tuple(at[slot] for slot in table.scope)])
        found += ways
    return found


@settings(max_examples=200, deadline=None, derandomize=True)
@given(problems())
def test_it_counts_what_every_combination_adds_up_to(problem):
    tables, sizes = problem
    assert total(tables, sizes) == by_hand(tables, sizes)
    assert some(tables, sizes) == (by_hand(tables, sizes) > 0)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(problems(), st.permutations(SLOTS))
def test_the_order_of_summing_changes_nothing(problem, order):
    tables, sizes = problem
    assert total(tables, sizes, order.index) == by_hand(tables, sizes)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(problems())
def test_values_that_a_sieve_drops_are_in_no_combination(problem):
    tables, sizes = problem
    sieve = Sieve(sizes)
    for table in tables:
        among = np.ix_(*(sieve.kept[slot] for slot in table.scope))
        sieve.hear(Table(table.scope, table.values[among]))
    left = 0 if sieve.emptied else total(sieve.tables, sieve.sizes)
    assert left == by_hand(tables, sizes)


def test_a_slot_that_another_one_decides_may_be_left_nothing():
    nothing = Table(("size", "cavity"), np.zeros((2, 3), dtype=bool))
    wide = [
        Table(("cavity", "drive", "tip"), np.ones((3, 2, 2), dtype=bool)),
        Table(("drive", "tip"), np.eye(2, dtype=bool)),
    ]
    sizes = {"size": 2, "cavity": 3, "drive": 2, "tip": 2}
    assert total([nothing, *wide], sizes) == 0
    assert not some([nothing, *wide], sizes)


def test_a_table_over_no_slot_that_fails_leaves_nothing():
    sieve = Sieve({"size": 3})
    sieve.hear(Table((), np.asarray(False)))
    assert sieve.emptied


def test_a_number_that_no_float_holds_exactly_is_given_up():
    many = {f"slot {number}": 1000 for number in range(6)}
    with pytest.raises(TooWideError):
        total([], many)
    assert some([], many)


def test_a_join_that_is_too_wide_is_given_up(monkeypatch):
    monkeypatch.setattr(tally, "MOST_CELLS", 3)
    with pytest.raises(TooWideError):
        total([Table(("size", "tip"), np.eye(2, dtype=bool))], {"size": 2, "tip": 2})
