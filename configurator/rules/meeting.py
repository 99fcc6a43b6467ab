"""Two sides of a build that meet in a few rules, behind each pair of mixer and tip.

Of each side is left what these rules tell apart: its cells. Where all cells of one side go with
all of the other, as in most places, sums are multiplied and no pair of cells is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.partition import Partition
from configurator.engine.table import Table

MOST_PAIRS = 2_000_000
"""Pairs of cells, behind all pairs of mixer and tip, that are laid out at once."""

Kinds = Mapping[str, IntArray]
"""By slot, the kind of each cell of a side."""


@dataclass(frozen=True, eq=False)
class Meeting:
    """A rule that reads both sides, over cells of both: what passes, or what needs what.

    Arrays have the shape (pairs of mixer and tip or 1, cells or 1, cells or 1).
    """

    need: AnyArray
    allow: AnyArray

    @classmethod
    def of(
        cls, halves: Sequence[Table], places: Mapping[str, IntArray], left: Kinds, right: Kinds
    ) -> Meeting:
        """From a need and an allowance, or flags, over slots of both sides.

        Parameters
        ----------
        halves : sequence of Table
            With the pairs of mixer and tip in front.
        places : Mapping of str to ndarray of int
            By slot, where each kind stands along the axes.
        left, right : Mapping of str to ndarray of int
            The cells.
        """
        found = []
        for table in halves:
            at: list[Any] = []
            for slot, size in table.sizes.items():
                kinds = left[slot][:, np.newaxis] if slot in left else right[slot][np.newaxis]
                at.append(places[slot][kinds] if size > 1 else np.zeros((1, 1), dtype=np.intp))
            values = table.values[(slice(None), *at)]
            found.append(values if values.dtype != np.bool_ else ~values)
        need = found[0]
        return cls(need, found[1] if len(found) > 1 else np.zeros((1, 1, 1), dtype=np.bool_))

    def flags(self, which: IntArray) -> BoolArray:
        """Which cells go together behind some pairs of mixer and tip."""
        need, allow = (v if len(v) == 1 else v[which] for v in (self.need, self.allow))
        return np.asarray(need <= allow)

    def settled(self, left: BoolArray, right: BoolArray) -> tuple[BoolArray, BoolArray]:
        """Behind which pairs all cells that count go together, and where none does.

        Parameters
        ----------
        left, right : ndarray of bool
            Shape (pairs, cells): which cells count.
        """
        if self.need.shape[2] > 1 or self.allow.shape[1] > 1:
            nowhere = np.zeros(len(left), dtype=np.bool_)
            return nowhere, nowhere
        need, allow = self.need[..., 0], self.allow[:, 0]
        highest = np.where(left, need, -np.inf).max(axis=1, initial=-np.inf)
        lowest = np.where(left, need, np.inf).min(axis=1, initial=np.inf)
        least = np.where(right, allow, np.inf).min(axis=1, initial=np.inf)
        most = np.where(right, allow, -np.inf).max(axis=1, initial=-np.inf)
        return highest <= least, lowest > most


def met(left: AnyArray, right: AnyArray, meetings: Sequence[Meeting]) -> AnyArray:
    """Builds of both sides together, behind each pair of mixer and tip.

    Parameters
    ----------
    left, right : ndarray
        Shape (pairs, cells): how many there are of each side.
    meetings : sequence of Meeting
        What reads both.
    """
    found = np.zeros(len(left))
    counts = left > 0, right > 0
    never: BoolArray = np.asarray(~counts[0].any(axis=1) | ~counts[1].any(axis=1))
    each_by_itself = np.zeros(len(never), dtype=np.bool_)
    everywhere: AnyArray = np.ones((1, left.shape[-1], right.shape[-1]), dtype=np.bool_)
    by_pair: list[tuple[Meeting, BoolArray]] = []
    for each in meetings:
        if len(each.need) == len(each.allow) == 1:
            everywhere = everywhere & each.flags(np.zeros(1, dtype=np.intp))
        else:
            passes, fails = each.settled(*counts)
            never |= fails
            each_by_itself |= ~passes
            by_pair.append((each, passes))
    rows, columns = Partition.by_row(everywhere[0]), Partition.by_row(everywhere[0].T)
    few = everywhere[:, rows.first][:, :, columns.first]
    for some in _chunks(np.flatnonzero(~each_by_itself & ~never), few.size):
        found[some] = _joined(_merged(left[some], rows), _merged(right[some], columns), few)
    for some in _chunks(np.flatnonzero(each_by_itself & ~never), everywhere.size):
        flags = everywhere
        for each, passes in by_pair:
            if not passes[some].all():
                flags = flags & each.flags(some)
        found[some] = _joined(left[some], right[some], flags)
    return found


def _merged(values: AnyArray, classes: Partition) -> AnyArray:
    """Sums over some classes of cells."""
    return values @ np.equal(classes.of[:, None], np.arange(len(classes))).astype(np.float64)


def _joined(left: AnyArray, right: AnyArray, flags: BoolArray) -> AnyArray:
    """Sum of the products of cells that go together."""
    beside = np.matmul(flags.astype(np.float64), right[..., np.newaxis])[..., 0]
    return np.asarray((left * beside).sum(axis=1))


def _chunks(which: IntArray, cells: int) -> Iterator[IntArray]:
    step = max(1, MOST_PAIRS // max(cells, 1))
    for start in range(0, len(which), step):
        yield which[start : start + step]
