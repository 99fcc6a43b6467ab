"""Valid rows of every cluster: search by python-constraint, joins by numpy.

python-constraint enumerates *blocks*: groups of slots that small tables tie together. Each
block gets a fresh ``Problem``, since solving prunes the problem's own domains, and a solver
without forward checking. Where a cluster is wider than a block, the answers of its blocks and
the tables that reach over several blocks are joined.
"""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from constraint import OptimizedBacktrackingSolver, Problem

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.joining import Columns, join_tables
from configurator.engine.model import LiveTable, Model, merge_tables, product

BLOCK_CELLS = 2048
"""Largest product of domain sizes that python-constraint is asked to search in one block."""

BY_ARITY: dict[int, Callable[[Any], Callable[..., bool]]] = {
    1: lambda nested: lambda a: nested[a],
    2: lambda nested: lambda a, b: nested[a][b],
    3: lambda nested: lambda a, b, c: nested[a][b][c],
}
"""Look-ups in a nested list, by number of slots: quicker than a set of tuples."""


def cluster_rows(model: Model, scope: tuple[int, ...]) -> tuple[Columns, int]:
    """All value tuples of a cluster that no table forbids.

    A table that lies partly inside forbids what none of its tuples extends; the builds would
    drop such rows anyway, but their number could be large until then.

    Returns
    -------
    columns : dict of int to int array
        One column a slot, each of shape ``(rows,)``; rows in ascending order.
    rows : int
        Their number; an empty scope has one row.
    """
    inside = _inside(model, scope)
    blocks = _blocks(model, scope, inside)
    wide = [
        table for table in inside if not any(set(table.scope) <= set(block) for block in blocks)
    ]
    reached = {slot for table in wide for slot in table.scope}
    searched = []
    for block in blocks:
        own = [table for table in inside if set(table.scope) <= set(block)]
        if own or not set(block) <= reached:
            searched.append(_searched(model, block, own))
    return join_tables([*searched, *wide])


def _inside(model: Model, scope: tuple[int, ...]) -> list[LiveTable]:
    """What the tables say of the slots of a cluster, one table a scope."""
    cut = [
        table.onto(tuple(slot for slot in table.scope if slot in scope)) for table in model.tables
    ]
    return list(merge_tables([table for table in cut if table.size < table.allowed.size]))


def _searched(model: Model, block: tuple[int, ...], tables: Sequence[LiveTable]) -> LiveTable:
    """The answers of one block as a table."""
    widths = tuple(model.width(slot) for slot in block)
    allowed = np.zeros(widths, dtype=np.bool_)
    allowed[tuple(_search(block, widths, tables).T)] = True
    return LiveTable(block, allowed)


def _search(block: tuple[int, ...], widths: Sequence[int], tables: Sequence[LiveTable]) -> IntArray:
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


def _blocks(
    model: Model, scope: tuple[int, ...], tables: Sequence[LiveTable]
) -> list[tuple[int, ...]]:
    """Group slots along tables, smallest table first, while a group stays searchable."""
    group = {slot: frozenset((slot,)) for slot in scope}
    for table in sorted(tables, key=lambda table: (table.allowed.size, table.scope)):
        union = frozenset[int]().union(*(group[slot] for slot in table.scope))
        if product([model.width(slot) for slot in union]) <= BLOCK_CELLS:
            for slot in union:
                group[slot] = union
    return sorted({tuple(sorted(slots)) for slots in group.values()})
