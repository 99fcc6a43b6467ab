"""Pairs of mixer and tip that may stand in a request, each a problem of its own.

Behind one pair the pressure is given, and the sides of a two-part build hardly know each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.table import Table


def heads(scope: Iterable[str]) -> tuple[str, ...]:
    """Prefixes of the sides whose slots are in a scope; that of a one-part build is empty."""
    own = (slot for slot in scope if slot not in SHARED_SLOTS)
    return tuple(dict.fromkeys(slot.rpartition(".")[0] for slot in own))


@dataclass(frozen=True, eq=False)
class Mouths:
    """Pairs of kinds of mixer and tip, those of one request beside each other."""

    rows: IntArray
    """The request of each pair, ascending."""
    kinds: Mapping[str, IntArray]
    """By shared slot, the kind of each pair."""

    @classmethod
    def standing(cls, alive: Mapping[str, BoolArray], rules: Iterable[Table]) -> Mouths:
        """All pairs that rules let through of kinds alive, in shape (requests, kinds)."""
        flags: BoolArray = np.asarray(True)
        for each in (*(Table((slot,), alive[slot]) for slot in SHARED_SLOTS), *rules):
            flags = np.logical_and(flags, each.over(SHARED_SLOTS))
        rows, *places = np.nonzero(flags)
        return cls(rows, dict(zip(SHARED_SLOTS, places, strict=True)))

    @cached_property
    def key(self) -> bytes:
        """Equal for equal pairs."""
        return b"|".join(places.tobytes() for places in (self.rows, *self.kinds.values()))

    def __len__(self) -> int:
        """Number of pairs."""
        return len(self.rows)

    def only(self, which: IntArray) -> Mouths:
        """Some of the pairs."""
        kinds = {slot: places[which] for slot, places in self.kinds.items()}
        return Mouths(self.rows[which], kinds)

    def of(self, table: Table, places: Mapping[str, IntArray] | None = None) -> Table:
        """A table over requests, shared slots and others as one over the pairs and the others.

        One that is the same for all requests and holds no shared slot stays as it is. Kinds stand
        along its axes in order, or by slot where `places` says.
        """
        shared = tuple(slot for slot in SHARED_SLOTS if slot in table.scope)
        rest = tuple(slot for slot in table.scope if slot not in shared)
        values = table.over((*shared, *rest))
        at: list[IntArray | int] = [self.rows if values.shape[0] > 1 else 0]
        for axis, slot in enumerate(shared, start=1):
            along = self.kinds[slot] if places is None else places[slot][self.kinds[slot]]
            at.append(along if values.shape[axis] > 1 else 0)
        found = values[tuple(at)]
        return Table(rest, found[np.newaxis] if found.ndim == len(rest) else found)

    def of_ends(self, values: AnyArray, slots: tuple[str, ...]) -> AnyArray:
        """A figure of mixers and tips over ends, requests and slots as one over ends and pairs.

        The slots are those of the axes behind the requests.
        """
        axes = {slot: 2 + slots.index(slot) for slot in SHARED_SLOTS}
        others = tuple(at for at in range(2, values.ndim) if at not in axes.values())
        cut = values.squeeze(axis=others)
        at = [self.rows, *(self.kinds[slot] for slot in sorted(axes, key=axes.__getitem__))]
        index = [each if size > 1 else 0 for each, size in zip(at, cut.shape[1:], strict=True)]
        found = cut[(slice(None), *index)]
        return found.reshape(len(values), -1, *(1,) * len(slots))
