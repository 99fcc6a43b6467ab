"""Interchangeable values: combinations that a rule cannot tell apart become one class.

Two combinations of some slots are interchangeable for a rule if it says the same of both with
every combination of its other slots (Freuder's neighbourhood interchangeability). A helper slot
holds the class; it is a function of real slots, so that no count changes, and the rule is
written over the class instead.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

States = NDArray[np.int8]


@dataclass(frozen=True)
class Classes:
    """A partition of the rows of a table.

    Attributes
    ----------
    of_row : ndarray of int
        Class of each row, -1 for rows that are left out.
    first : ndarray of int
        One row of each class.
    """

    of_row: NDArray[np.intp]
    first: NDArray[np.intp]

    def __len__(self) -> int:
        """Number of classes."""
        return len(self.first)

    def membership(self, shape: tuple[int, ...]) -> NDArray[np.bool_]:
        """Table of rows against classes, the rows laid out over slots of this shape."""
        table = np.equal(self.of_row[:, None], np.arange(len(self.first)))
        return np.asarray(table.reshape(*shape, len(self.first)), dtype=np.bool_)


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
