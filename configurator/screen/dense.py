"""Counts and cheapest builds of many small problems at once, by eliminating slot after slot.

All problems have the same slots and the same scopes; only their tables differ. A table is an
array with a leading axis for the problems (of length one where all share it) and one axis a
slot. Eliminating a slot joins the tables that hold it and sums over it (for counts) or takes
the least (for costs), so that no array ever spans all slots.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Scope = tuple[str, ...]
AnyArray = NDArray[Any]

NEVER = 1 << 61
"""The key of no build at all; real keys stay below."""


@dataclass(frozen=True, eq=False)
class Table:
    """Values over some slots, for many problems.

    Attributes
    ----------
    scope : tuple of str
        Slots, in the order of the axes behind the first.
    values : ndarray
        Shape (problems or 1, ...): True where allowed, a number of builds, or a key.
    """

    scope: Scope
    values: AnyArray

    @cached_property
    def forbids_all(self) -> bool:
        """True if it lets nothing through for any problem."""
        return self.values.dtype == np.bool_ and not self.values.any()

    def kept(self, places: Mapping[str, NDArray[np.intp]]) -> Table:
        """The same for some values of some slots; an axis along which nothing changes has one."""
        values = self.values
        for axis, slot in enumerate(self.scope, start=1):
            if slot in places and values.shape[axis] > 1:
                at = places[slot]
                alike = len(at) > 0 and bool((at == at[0]).all())
                values = np.take(values, at[:1] if alike else at, axis=axis)
        return Table(self.scope, values)

    def narrowed(self) -> Table:
        """The same without slots along which nothing changes."""
        single = tuple(axis for axis in range(1, self.values.ndim) if self.values.shape[axis] == 1)
        if not single:
            return self
        scope = tuple(s for axis, s in enumerate(self.scope, start=1) if axis not in single)
        return Table(scope, self.values.squeeze(axis=single))

    def of_rows(self, rows: NDArray[np.intp] | None) -> Table:
        """The same for some of the problems, or for all if none are named."""
        if rows is None or self.values.shape[0] == 1:
            return self
        return Table(self.scope, self.values[rows])

    def over(self, scope: Scope) -> AnyArray:
        """The values with their axes in the order of a wider scope, length one where absent."""
        order = [self.scope.index(slot) + 1 for slot in scope if slot in self.scope]
        moved = self.values.transpose([0, *order])
        shape = [1] * (len(scope) + 1)
        shape[0] = moved.shape[0]
        for axis, slot in enumerate(scope, start=1):
            if slot in self.scope:
                shape[axis] = self.values.shape[self.scope.index(slot) + 1]
        return moved.reshape(shape)


def elimination_order(scopes: Iterable[Scope], sizes: Mapping[str, int]) -> tuple[str, ...]:
    """Slots from the one that joins the fewest combinations on (greedy).

    Parameters
    ----------
    scopes : iterable of tuple of str
        Of all tables.
    sizes : Mapping[str, int]
        Values of each slot.
    """
    left = [frozenset(scope) for scope in scopes]
    waiting = set(sizes)
    order = []
    while waiting:
        joins = {
            slot: frozenset({slot}).union(*(scope for scope in left if slot in scope))
            for slot in waiting
        }
        slot = min(
            waiting,
            key=lambda each: (math.prod(float(sizes[name]) for name in joins[each]), each),
        )
        left = [scope for scope in left if slot not in scope] + [joins[slot] - {slot}]
        waiting.remove(slot)
        order.append(slot)
    return tuple(order)


def counts(tables: Sequence[Table], order: Sequence[str], problems: int) -> NDArray[np.float64]:
    """Number of builds of each problem, exact below 2**53.

    Parameters
    ----------
    tables : sequence of Table
        Allowed combinations (bool) and numbers of parts (float).
    order : sequence of str
        Slots in the order in which they are eliminated, every slot of a table among them.
    problems : int
        Length of the leading axis.
    """
    total = np.ones(problems)
    for table in _eliminated(tables, order, _summed):
        total = total * table.values
    return total


def _eliminated(
    tables: Sequence[Table],
    order: Sequence[str],
    without: Callable[[Sequence[Table], str], Table],
) -> list[Table]:
    """Tables over no slot at all: in each step those that hold a slot become one without it."""
    left = list(tables)
    for slot in order:
        held = [table for table in left if slot in table.scope]
        left = [table for table in left if slot not in table.scope]
        if held:
            left.append(without(held, slot))
    return left


def _summed(held: Sequence[Table], slot: str) -> Table:
    """The join of tables, summed over a slot, without ever being laid out whole."""
    flags = [table for table in held if table.values.dtype == np.bool_]
    numbers = [table for table in held if table.values.dtype != np.bool_]
    factors = [*([_joined(flags, np.logical_and)] if flags else []), *numbers]
    # The widest join is left to the sum itself, which needs no room for it.
    factors.sort(key=lambda table: table.values.size)
    first, last = factors[:-1], factors[-1]
    if not first:
        axis = last.scope.index(slot) + 1
        return Table(_without(last.scope, slot), last.values.sum(axis=axis, dtype=np.float64))
    small = _joined(first, np.multiply)
    scope = tuple(dict.fromkeys((*last.scope, *small.scope)))
    names = {name: number for number, name in enumerate(("", *scope))}
    rest = _without(scope, slot)
    shared = max(last.values.shape[0], small.values.shape[0]) == 1
    labels = [names[each] for each in rest]
    operands: tuple[Any, ...] = (*_labelled(last, names), *_labelled(small, names))
    summed: AnyArray = np.einsum(*operands, labels if shared else [names[""], *labels])
    return Table(rest, summed[np.newaxis] if shared else summed)


def _labelled(table: Table, names: Mapping[str, int]) -> tuple[NDArray[np.float64], list[int]]:
    """An operand of `einsum` with its labels; the first axis has none where all share it."""
    values = table.values.astype(np.float64, copy=False)
    labels = [names[slot] for slot in table.scope]
    return (values[0], labels) if values.shape[0] == 1 else (values, [names[""], *labels])


def _joined(tables: Sequence[Table], combine: np.ufunc) -> Table:
    """All tables combined over the slots of all of them, the small ones first."""
    scope = tuple(dict.fromkeys(slot for table in tables for slot in table.scope))
    ordered = sorted(tables, key=lambda table: table.values.size)
    values = ordered[0].over(scope)
    for table in ordered[1:]:
        values = combine(values, table.over(scope))
    return Table(scope, values)


def _without(scope: Scope, slot: str) -> Scope:
    return tuple(each for each in scope if each != slot)


def cheapest(tables: Sequence[Table], order: Sequence[str], problems: int) -> NDArray[np.int64]:
    """Least sum of keys over the builds of each problem; `NEVER` where there is no build.

    Parameters
    ----------
    tables : sequence of Table
        Allowed combinations (bool) and keys (int64).
    order : sequence of str
        Slots in the order in which they are eliminated, every slot of a table among them.
    problems : int
        Length of the leading axis.
    """
    total = np.zeros(problems, dtype=np.int64)
    for table in _eliminated(tables, order, _least):
        flags = table.values.dtype == np.bool_
        each = np.where(table.values, 0, NEVER) if flags else table.values
        total = np.minimum(total + each, NEVER)
    return total


def _least(held: Sequence[Table], slot: str) -> Table:
    flags = [table for table in held if table.values.dtype == np.bool_]
    keys = [table for table in held if table.values.dtype != np.bool_]
    joined = [_joined(flags, np.logical_and)] if flags else []
    scope = tuple(dict.fromkeys(name for table in (*joined, *keys) for name in table.scope))
    total: AnyArray = np.zeros((1,) * (len(scope) + 1), dtype=np.int64)
    for table in sorted(keys, key=lambda table: table.values.size):
        total = np.minimum(total + table.over(scope), NEVER)
    for table in joined:
        total = np.where(table.over(scope), total, NEVER)
    axis = scope.index(slot) + 1
    return Table(_without(scope, slot), total.min(axis=axis, initial=NEVER))
