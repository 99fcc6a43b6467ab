"""Elimination against every combination, for many problems at once."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.engine.eliminate import (
    TooWideError,
    exists,
    summed_to,
)
from configurator.engine.table import Table

SLOTS = ("a", "b", "c", "d", "e")


@st.composite
def worlds(draw: st.DrawFn) -> tuple[dict[str, int], list[Table], int]:
    """Sizes, tables of flags over one to three slots, and a number of problems."""
    sizes = {slot: draw(st.integers(0, 4)) for slot in SLOTS}
    problems = draw(st.integers(1, 3))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    tables = []
    for _ in range(draw(st.integers(0, 6))):
        scope = tuple(draw(st.permutations(SLOTS))[: draw(st.integers(0, 3))])
        shared = draw(st.booleans())
        # Some tables say the same along an axis, and have one place there.
        lengths = [
            sizes[slot] if draw(st.integers(0, 5)) else min(sizes[slot], 1) for slot in scope
        ]
        shape = (1 if shared else problems, *lengths)
        tables.append(Table(scope, random.random(shape) < draw(st.sampled_from([0.3, 0.6, 0.9]))))
    if draw(st.booleans()):
        # A function from one slot to another, as a cavity has one size.
        by, slot = draw(st.permutations(SLOTS))[:2]
        values = np.zeros((1, sizes[by], sizes[slot]), dtype=np.bool_)
        if sizes[slot]:
            values[0, np.arange(sizes[by]), random.integers(0, sizes[slot], sizes[by])] = True
        tables.append(Table((by, slot), values))
    return sizes, tables, problems


def counts(tables: list[Table], sizes: dict[str, int], problems: int) -> np.ndarray:
    found = np.ones(problems)
    for table in summed_to(tables, sizes):
        found = found * table.values
    return found


def every(sizes: dict[str, int], tables: list[Table], problem: int):
    """Combinations that pass all tables of one problem."""
    for values in itertools.product(*(range(size) for size in sizes.values())):
        at = dict(zip(sizes, values, strict=True))
        if all(passes(table, at, problem) for table in tables):
            yield at


def passes(table: Table, at: dict[str, int], problem: int) -> bool:
    return bool(value(table, at, problem))


def value(table: Table, at: dict[str, int], problem: int):
    shape = table.values.shape
    index = [problem if shape[0] > 1 else 0]
    index += [
        at[slot] if length > 1 else 0 for slot, length in zip(table.scope, shape[1:], strict=True)
    ]
    return table.values[tuple(index)]


@settings(max_examples=150)
@given(worlds())
def test_counts_and_existence_are_those_of_trying_every_combination(world):
    sizes, tables, problems = world

    found = counts(tables, sizes, problems)
    some = exists(tables, sizes, problems)

    expected = [len(list(every(sizes, tables, problem))) for problem in range(problems)]
    assert found.tolist() == expected
    assert some.tolist() == [number > 0 for number in expected]


@settings(max_examples=80)
@given(worlds(), st.integers(0, 2**32 - 1))
def test_a_value_that_counts_several_times_is_weighed(world, seed):
    sizes, tables, problems = world
    random = np.random.default_rng(seed)
    weights = [
        Table((slot,), random.integers(0, 5, (problems, size)).astype(float))
        for slot, size in sizes.items()
    ]

    found = counts([*tables, *weights], sizes, problems)

    for problem in range(problems):
        expected = sum(
            np.prod([value(weight, at, problem) for weight in weights])
            for at in every(sizes, tables, problem)
        )
        assert found[problem] == expected


@settings(max_examples=80)
@given(worlds(), st.sets(st.sampled_from(SLOTS)))
def test_slots_that_are_kept_tell_how_often_each_of_their_values_passes(world, keep):
    sizes, tables, problems = world
    kept = tuple(slot for slot in SLOTS if slot in keep)
    found = np.ones((problems, *(sizes[slot] for slot in kept)))

    for table in summed_to(tables, sizes, kept):
        found = found * table.over(kept)

    for problem in range(problems):
        expected = np.zeros(found.shape[1:])
        for at in every(sizes, tables, problem):
            expected[tuple(at[slot] for slot in kept)] += 1
        assert found[problem].tolist() == expected.tolist()


def test_a_number_beyond_exact_floats_is_refused_and_not_rounded():
    sizes = {f"s{number}": 1000 for number in range(6)}
    tables = [
        Table((f"s{number}", f"s{number + 1}"), np.ones((1, 1000, 1000), dtype=np.bool_))
        for number in range(5)
    ]

    with pytest.raises(TooWideError):
        summed_to(tables, sizes)

    assert exists(tables, sizes, 1).all()


def test_a_join_too_wide_to_lay_out_is_refused():
    sizes = {"a": 2, **{f"s{number}": 300 for number in range(4)}}
    tables = [
        Table(("a", f"s{number}"), np.ones((1, 2, 300), dtype=np.bool_) & (number < 9))
        for number in range(4)
    ]
    tables += [
        Table((f"s{number}", f"s{number + 1}"), ~np.eye(300, dtype=np.bool_)[np.newaxis])
        for number in range(3)
    ]

    # Summing `a` out joins all four wide slots.
    with pytest.raises(TooWideError):
        summed_to(tables, sizes, [f"s{number}" for number in range(4)])
