"""Which values of each slot one rule leaves a partner, without the rule being laid out whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.table import Scope, Table


def others(ndim: int, axis: int) -> tuple[int, ...]:
    """Axes of an array but the first, which lies along the problems, and one other."""
    return tuple(at for at in range(1, ndim) if at != axis)


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


def compared_partners(
    scope: Scope, need: AnyArray, allow: AnyArray, standing: Mapping[str, BoolArray]
) -> Iterator[tuple[str, BoolArray]]:
    """For each slot, the values that a need which an allowance covers leaves a partner."""
    needs = tuple(at for at in range(1, need.ndim) if need.shape[at] > allow.shape[at] == 1)
    allows = tuple(at for at in range(1, need.ndim) if allow.shape[at] > need.shape[at] == 1)
    shared = [s for at, s in enumerate(scope, start=1) if at not in needs and at not in allows]
    for at in needs:
        need = np.where(standing[scope[at - 1]], need, np.inf)
    for at in allows:
        allow = np.where(standing[scope[at - 1]], allow, -np.inf)
    least = np.fmin.reduce(need, axis=needs, keepdims=True) if needs else need
    most = np.fmax.reduce(allow, axis=allows, keepdims=True) if allows else allow

    def both(flags: BoolArray, leave: str = "") -> BoolArray:
        for slot in shared:
            if slot != leave:
                flags = flags & standing[slot]
        return flags

    passes = np.asarray(least <= most)
    for axis, slot in enumerate(scope, start=1):
        if axis in needs:
            rest = tuple(at for at in needs if at != axis)
            held = np.fmin.reduce(need, axis=rest, keepdims=True) <= most
        elif axis in allows:
            rest = tuple(at for at in allows if at != axis)
            held = least <= np.fmax.reduce(allow, axis=rest, keepdims=True)
        else:
            held = passes
        held = both(np.asarray(held))
        found = held.any(axis=others(held.ndim, axis))
        size = standing[slot].shape[axis]
        yield slot, np.broadcast_to(found, (found.shape[0], size))
