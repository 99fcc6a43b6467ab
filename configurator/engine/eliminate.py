"""Builds of one problem or of many at once, by eliminating slot after slot.

The tables that hold a slot are joined, and the slot is summed out of them: over numbers to count
builds, over flags to see whether there is one, over costs with minimum and sum for the cheapest
(variable elimination over a semiring: Dechter 1999, from memory). No array ever spans all slots.
Numbers are floats and exact, since whole numbers are, below 2**53; beyond that, and where a join
would be too wide, the run gives up and says so, and `BuildSpace` has the answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.table import Scope, Table, of_one_scope, without

PAIR = 2
"""Slots of a table that may say that one decides the other."""


@dataclass(frozen=True)
class Changed:
    """What became of the slots; called with a table, it gives the table over those that are left."""

    sizes: dict[str, int]
    """Values of each slot that is left."""
    steps: list[_Step] = field(default_factory=list)
    """What was put in terms of what, in order."""
    impossible: bool = False
    """True if nothing can pass."""

    def __call__(self, table: Table) -> Table:
        """The table over the slots that are left."""
        for step in self.steps:
            table = step.of(table)
        return table


@dataclass(frozen=True, eq=False)
class _Step:
    """One slot in terms of another: that one's values that are kept, and the value beside each."""

    slot: str
    by: str
    kept: IntArray
    value: IntArray

    def of(self, table: Table) -> Table:
        slot, by = self.slot, self.by
        if slot not in table.scope and by not in table.scope:
            return table
        rest = tuple(each for each in table.scope if each not in (slot, by))
        if by not in table.scope:
            values = table.over((slot, *rest))[:, self.value]
        elif slot not in table.scope:
            values = table.over((by, *rest))[:, self.kept]
        else:
            values = table.over((by, slot, *rest))[:, self.kept, self.value]
        return Table((by, *rest), values)


def without_determined(
    tables: Sequence[Table], sizes: Mapping[str, int]
) -> tuple[list[Table], Changed]:
    """Tables over fewer slots: those that another one decides are put in terms of it.

    No two tables of one sort are over the same slots, and each has one place a value of its slots.
    """
    left, changed = list(tables), Changed(dict(sizes))
    while (found := _determined(left)) is not None:
        slot, by, allowed, definition = found
        kept = np.flatnonzero(allowed.any(axis=1))
        if not len(kept):
            nothing = [Table((), np.zeros(1, dtype=np.bool_))]
            return nothing, Changed({}, impossible=True)
        step = _Step(slot, by, kept, allowed[kept].argmax(axis=1))
        changed.steps.append(step)
        changed.sizes[by] = len(kept)
        del changed.sizes[slot]
        left = of_one_scope(step.of(table) for table in left if table is not definition)
    return left, changed


def _determined(tables: Sequence[Table]) -> tuple[str, str, BoolArray, Table] | None:
    """A slot with at most one value beside each of another's, which is in more wide tables."""

    def wide(slot: str) -> int:
        return sum(slot in table.scope for table in tables if len(table.scope) > PAIR)

    for table in tables:
        if len(table.scope) == PAIR and table.of_flags and table.values.shape[0] == 1:
            for slot, by in (table.scope, table.scope[::-1]):
                allowed = table.over((by, slot))[0]
                if wide(by) > wide(slot) and allowed.sum(axis=1).max(initial=0) <= 1:
                    return slot, by, allowed, table
    return None


MOST_CELLS = 20_000_000
"""Cells of a join, for all problems together, up to which it is laid out."""

MOST_WORK = 2_000_000_000
"""Products of a join, for all problems together, up to which they are summed."""

EXACT_BELOW = 2.0**53
"""Whole numbers from here on are not all floats."""

Finish = Callable[[AnyArray], AnyArray]
"""What becomes of numbers after each sum: a look at whether they are exact, or flags."""


class TooWideError(Exception):
    """A join is too wide, or a number too large to be exact."""


def exists(
    tables: Iterable[Table], sizes: Mapping[str, int], problems: int, *, most: float = MOST_WORK
) -> BoolArray:
    """Whether any combination passes all tables, for each problem.

    Tables hold flags, or numbers of how often a value counts; slots that no table holds count as
    well. A join of more than `most` combinations, summed or not, is given up.
    """
    flags = (table if table.of_flags else Table(table.scope, table.values > 0) for table in tables)
    left, changed = without_determined(_full(flags), sizes)
    found = np.ones(problems, dtype=np.bool_)
    for table in summed_to(left, changed.sizes, finish=some, most=most):
        found = found & (table.values > 0)
    return found


def some(values: AnyArray) -> AnyArray:
    """Flags in place of numbers, where only it counts whether there is one."""
    return np.asarray(values > 0)


def exact(values: AnyArray) -> AnyArray:
    """Numbers as they are.

    Raises
    ------
    TooWideError
        If one is too large to be exact.
    """
    if values.max(initial=0.0) >= EXACT_BELOW:
        raise TooWideError
    return values


