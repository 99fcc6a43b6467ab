"""Slots that another one decides, as a cavity decides its size: put in terms of that one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.table import Table, of_one_scope

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
