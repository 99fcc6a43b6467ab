"""Interchangeable values: those that nothing in question tells apart become one class.

Two values of a slot are interchangeable for some tables if these say the same of both with every
combination of the other slots (Freuder's neighbourhood interchangeability). A class with its
number of members stands for them, and no count changes.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import AnyArray, BoolArray, IntArray


@dataclass(frozen=True, eq=False)
class Partition:
    """Things sorted into classes."""

    of: IntArray
    """Class of each thing, -1 for those that are left out."""
    first: IntArray
    """The first thing of each class; classes stand in the order of their first ones."""

    def __len__(self) -> int:
        """Number of classes."""
        return len(self.first)

    @classmethod
    def alone(cls, size: int) -> Partition:
        """Each thing a class of its own."""
        return cls(np.arange(size), np.arange(size))

    @classmethod
    def by_key(cls, keys: Iterable[Hashable]) -> Partition:
        """Things with equal keys together.

        Examples
        --------
        >>> Partition.by_key(["a", "b", "a"]).of.tolist()
        [0, 1, 0]
        """
        numbers: dict[Hashable, int] = {}
        first: list[int] = []
        of = []
        for place, key in enumerate(keys):
            number = numbers.setdefault(key, len(first))
            if number == len(first):
                first.append(place)
            of.append(number)
        return cls(np.array(of, dtype=np.intp), np.array(first, dtype=np.intp))

    @classmethod
    def by_row(cls, rows: AnyArray, kept: BoolArray | None = None) -> Partition:
        """Rows (things, others) that hold the same, bit by bit; those not kept get no class."""
        table = np.ascontiguousarray(rows)
        places = np.arange(len(table)) if kept is None else np.flatnonzero(kept)
        found = cls.by_key(table[place].tobytes() for place in places)
        of = np.full(len(table), -1, dtype=np.intp)
        of[places] = found.of
        return cls(of, places[found.first])

    @classmethod
    def by_flags(cls, flags: BoolArray, groups: IntArray) -> Partition:
        """Rows of flags (things, others) that are the same within a group; classes in any order."""
        packed = np.packbits(flags, axis=1)
        words = np.zeros((len(packed), -(-packed.shape[1] // 8) * 8), dtype=np.uint8)
        words[:, : packed.shape[1]] = packed
        keys = np.column_stack([groups.astype(np.uint64), words.view(np.uint64)])
        order = np.lexsort(keys.T)
        new = np.ones(len(keys), dtype=np.bool_)
        new[1:] = (keys[order[1:]] != keys[order[:-1]]).any(axis=1)
        of = np.empty(len(keys), dtype=np.intp)
        of[order] = np.cumsum(new) - 1
        return cls(of, order[new])

    @classmethod
    def along(cls, arrays: Sequence[AnyArray], axis: int, size: int) -> Partition:
        """Places of an axis of a size at which every array that moves with it holds the same."""
        moving = {
            id(array): np.ascontiguousarray(np.moveaxis(array, axis, 0)).reshape(size, -1)
            for array in arrays
            if array.ndim > axis and array.shape[axis] > 1
        }
        rows = [[row.tobytes() for row in array] for array in moving.values()]
        return cls.by_key(zip(*rows, strict=True) if rows else [()] * size)

    def within(self, places: IntArray) -> Partition:
        """The partition of some of the things alone, with the classes numbered anew."""
        return Partition.by_key(self.of[places].tolist())

    def spread(self, rows: IntArray) -> Partition:
        """The partition of other things, each of which stands for one of these, its row."""
        of = self.of[rows]
        numbers, first = np.unique(of, return_index=True)
        return Partition(of, first[numbers >= 0])

    def membership(self, shape: tuple[int, ...]) -> BoolArray:
        """Table of things against classes, the things laid out over slots of this shape."""
        table = np.equal(self.of[:, None], np.arange(len(self.first)))
        return np.asarray(table.reshape(*shape, len(self.first)), dtype=np.bool_)

    def any_of(self, flags: BoolArray) -> BoolArray:
        """For each class, whether any of its things is flagged; things lie on the last axis."""
        return np.logical_or.reduceat(flags[..., self._order], self._starts, axis=-1)

    def number_of(self, flags: BoolArray) -> NDArray[np.float64]:
        """For each class, how many of its things are flagged; things lie on the last axis."""
        return np.add.reduceat(flags[..., self._order], self._starts, axis=-1, dtype=np.float64)

    @cached_property
    def _order(self) -> IntArray:
        """The things that have a class, those of one class beside each other."""
        kept = np.flatnonzero(self.of >= 0)
        return kept[np.argsort(self.of[kept], kind="stable")]

    @cached_property
    def _starts(self) -> IntArray:
        """Where each class begins in that order; none is empty."""
        return np.searchsorted(self.of[self._order], np.arange(len(self.first)))
