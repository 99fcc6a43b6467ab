"""From named relations to the numbered tables that the compiler works on.

Node consistency comes first: one-slot relations shrink the domains. What is left of a domain
is *live*; every array behind this file is indexed by live position, not by the caller's value.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, reduce
from typing import Literal

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray, distinct
from configurator.engine.relation import Relation, Threshold

SMALL_SCOPE = 2
"""A threshold on so few slots is written out as a table."""

FEW_CELLS = 4096
"""A threshold side of up to so many cells always ranks the other side's numbers."""

SMALL_SPAN = 1 << 31
"""Numbers within such a span may stand for their own ranks."""


SPARSE_FACTOR = 16
"""A table with so many times more cells than tuples is read by its tuples."""


@dataclass(frozen=True, eq=False)
class LiveTable:
    """A boolean table on live positions; ``scope`` holds slot numbers, ascending."""

    scope: tuple[int, ...]
    allowed: BoolArray
    _known: "dict[tuple[int, ...], LiveTable]" = field(default_factory=dict, init=False, repr=False)

    @property
    def sparse(self) -> bool:
        """Whether the tuples are quicker to read than the cells."""
        return self.size * SPARSE_FACTOR < self.allowed.size

    @cached_property
    def size(self) -> int:
        """Number of allowed tuples."""
        return int(np.count_nonzero(self.allowed))

    @cached_property
    def tuples(self) -> tuple[IntArray, ...]:
        """The allowed tuples, ascending: one column a slot."""
        return np.unravel_index(np.flatnonzero(self.allowed), self.allowed.shape)

    def onto(self, slots: tuple[int, ...]) -> "LiveTable":
        """What the table leaves of some of its slots: tuples that some allowed one extends."""
        if slots == self.scope:
            return self
        if slots not in self._known:
            axes = [self.scope.index(slot) for slot in slots]
            if self.sparse:
                left = np.zeros([self.allowed.shape[axis] for axis in axes], dtype=np.bool_)
                left[tuple(self.tuples[axis] for axis in axes)] = True
            else:
                others = tuple(axis for axis in range(len(self.scope)) if axis not in axes)
                left = np.asarray(self.allowed.any(axis=others))
            self._known[slots] = LiveTable(slots, left)
        return self._known[slots]


@dataclass(frozen=True, eq=False)
class LiveComparison:
    """A threshold on live positions, its numbers replaced by ranks.

    ``low[x] <= high[y]`` holds exactly where ``need[x] <= allow[y]`` does, and both lie in
    ``-1 .. levels``.
    """

    low_scope: tuple[int, ...]
    low: IntArray
    high_scope: tuple[int, ...]
    high: IntArray
    levels: int
    source: Threshold

    @property
    def union(self) -> tuple[int, ...]:
        """Slots of both sides, ascending."""
        return tuple(sorted({*self.low_scope, *self.high_scope}))


@dataclass(frozen=True, eq=False)
class Model:
    """The whole problem in numbers. ``live[s]`` lists the values left in slot ``s``."""

    names: tuple[str, ...]
    live: tuple[IntArray, ...]
    tables: tuple[LiveTable, ...]
    comparisons: tuple[LiveComparison, ...]
    impossible: bool

    def width(self, slot: int) -> int:
        """How many values are live in a slot."""
        return len(self.live[slot])


def build_model(
    domains: Mapping[str, int], relations: Sequence[Relation], thresholds: Sequence[Threshold]
) -> Model:
    """Number the slots, apply one-slot relations, slice every table to live values."""
    names = tuple(domains)
    place = {slot: number for number, slot in enumerate(names)}
    live = node_consistency(domains, relations)
    tables: list[LiveTable] = []
    impossible = any(len(values) == 0 for values in live)
    for relation in relations:
        if len(relation.scope) != 1 and not impossible:
            tables.append(live_table(place, live, relation))
            impossible = not tables[-1].allowed.any()
    comparisons: list[LiveComparison] = []
    for threshold in drop_implied(thresholds):
        if impossible:
            break
        comparison = live_comparison(place, live, threshold)
        if len(comparison.union) <= SMALL_SCOPE:
            tables.append(comparison_table(live, comparison))
            impossible = not tables[-1].allowed.any()
        else:
            comparisons.append(comparison)
    merged = merge_tables(tables)
    return Model(
        names=names,
        live=tuple(live),
        tables=merged,
        comparisons=tuple(comparisons),
        impossible=impossible or not all(table.size for table in merged),
    )


def live_table(place: Mapping[str, int], live: Sequence[IntArray], relation: Relation) -> LiveTable:
    """A relation sliced to live values, fixed slots dropped, axes in slot order."""
    scope, allowed = live_slice(place, live, relation.scope, relation.allowed)
    return LiveTable(scope, allowed)


