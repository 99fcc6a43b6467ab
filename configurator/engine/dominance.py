"""Antichains: sets of cost vectors in which none dominates another, many sets at once."""

from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray, distinct_positions

TWO_FIGURES = 2
"""With two figures, one sorted sweep finds the dominated vectors."""

COMPARE_CELLS = 1 << 22
"""Pairs of vectors compared at once."""


@dataclass(frozen=True, eq=False)
class Antichains:
    """Ragged sets: entry ``i`` belongs to set ``owner[i]``.

    Shapes: ``owner (entries,)``, ``vectors (figures, entries)``, ``keys (limbs, entries)``.
    """

    owner: IntArray
    vectors: IntArray
    keys: IntArray

    @staticmethod
    def empty(figures: int, limbs: int) -> "Antichains":
        """No entry at all."""
        return Antichains(
            np.zeros(0, dtype=np.int64),
            np.zeros((figures, 0), dtype=np.int64),
            np.zeros((limbs, 0), dtype=np.int64),
        )

    def regrouped(self, owner: IntArray) -> "Antichains":
        """The same entries in other sets, one new owner an entry."""
        return Antichains(owner, self.vectors, self.keys)

    def chosen(self, entries: IntArray | BoolArray) -> "Antichains":
        """Some entries, by number or mask."""
        return Antichains(self.owner[entries], self.vectors[:, entries], self.keys[:, entries])

    def joined(self, other: "Antichains") -> "Antichains":
        """All entries of both."""
        return Antichains(
            np.concatenate([self.owner, other.owner]),
            np.concatenate([self.vectors, other.vectors], axis=1),
            np.concatenate([self.keys, other.keys], axis=1),
        )


def prune(sets: Antichains) -> Antichains:
    """Drop dominated entries of each set; of equal vectors keep the smallest key.

    Entries come out sorted by owner, then by vector. In that order an entry can only be
    dominated by an earlier one of its set.
    """
    if len(sets.owner) == 0:
        return sets
    order = np.lexsort((*sets.keys[::-1], *sets.vectors[::-1], sets.owner))
    sets = sets.chosen(order)
    same = sets.owner[1:] == sets.owner[:-1]
    equal = same & (sets.vectors[:, 1:] == sets.vectors[:, :-1]).all(axis=0)
    sets = sets.chosen(np.r_[True, ~equal])
    starts = np.r_[True, sets.owner[1:] != sets.owner[:-1]]
    if len(sets.vectors) <= 1:
        return sets.chosen(starts)
    if len(sets.vectors) == TWO_FIGURES:
        return sets.chosen(_below_all_before(sets.vectors[1], starts))
    return _pairwise(sets, starts)


def _below_all_before(values: IntArray, starts: BoolArray) -> BoolArray:
    """Whether each value is smaller than every earlier one of its set."""
    levels, ranks = distinct_positions(values)
    shift = (np.cumsum(starts) - 1) * (len(levels) + 1)
    lowest = np.minimum.accumulate(ranks - shift) + shift
    before = np.r_[len(levels), lowest[:-1]]
    before[starts] = len(levels)
    return np.asarray(ranks < before)


def _pairwise(sets: Antichains, starts: BoolArray) -> Antichains:
    """Compare each entry with every earlier one of its set, in bounded chunks.

    A first sweep compares with the first few entries of each set only: most dominated ones
    fall there, and the full comparison then has few left.
    """
    for reach in (1, 4, 16):
        sets, starts = _compare(sets, starts, reach)
    return _compare(sets, starts, None)[0]


def _compare(
    sets: Antichains, starts: BoolArray, reach: int | None
) -> tuple[Antichains, BoolArray]:
    first = np.flatnonzero(starts)[np.cumsum(starts) - 1]
    counts = np.arange(len(first)) - first
    if reach is not None:
        counts = np.minimum(counts, reach)
    totals = np.r_[0, np.cumsum(counts)]
    keep = np.ones(len(first), dtype=np.bool_)
    begin = 0
    while begin < len(first):
        stop = int(np.searchsorted(totals, totals[begin] + COMPARE_CELLS, side="right")) - 1
        stop = min(max(stop, begin + 1), len(first))
        later = np.repeat(np.arange(begin, stop), counts[begin:stop])
        offset = np.arange(len(later)) - np.repeat(
            totals[begin:stop] - totals[begin], counts[begin:stop]
        )
        earlier = first[later] + offset
        dominated = np.ones(len(later), dtype=np.bool_)
        for row in sets.vectors:
            dominated &= row[earlier] <= row[later]
        keep[later[dominated]] = False
        begin = stop
    kept = sets.chosen(keep)
    return kept, np.r_[True, kept.owner[1:] != kept.owner[:-1]]
