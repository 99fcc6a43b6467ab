"""Valid rows of every cluster: search by python-constraint, joins by numpy.

python-constraint enumerates *blocks*: groups of slots that small tables tie together. Each
block gets a fresh ``Problem``, since solving prunes the problem's own domains, and a solver
without forward checking. Where a cluster is wider than a block, its blocks are joined by
cross product and every table that reaches over several blocks filters the result as soon as
its last slot has arrived, in chunks, so no wide product is ever held whole.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from constraint import OptimizedBacktrackingSolver, Problem

from configurator.solve.arrays import BoolArray, IntArray
from configurator.solve.model import Model, Table, product

BLOCK_CELLS = 2048
"""Largest product of domain sizes that python-constraint is asked to search in one block."""

CHUNK_ROWS = 1 << 20
"""Rows that a cross product may hold before filtering."""

BY_ARITY: dict[int, Callable[[Any], Callable[..., bool]]] = {
    1: lambda nested: lambda a: nested[a],
    2: lambda nested: lambda a, b: nested[a][b],
    3: lambda nested: lambda a, b, c: nested[a][b][c],
}
"""Look-ups in a nested list, by number of slots: quicker than a set of tuples."""

Columns = dict[int, IntArray]
"""Slot number to the live position of that slot in every row, shape ``(rows,)``."""


def cluster_rows(model: Model, scope: tuple[int, ...]) -> tuple[Columns, int]:
    """All value tuples of a cluster that satisfy every table inside it.

    Returns
    -------
    columns : dict of int to int array
        One column a slot, each of shape ``(rows,)``.
    rows : int
        Their number; an empty scope has one row.
    """
    inside = [table for table in model.tables if set(table.scope) <= set(scope)]
    blocks = _blocks(model, scope, inside)
    columns: Columns = {}
    rows = 1
    done: set[int] = set()
    for block in _join_order(blocks, inside):
        own = [table for table in inside if set(table.scope) <= set(block)]
        found = _search(block, [model.width(slot) for slot in block], own)
        before = done | set(block)
        filters = [
            table
            for table in inside
            if set(table.scope) <= before
            and not set(table.scope) <= done
            and not set(table.scope) <= set(block)
        ]
        columns, rows = _cross(columns, rows, block, found, filters)
        done = before
    return {slot: columns[slot] for slot in scope}, rows


def _search(block: tuple[int, ...], widths: Sequence[int], tables: Sequence[Table]) -> IntArray:
    """Solutions of one block, sorted, shape ``(rows, slots of the block)``."""
    if any(width == 0 for width in widths):
        return np.zeros((0, len(block)), dtype=np.int64)
    if not tables:
        shape = tuple(widths)
        return np.stack(np.unravel_index(np.arange(product(widths)), shape), axis=1)
    problem = Problem(OptimizedBacktrackingSolver(forwardcheck=False))
    for slot, width in zip(block, widths, strict=True):
        problem.addVariable(slot, list(range(width)))
    for table in tables:
        problem.addConstraint(_predicate(table.allowed), list(table.scope))
    if len(block) == 1:
        rows = [(answer[block[0]],) for answer in problem.getSolutions()]
    else:
        rows = problem.getSolutionsOrderedList(list(block))
    return np.array(sorted(rows), dtype=np.int64).reshape(len(rows), len(block))


def _predicate(allowed: BoolArray) -> Callable[..., bool]:
    """The table as a function of its values, for python-constraint's positional calls."""
    if allowed.ndim in BY_ARITY:
        return BY_ARITY[allowed.ndim](allowed.tolist())
    tuples = set(map(tuple, np.argwhere(allowed).tolist()))
    return lambda *values: values in tuples


def _blocks(model: Model, scope: tuple[int, ...], tables: Sequence[Table]) -> list[tuple[int, ...]]:
    """Group slots along tables, smallest table first, while a group stays searchable."""
    group = {slot: frozenset((slot,)) for slot in scope}
    for table in sorted(tables, key=lambda table: (table.allowed.size, table.scope)):
        union = frozenset[int]().union(*(group[slot] for slot in table.scope))
        if product([model.width(slot) for slot in union]) <= BLOCK_CELLS:
            for slot in union:
                group[slot] = union
    return sorted({tuple(sorted(slots)) for slots in group.values()})


def _join_order(
    blocks: Sequence[tuple[int, ...]], tables: Sequence[Table]
) -> list[tuple[int, ...]]:
    """Next comes the block that completes most tables, so filters bite early."""
    waiting = list(blocks)
    ordered: list[tuple[int, ...]] = []
    done: set[int] = set()
    while waiting:
        completes = {
            block: sum(
                set(table.scope) <= done | set(block) and not set(table.scope) <= done
                for table in tables
            )
            for block in waiting
        }
        following = min(waiting, key=lambda block: (-completes[block], block))
        waiting.remove(following)
        ordered.append(following)
        done |= set(following)
    return ordered


def _cross(
    columns: Columns,
    rows: int,
    block: tuple[int, ...],
    found: IntArray,
    filters: Sequence[Table],
) -> tuple[Columns, int]:
    """Cross product of the rows so far with a block's rows, filtered chunk by chunk."""
    step = max(1, CHUNK_ROWS // max(len(found), 1))
    parts: list[Columns] = []
    for start in range(0, max(rows, 1), step):
        stop = min(rows, start + step)
        part = {slot: np.repeat(column[start:stop], len(found)) for slot, column in columns.items()}
        for axis, slot in enumerate(block):
            part[slot] = np.tile(found[:, axis], stop - start)
        for table in filters:
            keep = table.allowed[tuple(part[slot] for slot in table.scope)]
            part = {slot: column[keep] for slot, column in part.items()}
        parts.append(part)
    joined = {slot: np.concatenate([part[slot] for part in parts]) for slot in parts[0]}
    if not joined:
        return joined, rows * len(found)
    return joined, len(next(iter(joined.values())))
