"""Class slots: values that stand for all combinations of some slots that a rule tells apart.

They keep a rule narrow that would otherwise span both heads of a two-part build, or all slots of
a sum. A class slot is a function of real slots, so that no count changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.partition import Partition
from configurator.engine.table import Scope, Table

HELPER_MARK = "~"
"""Begins the name of a class slot; no slot of a build has it in its name."""


def others(ndim: int, axis: int) -> tuple[int, ...]:
    """Axes of an array but the first, which lies along the problems, and one other."""
    return tuple(at for at in range(1, ndim) if at != axis)


def below(ceiling: float, summands: Sequence[Table], title: str) -> tuple[Table, ...]:
    """A sum of two summands under a ceiling.

    The slots of the lighter summand (tips weigh grams) are sorted into classes by what they leave
    to the other one. A helper slot stands for the class, so that one table holds the heavy parts
    by class and another the class of each light one.
    """
    heavy, light = summands
    need = np.asarray(heavy.values, dtype=np.float64)
    allow = ceiling - np.asarray(light.values, dtype=np.float64)
    steps = np.unique(allow)
    wanted = np.searchsorted(steps, need, side="left")
    # Steps between which no need lies leave the same to all.
    borders = np.unique(wanted)
    classes = np.searchsorted(borders, np.searchsorted(steps, allow), side="right")
    present, of_light = np.unique(classes, return_inverse=True)
    ranks = np.searchsorted(borders, wanted)
    if len(present) <= 1:
        return (Table(heavy.scope, ranks < (present[0] if len(present) else 0)).narrowed(),)
    helper = f"{HELPER_MARK}left by {title}"
    member = of_light.reshape(allow.shape)[..., np.newaxis] == np.arange(len(present))
    return (
        Table((*heavy.scope, helper), ranks[..., np.newaxis] < present),
        Table((*light.scope, helper), member),
    )


def light_enough(
    ceiling: float,
    summands: Sequence[Table],
    here: Mapping[str, BoolArray],
    kept: Mapping[str, IntArray],
) -> Iterator[tuple[str, BoolArray]]:
    """For each slot, the values that the lightest of the others leave below the ceiling."""
    tables = []
    for table in summands:
        cut = table.at({slot: kept[slot] for slot in table.scope})
        values = np.asarray(cut.values, dtype=np.float64)
        for slot in cut.scope:
            values = np.where(Table((slot,), here[slot]).over(cut.scope), values, np.inf)
        tables.append(Table(cut.scope, values))
    least = [
        table.values.min(axis=tuple(range(1, table.values.ndim)), initial=np.inf)
        for table in tables
    ]
    for number, table in enumerate(tables):
        rest = sum(each for at, each in enumerate(least) if at != number)
        for axis, slot in enumerate(table.scope, start=1):
            alone = table.values.min(axis=others(table.values.ndim, axis), initial=np.inf)
            yield slot, alone + np.reshape(rest, (-1, 1)) <= ceiling


def heads(scope: Scope) -> tuple[str, ...]:
    """Prefixes of the sides of a two-part build whose slots are in a scope."""
    return tuple(dict.fromkeys(slot.partition(".")[0] for slot in scope if "." in slot))


def _of_head(scope: Scope, head: str) -> Scope:
    return tuple(slot for slot in scope if slot.startswith(f"{head}."))


def compared(title: str, need: Table, allow: Table) -> Iterator[Table]:
    """One side's need against the other's allowance, each by what of it can be told apart."""
    ends = []
    for table in (need, allow):
        slots = _of_head(table.scope, heads(table.scope)[0])
        definition, classed = _classed(title, table, slots)
        yield definition
        ends.append(classed)
    scope = tuple(dict.fromkeys((*ends[0].scope, *ends[1].scope)))
    yield Table(scope, np.asarray(ends[0].over(scope) <= ends[1].over(scope)))


def halved(title: str, table: Table) -> Iterator[Table]:
    """A table; if over several slots of both sides, over what of each side can be told apart."""
    for head in heads(table.scope) if len(heads(table.scope)) > 1 else ():
        slots = _of_head(table.scope, head)
        if len(slots) > 1:
            definition, table = _classed(title, table, slots)
            yield definition
    yield table


def _classed(title: str, table: Table, slots: Scope) -> tuple[Table, Table]:
    """Combinations of some slots that a table tells apart: which is which, and the table of them."""
    rest = tuple(slot for slot in table.scope if slot not in slots)
    values = np.moveaxis(table.over((*slots, *rest)), 0, len(slots))
    shape = values.shape[: len(slots)]
    rows = np.ascontiguousarray(values).reshape(math.prod(shape), -1)
    classes = Partition.by_row(rows)
    name = f"{HELPER_MARK}{slots[0].partition('.')[0]} for {title}"
    definition = Table((*slots, name), classes.membership(shape)[np.newaxis])
    of_classes = rows[classes.first].reshape(len(classes), *values.shape[len(slots) :])
    return definition, Table((name, *rest), np.moveaxis(of_classes, 1, 0))
