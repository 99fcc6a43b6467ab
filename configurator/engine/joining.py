"""Natural joins of tables into rows, without any wide product.

A table over some slots the rows already have and some they have not extends each row by the
tuples that stand with it; one over slots they all have filters them. The order of the tables is
chosen so that few rows are expected in between, and rows are extended in chunks, so memory
stays bounded by the result and one chunk.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import IntArray, narrow
from configurator.engine.model import LiveTable, product

CHUNK_ROWS = 1 << 20
"""Rows that an extension may hold before the tables it completes have filtered them."""

Columns = dict[int, IntArray]
"""Slot number to the live position of that slot in every row, shape ``(rows,)``, in few bytes."""


@dataclass(frozen=True)
class _Size:
    """What the order of tables is chosen by: scope, widths and number of tuples of a table."""

    scope: tuple[int, ...]
    widths: tuple[int, ...]
    tuples: int

    def growth(self, done: set[int]) -> float:
        """Rows out for each row in, where the slots that are done were independent."""
        shared = product(
            [width for slot, width in zip(self.scope, self.widths, strict=True) if slot in done]
        )
        return self.tuples / max(shared, 1)


def join_tables(tables: Sequence[LiveTable]) -> tuple[Columns, int]:
    """Rows over all slots of some tables that every table allows.

    Parameters
    ----------
    tables : sequence of LiveTable
        No table twice; none over no slot.

    Returns
    -------
    columns : dict of int to int array
        One column a slot, each of shape ``(rows,)``; rows in ascending order, slot by slot.
    rows : int
        Their number; no tables have one row.
    """
    columns: Columns = {}
    rows = 1
    for number, filters in _steps(tables):
        columns, rows = _extended(columns, rows, tables[number], [tables[at] for at in filters])
    return _sorted(columns, rows)


def _steps(tables: Sequence[LiveTable]) -> list[tuple[int, list[int]]]:
    """Tables that extend the rows, in order, each with the tables that filter right after.

    Every table is tried as the first one; the rest follow by least growth.
    """
    sizes = [_Size(table.scope, table.allowed.shape, table.size) for table in tables]
    ways = [_greedy(sizes, start) for start in range(len(sizes))]
    return min(ways, key=lambda way: way[0])[1] if ways else []


def _greedy(sizes: Sequence[_Size], start: int) -> tuple[float, list[tuple[int, list[int]]]]:
    """Expected rows over all steps of the order from one start, and the order."""
    waiting = set(range(len(sizes)))
    done: set[int] = set()
    rows, work = 1.0, 0.0
    steps: list[tuple[int, list[int]]] = []
    following = start
    while True:
        rows *= sizes[following].growth(done)
        work += rows
        done |= set(sizes[following].scope)
        waiting.discard(following)
        filters = sorted(
            (number for number in waiting if set(sizes[number].scope) <= done),
            key=lambda number: (sizes[number].growth(done), number),
        )
        for number in filters:
            rows *= sizes[number].growth(done)
        waiting -= set(filters)
        steps.append((following, filters))
        if not waiting:
            return work, steps
        following = min(waiting, key=lambda number: (sizes[number].growth(done), number))


def _extended(
    columns: Columns, rows: int, table: LiveTable, filters: Sequence[LiveTable]
) -> tuple[Columns, int]:
    """The rows with the new slots of a table, each with every tuple that stands with it."""
    shared = [axis for axis, slot in enumerate(table.scope) if slot in columns]
    new = [axis for axis, slot in enumerate(table.scope) if slot not in columns]
    shape = table.allowed.shape
    groups, found = _by_group(table, shared, new)
    values = {
        table.scope[axis]: narrow(column, shape[axis])
        for axis, column in zip(new, found, strict=True)
    }
    sizes = np.bincount(groups, minlength=product([shape[axis] for axis in shared]))
    starts = np.cumsum(sizes) - sizes
    key = np.zeros(rows, dtype=np.int64)
    for axis in shared:
        key = key * shape[axis] + columns[table.scope[axis]]
    counts = sizes[key]
    ends = np.cumsum(counts)
    parts: list[Columns] = []
    begin = 0
    while begin < rows or not parts:
        before = int(ends[begin - 1]) if begin else 0
        stop = max(int(np.searchsorted(ends, before + CHUNK_ROWS, side="right")), begin + 1)
        stop = min(stop, rows)
        source = np.repeat(np.arange(begin, stop), counts[begin:stop])
        at = np.arange(len(source)) + np.repeat(
            starts[key[begin:stop]] - (ends[begin:stop] - counts[begin:stop] - before),
            counts[begin:stop],
        )
        parts.append(_filtered(columns, source, values, at, filters))
        begin = max(stop, begin + 1)
    slots = [*columns, *values]
    joined = {
        slot: parts[0][slot] if len(parts) == 1 else np.concatenate([part[slot] for part in parts])
        for slot in slots
    }
    return joined, len(joined[slots[0]])


def _by_group(
    table: LiveTable, shared: list[int], new: list[int]
) -> tuple[IntArray, tuple[IntArray, ...]]:
    """The tuples of a table, sorted by their values on the shared axes: groups, and new values."""
    shape = table.allowed.shape
    if table.sparse:
        key = np.zeros(table.size, dtype=np.int64)
        for axis in shared:
            key = key * shape[axis] + table.tuples[axis]
        order = np.argsort(key, kind="stable")
        return key[order], tuple(table.tuples[axis][order] for axis in new)
    cells = np.flatnonzero(table.allowed.transpose(shared + new))
    groups, places = np.divmod(cells, product([shape[axis] for axis in new]))
    return groups, np.unravel_index(places, tuple(shape[axis] for axis in new))


def _filtered(
    columns: Columns,
    source: IntArray,
    values: Columns,
    at: IntArray,
    filters: Sequence[LiveTable],
) -> Columns:
    """Rows given by their number and their tuple's, as far as the filters let them through."""
    for table in filters:
        index = tuple(
            values[slot][at] if slot in values else columns[slot][source] for slot in table.scope
        )
        keep = np.flatnonzero(table.allowed[index])
        if len(keep) < len(source):
            source, at = source[keep], at[keep]
    part = {slot: column[source] for slot, column in columns.items()}
    return part | {slot: column[at] for slot, column in values.items()}


def _sorted(columns: Columns, rows: int) -> tuple[Columns, int]:
    """The rows in ascending order, slot by slot; the rows are all different."""
    slots = sorted(columns)
    order = row_order([columns[slot] for slot in slots])
    return {slot: columns[slot][order] for slot in slots}, rows


def row_order(columns: Sequence[IntArray]) -> IntArray:
    """Numbers of rows in ascending order, the first column foremost."""
    if not columns:
        return np.zeros(0, dtype=np.int64)
    widths = [int(column.max(initial=0)) + 1 for column in columns]
    if product(widths) >= 1 << 62:
        return np.lexsort(tuple(columns[::-1]))
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column, width in zip(columns, widths, strict=True):
        key = key * width + column
    return np.argsort(key, kind="stable")
