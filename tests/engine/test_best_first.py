"""Combinations from the cheapest on, against all of them laid out and sorted."""

from __future__ import annotations

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.engine.best_first import NEVER, Chain, best_first
from configurator.engine.table import Table

SLOTS = ("a", "b", "c", "d")


@st.composite
def worlds(draw: st.DrawFn) -> tuple[dict[str, int], list[Table], int]:
    """Sizes, tables of flags and costs over up to three slots, and a number of problems."""
    sizes = {slot: draw(st.integers(1, 4)) for slot in SLOTS}
    problems = draw(st.integers(1, 3))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    tables = [Table((slot,), random.integers(0, 3, (1, size))) for slot, size in sizes.items()]
    for number in range(draw(st.integers(0, 6))):
        scope = tuple(draw(st.permutations(SLOTS))[: draw(st.integers(0, 3))])
        shape = (draw(st.sampled_from([1, problems])), *(sizes[slot] for slot in scope))
        flags = random.random(shape) < 0.7
        tables.append(Table(scope, flags if number % 2 else random.integers(0, 9, shape)))
    return sizes, tables, problems


def cost(tables: list[Table], at: dict[str, int], problem: int) -> int:
    total = 0
    for table in tables:
        row = table.values[problem if len(table.values) > 1 else 0]
        value = row[tuple(at[slot] for slot in table.scope)]
        total += int(value) if value.dtype != np.bool_ else 0 if value else NEVER
    return min(total, NEVER)


@settings(max_examples=80, deadline=None)
@given(worlds(), st.permutations(SLOTS), st.integers(0, 2))
def test_every_combination_comes_once_and_no_cheaper_one_after_it(world, names, kept):
    sizes, tables, problems = world
    first = tuple(names[:kept])
    chain = Chain(tables, sizes, first)
    slots = (*first, *chain.slots)

    for problem in range(problems):
        root = chain.root[problem if len(chain.root) > 1 else 0].reshape(-1)

        def decoded(chosen, root=first):
            at = np.unravel_index(chosen[0], [sizes[slot] for slot in root]) if root else ()
            return dict(zip(slots, (*map(int, at), *chosen[1:]), strict=False))

        def column(chosen, root=root, problem=problem):
            if not chosen:
                return root
            return chain.column(chain.slots[len(chosen) - 1], problem, decoded(chosen))

        found = [(key, decoded(at)) for key, at in best_first(1 + len(chain.slots), column)]
        every = [dict(zip(SLOTS, at, strict=True)) for at in product(*map(range, sizes.values()))]
        expected = sorted(
            (key, tuple(at.values())) for at in every if (key := cost(tables, at, problem)) < NEVER
        )
        assert [key for key, _ in found] == [key for key, _ in expected]
        assert sorted((key, tuple(at[s] for s in SLOTS)) for key, at in found) == expected
