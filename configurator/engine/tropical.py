"""The lexicographic tropical semiring: cheapest first, ties by value order.

A weight is a vector of non-negative int64 *limbs*, compared lexicographically and added limb
by limb. The first digit of the first limb is the cost; the digits behind it are the value
positions of the slots in domain order (a mixed radix number). Each slot is counted in one
cluster only, so every build has its own total, the order is strict, and the cheapest build
is unique. Arrays have shape ``(limbs, rows)``.
"""

from collections.abc import Sequence

import numpy as np

from configurator.engine.arrays import AnyArray, IntArray, distinct_positions
from configurator.engine.semiring import Segments

NEVER = 1 << 61
"""The weight of no build at all; sums are cut back to it."""

LIMB_CAPACITY = 1 << 59
"""Totals of one limb stay below this, so that two of them and NEVER never overflow."""


class Tropical:
    """Minimum of sums, on vectors of limbs."""

    def __init__(self, limbs: int) -> None:
        self.limbs = limbs

    def ones(self, rows: int) -> AnyArray:
        """No cost on any row."""
        return np.zeros((self.limbs, rows), dtype=np.int64)

    def times(self, left: AnyArray, right: AnyArray) -> AnyArray:
        """Sum of the limbs, cut back to NEVER."""
        total: AnyArray = np.minimum(left + right, NEVER)
        return total

    def scatter(self, values: AnyArray, ids: IntArray, groups: int) -> AnyArray:
        """Lexicographic minimum by group, limb by limb."""
        found = np.full((self.limbs, groups), NEVER, dtype=np.int64)
        row = values[0]
        for limb in range(self.limbs):
            np.minimum.at(found[limb], ids, row)
            if limb + 1 < self.limbs:
                row = np.where(row == found[limb][ids], values[limb + 1], NEVER)
        return found

    def prefix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Running minimum."""
        return _running_minimum(values, segments.number)

    def suffix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Running minimum from the end."""
        backwards = segments.number[-1:] - segments.number[::-1]
        return _running_minimum(values[:, ::-1], backwards)[:, ::-1]

    def between(self, values: AnyArray, first: IntArray, end: IntArray) -> AnyArray:
        """Minimum over the range: two overlapping blocks of a sparse table."""
        found = np.full((self.limbs, len(first)), NEVER, dtype=np.int64)
        span = 1
        while len(first) and values.shape[1]:
            at = np.flatnonzero((end - first >= span) & (end - first < 2 * span))
            found[:, at] = _smaller(values[:, first[at]], values[:, end[at] - span])
            if int((end - first).max()) < 2 * span:
                break
            values = _smaller(values[:, :-span], values[:, span:])
            span *= 2
        return found

    def cover(self, values: AnyArray, first: IntArray, end: IntArray, levels: int) -> AnyArray:
        """Minimum of the ranges over the level: the sparse table run backwards.

        Each range is left at its two blocks; blocks then hand their minimum down to their
        two halves, from the longest to single levels.
        """
        lengths = end - first
        span = 1 << max(int(lengths.max(initial=1)).bit_length() - 1, 0)
        blocks = np.full((self.limbs, levels), NEVER, dtype=np.int64)
        while span:
            at = np.flatnonzero((lengths >= span) & (lengths < 2 * span))
            for places in (first[at], end[at] - span):
                blocks = _smaller(blocks, self.scatter(values[:, at], places, levels))
            half = span // 2
            if half:
                blocks[:, half:] = _smaller(blocks[:, half:], blocks[:, :-half].copy())
            span = half
        return blocks


def _smaller(left: AnyArray, right: AnyArray) -> AnyArray:
    """The lexicographically smaller vector in each column, shape ``(limbs, columns)``."""
    if len(left) == 1:
        smaller: AnyArray = np.minimum(left, right)
        return smaller
    takes_left = left[-1] < right[-1]
    for limb in range(len(left) - 2, -1, -1):
        takes_left = (left[limb] < right[limb]) | (left[limb] == right[limb]) & takes_left
    return np.where(takes_left, left, right)


def _running_minimum(values: AnyArray, segment: IntArray) -> AnyArray:
    """Lexicographic minimum so far within each segment, shape ``(limbs, levels)``.

    Limb by limb: where the minimum of the leading limb stays the same, a finer segment
    begins, in which only the rows that attain it compete with their next limb.
    """
    found = np.empty_like(values)
    row = values[0]
    for limb in range(len(values)):
        found[limb] = _segmented_minimum(row, segment)
        if limb + 1 < len(values):
            new = np.r_[
                False, (segment[1:] != segment[:-1]) | (found[limb][1:] != found[limb][:-1])
            ]
            row = np.where(row == found[limb], values[limb + 1], NEVER)
            segment = np.cumsum(new, dtype=np.int64)
    return found


def _segmented_minimum(values: IntArray, segment: IntArray) -> IntArray:
    """Running minimum that starts again at each segment.

    Every later segment is shifted down by more than the spread of all values, so its first
    value undercuts whatever came before and one plain running minimum does them all. Where
    the shifts would leave int64, values are replaced by their ranks first.
    """
    if len(values) == 0:
        return values
    last = int(segment[-1]) + 1
    spread = int(values.max()) + 1
    if spread * last < 1 << 62:
        shift = segment * spread
        return np.minimum.accumulate(values - shift) + shift
    levels, ranks = distinct_positions(values)
    shift = segment * len(levels)
    return levels[np.minimum.accumulate(ranks - shift) + shift]


def pack_digits(cost_range: int, widths: Sequence[int]) -> tuple[int, int, list[tuple[int, int]]]:
    """Lay out the cost and the slots' positions as digits of as few limbs as fit.

    Parameters
    ----------
    cost_range : int
        Number of different totals that the cost may take, at least 1.
    widths : sequence of int
        Live values of each slot, in domain order.

    Returns
    -------
    limbs : int
        Number of limbs.
    cost_stride : int
        Weight of one unit of cost in limb 0.
    places : list of (limb, stride)
        Where each slot's position is added.
    """
    groups: list[list[int]] = [[]]
    room = [cost_range]
    for slot, width in enumerate(widths):
        if room[-1] * max(width, 1) >= LIMB_CAPACITY:
            groups.append([])
            room.append(1)
        groups[-1].append(slot)
        room[-1] *= max(width, 1)
    places = [(0, 1)] * len(widths)
    cost_stride = 1
    for limb, slots in enumerate(groups):
        stride = 1
        for slot in reversed(slots):
            places[slot] = (limb, stride)
            stride *= max(widths[slot], 1)
        if limb == 0:
            cost_stride = stride
    return len(groups), cost_stride, places