def elimination_order(
    scopes: Iterable[Scope], sizes: Mapping[str, int], keep: Collection[str] = ()
) -> tuple[str, ...]:
    """Slots from the one that joins the fewest combinations on (greedy), but for those to keep."""
    left = [frozenset(scope) for scope in scopes]
    waiting, order = set(sizes) - set(keep), []
    joins: dict[str, frozenset[str]] = {}
    while waiting:
        for slot in waiting - joins.keys():
            joins[slot] = frozenset({slot}).union(*(scope for scope in left if slot in scope))
        slot = min(
            waiting,
            key=lambda each: (math.prod(float(sizes[name]) for name in joins[each]), each),
        )
        rest = joins.pop(slot) - {slot}
        left = [scope for scope in left if slot not in scope] + [rest]
        for each in rest:
            joins.pop(each, None)
        waiting.remove(slot)
        order.append(slot)
    return tuple(order)


_ORDERS: dict[tuple[object, ...], tuple[str, ...]] = {}
"""Orders that were found for the scopes and sizes of earlier problems: lists repeat them."""

MOST_ORDERS = 4096


def order_for(
    tables: Sequence[Table], sizes: Mapping[str, int], keep: Collection[str]
) -> tuple[str, ...]:
    """The same order, kept for problems with the same scopes and sizes."""
    key = (frozenset(keep), tuple(table.scope for table in tables), tuple(sizes.items()))
    if key not in _ORDERS:
        if len(_ORDERS) >= MOST_ORDERS:
            _ORDERS.clear()
        _ORDERS[key] = elimination_order((table.scope for table in tables), sizes, keep)
    return _ORDERS[key]


def summed_to(
    tables: Iterable[Table],
    sizes: Mapping[str, int],
    keep: Collection[str] = (),
    finish: Finish = exact,
    most: float = MOST_WORK,
) -> list[Table]:
    """Tables over some slots alone, whose product counts the combinations of all others.

    Parameters
    ----------
    tables, sizes
        As for `exists`.
    keep : collection of str
        The slots to keep; those that no table holds are left to whoever asks.
    finish : callable
        What becomes of numbers after each sum.
    most : float
        Combinations of a join, summed or not, from which on it is given up.

    Raises
    ------
    TooWideError
        If a join is too wide, or `finish` says so.
    """
    left = _full(tables)
    for slot in order_for(left, sizes, keep):
        held = [table for table in left if slot in table.scope]
        left = [table for table in left if slot not in table.scope]
        if held:
            summed = _Join.of(held, slot).summed(most)
            left.append(Table(summed.scope, finish(summed.values)))
        else:
            left.append(Table((), finish(np.array([float(sizes[slot])]))))
    return left


def _full(tables: Iterable[Table]) -> list[Table]:
    """One table a scope, without slots along which nothing changes."""
    return of_one_scope(table.narrowed() for table in tables)


@dataclass(frozen=True, eq=False)
class _Join:
    """How a slot is summed out: the widest table and what lies within it, against the others."""

    slot: str
    wide: Table
    aside: Table | None

    @classmethod
    def of(cls, held: Sequence[Table], slot: str) -> _Join:
        widest = max(held, key=lambda table: table.values.size)
        inner = [table for table in held if set(table.scope) <= set(widest.scope)]
        outer = [table for table in held if not set(table.scope) <= set(widest.scope)]
        return cls(slot, _product(inner), _product(outer) if outer else None)

    def summed(self, most: float) -> Table:
        """All tables joined and summed over the slot, without the join being laid out."""
        wide, aside = self.wide, self.aside
        if aside is None:
            axis = wide.scope.index(self.slot) + 1
            values = (
                np.asarray(np.count_nonzero(wide.values, axis=axis), np.float64)
                if wide.of_flags
                else wide.values.sum(axis=axis)
            )
            return Table(without(wide.scope, self.slot), values)
        scope = tuple(dict.fromkeys((*wide.scope, *aside.scope)))
        names = {name: number for number, name in enumerate(("", *scope))}
        rest = without(scope, self.slot)
        sizes = {s: max(wide.sizes.get(s, 1), aside.sizes.get(s, 1)) for s in scope}
        problems = max(wide.values.shape[0], aside.values.shape[0])
        _check_width(problems * math.prod(sizes[slot] for slot in rest))
        if problems * math.prod(sizes.values()) > most:
            raise TooWideError
        labels = [names[each] for each in rest]
        # No BLAS: its threads cost more than they bring where other work goes on.
        summed: AnyArray = np.einsum(
            *_labelled(wide, names),
            *_labelled(aside, names),
            labels if problems == 1 else [names[""], *labels],
        )
        return Table(rest, summed[np.newaxis] if problems == 1 else summed)


def _labelled(table: Table, names: Mapping[str, int]) -> tuple[AnyArray, list[int]]:
    """An operand of `einsum` with its labels; the first axis has none where all share it."""
    values = table.values.astype(np.float64, copy=False)
    labels = [names[slot] for slot in table.scope]
    return (values[0], labels) if values.shape[0] == 1 else (values, [names[""], *labels])


def _product(tables: Sequence[Table]) -> Table:
    """All tables over the slots of all of them: flags while there are only flags."""
    ordered = sorted(tables, key=lambda table: (not table.of_flags, table.values.size))
    if len(ordered) == 1:
        return ordered[0]
    scope = tuple(dict.fromkeys(slot for table in ordered for slot in table.scope))
    values = ordered[0].over(scope)
    for table in ordered[1:]:
        other = table.over(scope)
        _check_width(math.prod(np.broadcast_shapes(values.shape, other.shape)))
        values = np.logical_and(values, other) if table.of_flags else values * other
    return Table(scope, values)


def _check_width(cells: float) -> None:
    if cells > MOST_CELLS:
        raise TooWideError
