"""How many builds pass some tables, by summing over one slot after the other.

Only the number is asked, so that no build is ever listed: the tables that hold a slot are joined
and the slot is summed away (variable elimination, Dechter 1999, from memory). Sums are floats
and exact, since whole numbers are, below 2**53; beyond that, and where a join would be too wide,
the counter gives up and says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Scope = tuple[str, ...]
Values = NDArray[Any]
Places = NDArray[np.intp]

MOST_CELLS = 20_000_000
"""Cells of a join up to which it is laid out."""

PAIR = 2
"""Slots of a table that may say that one decides the other."""

EXACT_BELOW = 2.0**53
"""Whole numbers from here on are not all floats."""


class TooWideError(Exception):
    """A join is too wide, or a number too large to be exact."""


@dataclass(frozen=True, eq=False)
class Table:
    """What passes (flags), or how many (floats), over some slots: one axis a slot."""

    scope: Scope
    values: Values

    @property
    def of_flags(self) -> bool:
        """True if it says what passes, False if it says how many."""
        return self.values.dtype == np.bool_

    def over(self, scope: Scope) -> Values:
        """The values with their axes in the order of a wider scope, length one where absent."""
        present = [slot for slot in scope if slot in self.scope]
        moved = self.values.transpose([self.scope.index(slot) for slot in present])
        sizes = dict(zip(present, moved.shape, strict=True))
        return moved.reshape([sizes.get(slot, 1) for slot in scope])


class Sieve:
    """Tables put in one by one, each of which may leave values of a slot nothing beside.

    Parameters
    ----------
    sizes : Mapping[str, int]
        Values of each slot.
    """

    def __init__(self, sizes: Mapping[str, int]) -> None:
        self.kept: dict[str, Places] = {slot: np.arange(size) for slot, size in sizes.items()}
        """Values of each slot that are left."""
        self._heard: list[tuple[Table, dict[str, Places]]] = []

    @property
    def emptied(self) -> bool:
        """True if a slot has no value left."""
        return not all(map(len, self.kept.values()))

    @property
    def sizes(self) -> dict[str, int]:
        """Number of values of each slot that are left."""
        return {slot: len(places) for slot, places in self.kept.items()}

    @property
    def tables(self) -> list[Table]:
        """All tables, over what is left."""
        return [self._cut(table, known) for table, known in self._heard]

    def hear(self, table: Table) -> None:
        """Put a table in, laid out over what is left; slots that are new come with it."""
        for slot, size in zip(table.scope, table.values.shape, strict=True):
            self.kept.setdefault(slot, np.arange(size))
        known = {slot: self.kept[slot] for slot in table.scope}
        if not (table.of_flags and table.values.all()):
            self._heard.append((table, known))
        if not table.scope and not table.values:
            self.kept = {slot: places[:0] for slot, places in self.kept.items()}
        for axis, slot in enumerate(table.scope):
            others = tuple(at for at in range(len(table.scope)) if at != axis)
            some = table.values.any(axis=others)
            if not some.all():
                self.kept[slot] = self.kept[slot][some]

    def _cut(self, table: Table, known: Mapping[str, Places]) -> Table:
        values = table.values
        for axis, slot in enumerate(table.scope):
            if len(known[slot]) != len(self.kept[slot]):
                values = np.take(values, np.searchsorted(known[slot], self.kept[slot]), axis=axis)
        return Table(table.scope, values)


def total(
    tables: Iterable[Table],
    sizes: Mapping[str, int],
    turn: Callable[[str], int] = lambda _slot: 0,
) -> int:
    """Count the combinations that pass all tables.

    Parameters
    ----------
    tables : iterable of Table
        Flags, and numbers of how often a value counts.
    sizes : Mapping[str, int]
        Values of each slot; slots that no table holds count as well.
    turn : callable, optional
        Of a slot: those with a lower turn are summed first, whatever their joins.

    Raises
    ------
    TooWideError
        If a join has too many cells or a number is too large to be exact.
    """
    found = math.prod(int(number) for number in _summed_up(tables, sizes, turn, _exact))
    if found >= EXACT_BELOW:
        raise TooWideError
    return found


def some(
    tables: Iterable[Table],
    sizes: Mapping[str, int],
    turn: Callable[[str], int] = lambda _slot: 0,
) -> bool:
    """Whether any combination passes all tables; takes what `total` takes, and no number is large."""
    flags = (Table(table.scope, table.values > 0) for table in tables)
    return all(_summed_up(flags, sizes, turn, _at_all))


def _summed_up(
    tables: Iterable[Table],
    sizes: Mapping[str, int],
    turn: Callable[[str], int],
    finish: Callable[[Values], Values],
) -> list[float]:
    """Numbers whose product counts the combinations."""
    sizes = dict(sizes)
    left = _without_determined(_of_one_scope(tables), sizes)
    while sizes:
        now = min(map(turn, sizes))
        plans = {slot: _plan(left, slot) for slot in sizes if turn(slot) == now}
        slot = min(plans, key=lambda slot: (plans[slot].cells(sizes), slot))
        if plans[slot].cells(sizes) > MOST_CELLS:
            raise TooWideError
        summed = plans[slot].summed(sizes[slot])
        left = [table for table in left if slot not in table.scope]
        left.append(Table(summed.scope, finish(summed.values)))
        del sizes[slot]
    return [float(table.values) for table in left]


def _exact(values: Values) -> Values:
    if values.max(initial=0.0) >= EXACT_BELOW:
        raise TooWideError
    return values


def _at_all(values: Values) -> Values:
    return np.asarray(values > 0)


def _of_one_scope(tables: Iterable[Table]) -> list[Table]:
    """Tables of one sort over the same slots as one."""
    joined: dict[tuple[frozenset[str], bool], Table] = {}
    for table in tables:
        key = frozenset(table.scope), table.of_flags
        known = joined.get(key)
        if known is None:
            joined[key] = table
        else:
            combine = np.logical_and if table.of_flags else np.multiply
            joined[key] = Table(known.scope, combine(known.values, table.over(known.scope)))
    return list(joined.values())


def _without_determined(tables: list[Table], sizes: dict[str, int]) -> list[Table]:
    """Put a slot that another one decides in terms of that one, as a cavity decides its size."""
    while True:
        found = _determined(tables)
        if found is None:
            return tables
        slot, by, allowed, definition = found
        kept = np.flatnonzero(allowed.any(axis=1))
        if not len(kept):
            sizes.clear()
            return [Table((), np.asarray(0.0))]
        sizes[by] = len(kept)
        del sizes[slot]
        change = _Change(slot, by, kept, allowed[kept].argmax(axis=1))
        tables = _of_one_scope(change.of(table) for table in tables if table is not definition)


def _determined(tables: Sequence[Table]) -> tuple[str, str, Values, Table] | None:
    """A slot with at most one value beside each of another's, which is in more wide tables."""

    def wide(slot: str) -> int:
        return sum(slot in table.scope for table in tables if len(table.scope) > PAIR)

    for table in tables:
        if len(table.scope) == PAIR and table.of_flags:
            for slot, by in (table.scope, table.scope[::-1]):
                allowed = table.over((by, slot))
                if wide(by) > wide(slot) and np.count_nonzero(allowed, axis=1).max(initial=0) <= 1:
                    return slot, by, allowed, table
    return None


