"""Tables over few slots, for one problem or for many that share most of their tables.

A table is an array with a leading axis for the problems (of length one where all of them share
it) and one axis a slot. It holds flags (what is allowed), numbers (how often a combination
counts) or costs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from configurator.engine.arrays import AnyArray, IntArray

Scope = tuple[str, ...]
"""Slots of a table, in the order of its axes behind the first."""


@dataclass(frozen=True, eq=False)
class Table:
    """Values over some slots."""

    scope: Scope
    """Slots, in the order of the axes behind the first."""
    values: AnyArray
    """Shape (problems or 1, ...): True where allowed, a number, or a cost."""

    @property
    def of_flags(self) -> bool:
        """True if it says what is allowed."""
        return self.values.dtype == np.bool_

    @cached_property
    def forbids_all(self) -> bool:
        """True if it lets nothing through for any problem."""
        return self.of_flags and not self.values.any()

    @cached_property
    def allows_all(self) -> bool:
        """True if it lets everything through for all problems."""
        return self.of_flags and bool(self.values.all())

    @property
    def sizes(self) -> dict[str, int]:
        """Length of the axis of each slot."""
        return dict(zip(self.scope, self.values.shape[1:], strict=True))

    def at(self, places: Mapping[str, IntArray]) -> Table:
        """The same for some values of some slots; an axis that says the same throughout has one.

        A value may come more than once.
        """
        values = self.values
        for axis, slot in enumerate(self.scope, start=1):
            if slot in places and values.shape[axis] > 1:
                kept = places[slot]
                alike = len(kept) > 0 and bool((kept == kept[0]).all())
                if alike or len(kept) != values.shape[axis] or (np.diff(kept) != 1).any():
                    values = np.take(values, kept[:1] if alike else kept, axis=axis)
        return self if values is self.values else Table(self.scope, values)

    def narrowed(self) -> Table:
        """The same without slots along which nothing changes."""
        single = tuple(axis for axis in range(1, self.values.ndim) if self.values.shape[axis] == 1)
        if not single:
            return self
        scope = tuple(s for axis, s in enumerate(self.scope, start=1) if axis not in single)
        return Table(scope, self.values.squeeze(axis=single))

    def of_problems(self, rows: IntArray | None) -> Table:
        """The same for some of the problems, or for all if none are named."""
        if rows is None or self.values.shape[0] == 1:
            return self
        return Table(self.scope, self.values[rows])

    def over(self, scope: Scope) -> AnyArray:
        """The values with their axes in the order of a wider scope, length one where absent."""
        present = [slot for slot in scope if slot in self.scope]
        moved = self.values.transpose([0, *(self.scope.index(slot) + 1 for slot in present)])
        sizes = dict(zip(present, moved.shape[1:], strict=True))
        return moved.reshape([moved.shape[0], *(sizes.get(slot, 1) for slot in scope)])


def never_above(low: AnyArray, high: AnyArray) -> bool:
    """Whether one array is nowhere above another: what only one of them hangs on counts at its worst.

    Parameters
    ----------
    low, high : ndarray
        Of as many axes, each as long as that of the other or of length one.
    """
    flat = [tuple(at for at, size in enumerate(each.shape) if size == 1) for each in (high, low)]
    most = low.max(axis=flat[0], keepdims=True, initial=-np.inf)
    return bool((most <= high.min(axis=flat[1], keepdims=True, initial=np.inf)).all())


def without(scope: Scope, slot: str) -> Scope:
    """A scope without one of its slots."""
    return tuple(each for each in scope if each != slot)


def of_one_scope(tables: Iterable[Table]) -> list[Table]:
    """Tables of one sort over the same slots as one: both flags, or the product of numbers."""
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
