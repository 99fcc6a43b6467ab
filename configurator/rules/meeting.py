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

    @property
    def is_threshold(self) -> bool:
        """Whether the one side states a need and the other what it allows."""
        return bool(self.need.shape[2] == self.allow.shape[1] == 1)

    def at(self, which: IntArray) -> tuple[AnyArray, AnyArray]:
        """Need and allowance behind some pairs of mixer and tip."""
        shape = len(which)
        need, allow = (v[which] if len(v) > 1 else v for v in (self.need, self.allow))
        return (
            np.broadcast_to(need, (shape, *need.shape[1:])),
            np.broadcast_to(allow, (shape, *allow.shape[1:])),
        )

    def flags(self, which: IntArray) -> BoolArray:
        """Which cells go together behind some pairs of mixer and tip."""
        need, allow = self.at(which)
        return np.asarray(need <= allow)

    def settled(self, left: BoolArray, right: BoolArray) -> tuple[BoolArray, BoolArray]:
        """Behind which pairs all cells that count go together, and where none does.

        Parameters
        ----------
        left, right : ndarray of bool
            Shape (pairs, cells): which cells count.
        """
        if not self.is_threshold:
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
    open_: BoolArray = np.asarray(counts[0].any(axis=1) & counts[1].any(axis=1))
    everywhere: AnyArray = np.ones((left.shape[-1], right.shape[-1]), dtype=np.bool_)
    by_pair: list[Meeting] = []
    unsettled: list[BoolArray] = []
    for each in meetings:
        if len(each.need) == len(each.allow) == 1:
            everywhere = everywhere & each.flags(np.zeros(1, dtype=np.intp))[0]
        else:
            passes, fails = each.settled(*counts)
            open_ &= ~fails
            by_pair.append(each)
            unsettled.append(~passes)
    rows, columns = Partition.by_row(everywhere), Partition.by_row(everywhere.T)
    few = everywhere[np.ix_(rows.first, columns.first)]
    many = np.sum(unsettled, axis=0, dtype=np.intp) if unsettled else np.zeros(len(left), np.intp)
    for some in _chunks(np.flatnonzero(open_ & (many == 0)), few.size):
        found[some] = _joined(_merged(left[some], rows), _merged(right[some], columns), few)
    for each, unsure in zip(by_pair, unsettled, strict=True):
        alone = open_ & unsure & (many == 1)
        if each.is_threshold:
            open_ = open_ & ~alone
            for some in _chunks(np.flatnonzero(alone), len(columns) * left.shape[-1]):
                need, allow = each.at(some)
                found[some] = _ranked(
                    left[some],
                    right[some],
                    need=np.broadcast_to(need[..., 0], left[some].shape),
                    allow=np.broadcast_to(allow[:, 0], right[some].shape),
                    goes=few.T[:, rows.of].astype(np.float64),
                    column=columns.of,
                )
    for some in _chunks(np.flatnonzero(open_ & (many > 0)), everywhere.size):
        flags = everywhere
        for each, unsure in zip(by_pair, unsettled, strict=True):
            if unsure[some].any():
                flags = flags & each.flags(some)
        found[some] = _joined(left[some], right[some], flags)
    return found


def _ranked(
    left: AnyArray,
    right: AnyArray,
    *,
    need: AnyArray,
    allow: AnyArray,
    goes: AnyArray,
    column: IntArray,
) -> AnyArray:
    """Sum of the products of cells whose need is allowed, by running sums over sorted needs.

    `goes` (classes, left cells) is one where a cell goes with a class of the other side.
    """
    order = np.argsort(need, axis=1)
    sorted_left = np.take_along_axis(left, order, axis=1)
    sorted_need = np.take_along_axis(need, order, axis=1)
    sums = np.zeros((len(goes), left.shape[0], left.shape[1] + 1))
    np.cumsum(goes[:, order] * sorted_left, axis=-1, out=sums[..., 1:])
    granted = [np.searchsorted(n, a, side="right") for n, a in zip(sorted_need, allow, strict=True)]
    pairs = np.arange(len(left))[:, np.newaxis]
    return np.asarray((right * sums[column, pairs, np.stack(granted)]).sum(axis=1))


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
