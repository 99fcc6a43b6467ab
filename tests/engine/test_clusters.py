"""Enumeration by python-constraint, and joins of what is too wide for it."""

import numpy as np
import pytest

from configurator.engine import Relation
from configurator.engine.compilation import BLOCK_CELLS, cluster_rows
from configurator.engine.model import build_model


def rows_of(domains, relations):
    model = build_model(domains, relations, [])
    columns, count = cluster_rows(model, tuple(range(len(domains))))
    rows = sorted(zip(*(columns[slot].tolist() for slot in range(len(domains))), strict=True))
    assert len(rows) == count
    return rows


def test_rows_of_one_block_are_the_allowed_tuples():
    allowed = np.random.default_rng(1).random((4, 5, 6)) < 0.4
    rows = rows_of({"a": 4, "b": 5, "c": 6}, [Relation("r", ("a", "b", "c"), allowed)])
    assert rows == [tuple(row) for row in np.argwhere(allowed).tolist()]


@pytest.mark.parametrize("chunk", [7, 1 << 20])
def test_a_table_wider_than_a_block_filters_the_cross_product(chunk, monkeypatch):
    monkeypatch.setattr("configurator.engine.joining.CHUNK_ROWS", chunk)
    rng = np.random.default_rng(2)
    shape = (9, 8, 7, 6)
    assert np.prod(shape) > BLOCK_CELLS
    wide = rng.random(shape) < 0.3
    narrow = rng.random((8, 7)) < 0.6
    domains = dict(zip("abcd", shape, strict=True))
    rows = rows_of(
        domains, [Relation("w", tuple("abcd"), wide), Relation("n", ("c", "b"), narrow.T)]
    )
    expected = wide & narrow[None, :, :, None]
    assert rows == [tuple(row) for row in np.argwhere(expected).tolist()]


def test_the_same_problem_can_be_enumerated_twice():
    """Solving prunes a python-constraint problem's own domains, so each needs a fresh one."""
    allowed = np.random.default_rng(3).random((6, 6)) < 0.3
    relations = [Relation("r", ("a", "b"), allowed)]
    assert rows_of({"a": 6, "b": 6}, relations) == rows_of({"a": 6, "b": 6}, relations)
