"""Natural joins against every combination of values, and what the planner expects of them."""

from itertools import product

import numpy as np
import pytest

from configurator.engine import BuildSpace, Relation
from configurator.engine.compilation import cluster_rows
from configurator.engine.elimination import bag_of, primal_graph
from configurator.engine.joining import join_tables, row_order
from configurator.engine.model import SPARSE_FACTOR, LiveTable, build_model

WIDTHS = (4, 7, 3, 5, 6)


def random_tables(seed: int, density: float) -> list[LiveTable]:
    rng = np.random.default_rng(seed)
    scopes = {
        tuple(sorted(rng.choice(len(WIDTHS), rng.integers(1, 4), replace=False).tolist()))
        for _ in range(rng.integers(1, 6))
    }
    return [
        LiveTable(scope, rng.random([WIDTHS[slot] for slot in scope]) < density)
        for scope in sorted(scopes)
    ]


def expected_rows(tables: list[LiveTable]) -> list[tuple[int, ...]]:
    slots = sorted({slot for table in tables for slot in table.scope})
    combinations = product(*(range(WIDTHS[slot]) for slot in slots))
    return [
        values
        for values in combinations
        if all(
            table.allowed[tuple(values[slots.index(slot)] for slot in table.scope)]
            for table in tables
        )
    ]


def joined_rows(tables: list[LiveTable]) -> list[tuple[int, ...]]:
    columns, count = join_tables(tables)
    rows = list(zip(*(columns[slot].tolist() for slot in sorted(columns)), strict=True))
    assert len(rows) == count
    return rows


@pytest.mark.parametrize("density", [0.03, 0.3, 0.8])
@pytest.mark.parametrize("chunk", [5, 1 << 20])
def test_joined_rows_are_those_that_every_table_allows_in_order(density, chunk, monkeypatch):
    monkeypatch.setattr("configurator.engine.joining.CHUNK_ROWS", chunk)
    for seed in range(25):
        tables = random_tables(seed, density)
        assert joined_rows(tables) == expected_rows(tables)


def test_no_tables_have_one_row_and_an_empty_table_none():
    assert join_tables([]) == ({}, 1)
    tables = [
        LiveTable((0, 1), np.zeros((4, 7), np.bool_)),
        LiveTable((1, 2), np.ones((7, 3), np.bool_)),
    ]
    columns, count = join_tables(tables)
    assert count == 0
    assert {slot: len(column) for slot, column in columns.items()} == {0: 0, 1: 0, 2: 0}


def test_a_table_cut_down_to_some_slots_keeps_what_its_tuples_hold():
    rng = np.random.default_rng(4)
    for density in (0.5 / SPARSE_FACTOR, 0.5):
        allowed = rng.random((6, 8, 10)) < density
        table = LiveTable((2, 5, 7), allowed)
        assert table.sparse == (density < 0.1)
        assert table.onto((2, 7)).allowed.tolist() == allowed.any(axis=1).tolist()
        assert table.onto((5,)).allowed.tolist() == allowed.any(axis=(0, 2)).tolist()
        assert table.onto((2, 5, 7)) is table


def test_rows_are_ordered_by_their_columns_even_beyond_one_number():
    rng = np.random.default_rng(5)
    for top in (4, 1 << 40):
        columns = [rng.integers(0, top, 300) for _ in range(3)]
        ordered = list(
            zip(*(column[row_order(columns)].tolist() for column in columns), strict=True)
        )
        assert ordered == sorted(zip(*(column.tolist() for column in columns), strict=True))


def helper_space(pairs: int = 40, classes: int = 12) -> tuple[dict[str, int], list[Relation]]:
    """Two helpers, both functions of one slot: together they take few of their pairs."""
    rng = np.random.default_rng(6)
    of_pair = rng.integers(0, classes, (2, pairs))
    helpers = [
        Relation(f"h{side}", ("pair", f"h{side}"), of_pair[side][:, None] == np.arange(classes))
        for side in range(2)
    ]
    together = np.zeros((classes, classes), np.bool_)
    together[tuple(of_pair)] = True
    heads = [
        Relation(f"r{side}", (f"head{side}", f"h{side}"), rng.random((9, classes)) < 0.6)
        for side in range(2)
    ]
    link = Relation("link", ("head0", "head1"), rng.random((9, 9)) < 0.5)
    domains = {"pair": pairs, "head0": 9, "head1": 9, "h0": classes, "h1": classes}
    return domains, [*helpers, Relation("together", ("h0", "h1"), together), *heads, link]


def test_a_function_of_other_slots_is_expected_to_add_no_rows():
    domains, relations = helper_space()
    graph = primal_graph(build_model(domains, relations, []))
    assert graph.rows(bag_of([0, 3, 4])) == pytest.approx(np.log2(40))
    together = relations[2].allowed
    assert graph.rows(bag_of([3, 4])) == pytest.approx(np.log2(together.sum()))


def test_a_table_that_lies_partly_in_a_cluster_filters_its_rows():
    rng = np.random.default_rng(7)
    allowed = rng.random((5, 6, 7)) < 0.05
    model = build_model({"a": 5, "b": 6, "c": 7}, [Relation("r", ("a", "b", "c"), allowed)], [])
    columns, _ = cluster_rows(model, (0, 2))
    rows = list(zip(columns[0].tolist(), columns[2].tolist(), strict=True))
    assert rows == [tuple(row) for row in np.argwhere(allowed.any(axis=1)).tolist()]


def test_helper_slots_change_no_count():
    domains, relations = helper_space()
    grid = np.ix_(*(range(domains[slot]) for slot in ("pair", "head0", "head1")))
    pair, *heads = grid
    passes = relations[5].allowed[heads[0], heads[1]]
    for side in range(2):
        of_pair = relations[side].allowed.argmax(axis=1)
        passes = passes & relations[3 + side].allowed[heads[side], of_pair[pair]]
    space = BuildSpace(domains, relations)
    assert space.count() == passes.sum()
    assert space.remaining()["pair"].tolist() == passes.sum(axis=(1, 2)).tolist()


def test_tightening_by_relations_that_hold_already_changes_nothing():
    domains, relations = helper_space()
    space = BuildSpace(domains, relations)
    same = space.tightened(relations)
    assert same.count() == space.count()
    assert same.relations == space.relations