def live_comparison(
    place: Mapping[str, int], live: Sequence[IntArray], threshold: Threshold
) -> LiveComparison:
    """A threshold sliced to live values, its numbers replaced by ranks."""
    low_scope, need = live_slice(place, live, threshold.need_scope, threshold.need)
    high_scope, allow = live_slice(place, live, threshold.allow_scope, threshold.allow)
    low, high, levels = _ranks(need, allow)
    return LiveComparison(
        low_scope,
        low,
        high_scope,
        high,
        levels,
        threshold,
    )


def _ranks(need: IntArray, allow: IntArray) -> tuple[IntArray, IntArray, int]:
    """Small numbers with the same order between the sides, in ``-1 .. levels``.

    The distinct numbers of the side with fewer cells are the levels. Where both sides are
    large and their numbers span little, the numbers themselves do, less the smallest.
    """
    smallest = min(int(need.min()), int(allow.min()))
    span = max(int(need.max()), int(allow.max())) - smallest + 1
    if min(need.size, allow.size) > FEW_CELLS and span <= SMALL_SPAN:
        return need - smallest, allow - smallest, span
    if allow.size <= need.size:
        levels = distinct(allow)
        return _search(levels, need, "left"), _search(levels, allow, "left"), len(levels)
    levels = distinct(need)
    return _search(levels, need, "left"), _search(levels, allow, "right") - 1, len(levels)


def _search(levels: IntArray, numbers: IntArray, side: Literal["left", "right"]) -> IntArray:
    return np.searchsorted(levels, numbers.reshape(-1), side=side).reshape(numbers.shape)


def comparison_table(live: Sequence[IntArray], comparison: LiveComparison) -> LiveTable:
    """A comparison written out over the union of its two scopes."""
    scope = comparison.union
    widths = {slot: len(live[slot]) for slot in scope}
    low = _spread(comparison.low, comparison.low_scope, scope)
    high = _spread(comparison.high, comparison.high_scope, scope)
    shape = tuple(widths[slot] for slot in scope)
    return LiveTable(scope, np.broadcast_to(low <= high, shape).copy())


def merge_tables(tables: Sequence[LiveTable]) -> tuple[LiveTable, ...]:
    """Tables on the same scope become one by conjunction; tables on no slot are left out."""
    merged: dict[tuple[int, ...], BoolArray] = {}
    for table in tables:
        if not table.scope:
            continue
        known = merged.get(table.scope)
        merged[table.scope] = table.allowed if known is None else known & table.allowed
    return tuple(LiveTable(scope, allowed) for scope, allowed in sorted(merged.items()))


def drop_implied(thresholds: Sequence[Threshold]) -> list[Threshold]:
    """Leave out a threshold that a tighter one on the same scopes implies.

    ``need_1 <= need_2`` and ``allow_2 <= allow_1`` everywhere make the first redundant. This
    is what keeps nested grades at one staircase a rule. Of two equal ones the first stays.
    """
    kept: list[Threshold] = []
    for number, looser in enumerate(thresholds):
        if not any(
            _implies(tighter, looser) and (other < number or not _implies(looser, tighter))
            for other, tighter in enumerate(thresholds)
            if other != number
        ):
            kept.append(looser)
    return kept


def _implies(tighter: Threshold, looser: Threshold) -> bool:
    return (
        tighter.need_scope == looser.need_scope
        and tighter.allow_scope == looser.allow_scope
        and bool(np.all(looser.need <= tighter.need))
        and bool(np.all(tighter.allow <= looser.allow))
    )


def node_consistency(domains: Mapping[str, int], relations: Sequence[Relation]) -> list[IntArray]:
    """Live values of each slot after one-slot relations."""
    masks = {slot: np.ones(size, dtype=np.bool_) for slot, size in domains.items()}
    for relation in relations:
        if len(relation.scope) == 1:
            masks[relation.scope[0]] &= relation.allowed
    return [np.flatnonzero(mask).astype(np.int64) for mask in masks.values()]


def live_slice(
    place: Mapping[str, int], live: Sequence[IntArray], scope: Sequence[str], table: AnyArray
) -> tuple[tuple[int, ...], AnyArray]:
    """A table on live positions: fixed slots dropped, axes in ascending slot order."""
    slots = [place[slot] for slot in scope]
    if any(len(live[slot]) < size for slot, size in zip(slots, table.shape, strict=True)):
        table = table[np.ix_(*(live[slot] for slot in slots))]
    axes = sorted((slot, axis) for axis, slot in enumerate(slots) if len(live[slot]) != 1)
    fixed = tuple(axis for axis, slot in enumerate(slots) if len(live[slot]) == 1)
    order = [axis for _, axis in axes]
    kept = np.transpose(table, order + list(fixed))
    shape = kept.shape[: len(order)]
    return tuple(slot for slot, _ in axes), kept.reshape(shape)


def _spread(table: AnyArray, scope: tuple[int, ...], onto: tuple[int, ...]) -> AnyArray:
    axes = dict(zip(scope, table.shape, strict=True))
    return table.reshape([axes.get(slot, 1) for slot in onto])


def product(numbers: Sequence[int]) -> int:
    """The exact product, as a Python integer."""
    return reduce(lambda left, right: left * right, numbers, 1)