@dataclass(frozen=True, eq=False)
class _Change:
    """One slot in terms of another: the places of that one that are kept, and the value at each."""

    slot: str
    by: str
    kept: Places
    value: Places

    def of(self, table: Table) -> Table:
        slot, by = self.slot, self.by
        if slot not in table.scope and by not in table.scope:
            return table
        rest = tuple(each for each in table.scope if each not in (slot, by))
        if by not in table.scope:
            return Table((by, *rest), table.over((slot, *rest))[self.value])
        if slot not in table.scope:
            return Table((by, *rest), table.over((by, *rest))[self.kept])
        return Table((by, *rest), table.over((by, slot, *rest))[self.kept, self.value])


@dataclass(frozen=True, eq=False)
class _Plan:
    """How a slot is summed away: the widest table and what lies within it, then the others.

    Attributes
    ----------
    slot : str
        The slot.
    inner, outer : tuple of Table
        Tables that hold it.
    wide, aside : tuple of str
        Slots of either, the slot to be summed first; none where there are no tables.
    """

    slot: str
    inner: tuple[Table, ...]
    outer: tuple[Table, ...]
    wide: Scope
    aside: Scope

    @property
    def _rest(self) -> Scope:
        within = tuple(slot for slot in self.aside[1:] if slot in self.wide)
        return tuple(dict.fromkeys((*within, *self.aside[1:], *self.wide[1:])))

    def cells(self, sizes: Mapping[str, int]) -> float:
        """Cells of the largest array on the way."""
        scopes = (self.wide, self.aside, self._rest)
        return max(math.prod(float(sizes[slot]) for slot in scope) for scope in scopes)

    def summed(self, size: int) -> Table:
        """All tables joined and summed over the slot."""
        if not self.inner:
            return Table((), np.array(float(size)))
        values = _joined(self.inner, self.wide)
        if self.outer:
            return self._contracted(values, _joined(self.outer, self.aside))
        if values.dtype == np.bool_:
            return Table(self.wide[1:], np.asarray(np.count_nonzero(values, axis=0), np.float64))
        return Table(self.wide[1:], values.sum(axis=0))

    def _contracted(self, wide: Values, aside: Values) -> Table:
        """Sum of products over the slot, without laying the products out."""
        names = {slot: at for at, slot in enumerate(dict.fromkeys((*self.wide, *self.aside)))}
        # No BLAS: its threads cost more than they bring where other work goes on.
        summed = np.einsum(
            wide.astype(np.float64, copy=False),
            [names[slot] for slot in self.wide],
            aside.astype(np.float64, copy=False),
            [names[slot] for slot in self.aside],
            [names[slot] for slot in self._rest],
        )
        return Table(self._rest, summed)


def _plan(tables: Sequence[Table], slot: str) -> _Plan:
    held = [table for table in tables if slot in table.scope]
    if not held:
        return _Plan(slot, (), (), (slot,), (slot,))
    widest = max(held, key=lambda table: table.values.size)
    wide = (slot, *(each for each in widest.scope if each != slot))
    inner = tuple(table for table in held if set(table.scope) <= set(wide))
    outer = tuple(table for table in held if not set(table.scope) <= set(wide))
    aside = dict.fromkeys((slot, *(each for table in outer for each in table.scope)))
    return _Plan(slot, inner, outer, wide, tuple(aside))


def _joined(tables: Sequence[Table], scope: Scope) -> Values:
    """All tables combined over some slots: flags while there are only flags."""
    ordered = sorted(tables, key=lambda table: (not table.of_flags, table.values.size))
    values = ordered[0].over(scope)
    for table in ordered[1:]:
        combine = np.logical_and if table.of_flags else np.multiply
        values = combine(values, table.over(scope))
    return values
