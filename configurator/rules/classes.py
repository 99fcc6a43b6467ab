"""Interchangeable values: combinations that a rule cannot tell apart become one class.

Two combinations of some slots are interchangeable for a rule if it says the same of both with
every combination of its other slots (Freuder's neighbourhood interchangeability). A helper slot
holds the class; it is a function of real slots, so that no count changes, and the rule is
written over the class instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

States = NDArray[np.int8]
Places = NDArray[np.intp]


@dataclass(frozen=True)
class Classes:
    """A partition of the rows of a table."""

    of_row: Places
    """Class of each row, -1 for rows that are left out."""
    first: Places
    """One row of each class."""

    def __len__(self) -> int:
        """Number of classes."""
        return len(self.first)

    def spread(self, rows: Places) -> Classes:
        """The partition of other rows, each of which stands for one of these; none is left out.

        Parameters
        ----------
        rows : ndarray of int
            Which of these rows each of the others stands for.
        """
        of_row = self.of_row[rows]
        numbers, first = np.unique(of_row, return_index=True)
        return Classes(of_row, first[numbers >= 0])

    def membership(self, shape: tuple[int, ...]) -> NDArray[np.bool_]:
        """Table of rows against classes, the rows laid out over slots of this shape."""
        table = np.equal(self.of_row[:, None], np.arange(len(self.first)))
        return np.asarray(table.reshape(*shape, len(self.first)), dtype=np.bool_)


def classes_along(arrays: Sequence[NDArray[np.float64]], axis: int, size: int) -> Classes:
    """Partition the places of an axis by what stands there in every array that moves with it.

    Parameters
    ----------
    arrays : sequence of ndarray
        Figures over one frame; those with a single place along the axis do not move with it.
    axis : int
        The axis.
    size : int
        Number of its places.
    """
    moving = {
        id(array): np.ascontiguousarray(np.moveaxis(array, axis, 0)).reshape(size, -1)
        for array in arrays
        if array.ndim > axis and array.shape[axis] > 1
    }
    # Bit by bit, so that two unknown figures are alike.
    bits = [array.view(np.int64) for array in moving.values()]
    of_row = np.zeros(size, dtype=np.intp)
    first: list[int] = []
    for place in range(size):
        like = (
            number
            for number, other in enumerate(first)
            if all(np.array_equal(array[place], array[other]) for array in bits)
        )
        of_row[place] = next(like, len(first))
        if of_row[place] == len(first):
            first.append(place)
    return Classes(of_row, np.array(first, dtype=np.intp))


def classes_of(rows: States, kept: NDArray[np.bool_] | None = None) -> Classes:
    """Partition the rows of a table by what stands in them.

    Parameters
    ----------
    rows : ndarray of int8
        Shape (rows, others): what a rule says of each row with each of the others.
    kept : ndarray of bool, optional
        Rows that matter; the others get no class.
    """
    places = np.arange(len(rows)) if kept is None else np.flatnonzero(kept)
    of_row = np.full(len(rows), -1, dtype=np.intp)
    numbers: dict[bytes, int] = {}
    first: list[int] = []
    table = np.ascontiguousarray(rows)
    for place in places:
        number = numbers.setdefault(table[place].tobytes(), len(first))
        if number == len(first):
            first.append(int(place))
        of_row[place] = number
    return Classes(of_row, np.array(first, dtype=np.intp))
