"""Exact Pareto fronts by vector messages on the join tree.

A message is no longer one number a row but a set of cost vectors, pruned to the ones that no
other dominates. Figures are additive, so a partial vector that is dominated can be dropped: any
completion of it is dominated by the same completion of the other. The semiring is that of
*antichains*: multiply is the Minkowski sum, sum is the union, both pruned.

Sets are kept ragged: ``owner`` (ascending row or group number), ``vectors`` of shape
``(figures, entries)`` and ``keys`` of shape ``(limbs, entries)``, where the key is the value
positions as mixed radix digits (see ``digits``). Entries with equal vectors keep the
smallest key, so the first build in value order stands for them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray, distinct_positions
from configurator.engine.assembly import JoinTree
from configurator.engine.digits import (
    LIMB_CAPACITY,
    CostTable,
    digit_rows,
    digits_in,
    pack_digits,
    placed,
)
from configurator.engine.relation import MalformedSpaceError
from configurator.engine.separator import EqualityEdge, IntervalEdge, PairEdge, StaircaseEdge

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
    def empty(figures: int, limbs: int) -> Antichains:
        """No entry at all."""
        return Antichains(
            np.zeros(0, dtype=np.int64),
            np.zeros((figures, 0), dtype=np.int64),
            np.zeros((limbs, 0), dtype=np.int64),
        )

    def regrouped(self, owner: IntArray) -> Antichains:
        """The same entries in other sets, one new owner an entry."""
        return Antichains(owner, self.vectors, self.keys)

    def chosen(self, entries: IntArray | BoolArray) -> Antichains:
        """Some entries, by number or mask."""
        return Antichains(self.owner[entries], self.vectors[:, entries], self.keys[:, entries])

    def joined(self, other: Antichains) -> Antichains:
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


Progress = Callable[[int, int, int], None]
"""Called after each cluster with (clusters done, clusters in all, vectors held)."""


@dataclass(frozen=True)
class ParetoPoint:
    """One non-dominated vector and the first build that has it."""

    figures: dict[str, int]
    build: dict[str, int]


def pareto_front(
    tree: JoinTree,
    widths: Sequence[int],
    figures: Mapping[str, Sequence[CostTable]],
    progress: Progress | None,
) -> list[tuple[dict[str, int], tuple[int, ...]]]:
    """Non-dominated vectors with the live positions of a build, sorted by vector."""
    limbs, places = pack_digits(widths)
    keys = digit_rows(tree, limbs, places)
    vectors = [np.zeros((len(figures), rows), dtype=np.int64) for rows in tree.rows]
    for axis, tables in enumerate(figures.values()):
        if sum(int(table.max()) - int(table.min()) for _, table in tables) >= LIMB_CAPACITY:
            raise MalformedSpaceError("the costs add up to more than 2^59: scale them down")
        for home, numbers in placed(tree, tables):
            vectors[home][axis] += numbers
    parent = tree.plan.rooted(tree.largest)
    order = list(parent)[::-1]
    inbox: dict[int, list[Antichains]] = {number: [] for number in order}
    front = Antichains.empty(len(figures), limbs)
    for done, cluster in enumerate(order, start=1):
        sets = Antichains(np.arange(tree.rows[cluster]), vectors[cluster], keys[cluster])
        for message in inbox.pop(cluster):
            sets = prune(_minkowski(sets, message))
        held = len(sets.owner)
        if parent[cluster] < 0:
            front = prune(sets.regrouped(np.zeros(held, dtype=np.int64)))
        else:
            inbox[parent[cluster]].append(_send(tree, cluster, parent[cluster], sets))
        if progress is not None:
            progress(done, len(order), held)
    floors = [sum(int(table.min()) for _, table in tables) for tables in figures.values()]
    answer = []
    for entry in range(len(front.owner)):
        vector = {
            name: int(front.vectors[axis, entry]) + floors[axis]
            for axis, name in enumerate(figures)
        }
        answer.append((vector, digits_in(front.keys[:, entry].tolist(), places, widths)))
    return answer


def _minkowski(left: Antichains, right: Antichains) -> Antichains:
    """Sums of every vector of a row on the left with every one of the same row on the right."""
    rows = max(left.owner.max(initial=-1), right.owner.max(initial=-1)) + 1
    sizes = np.bincount(right.owner, minlength=rows)
    starts = np.cumsum(sizes) - sizes
    counts = sizes[left.owner]
    of_left = np.repeat(np.arange(len(left.owner)), counts)
    of_right = starts[left.owner[of_left]] + _within(counts)
    return Antichains(
        left.owner[of_left],
        left.vectors[:, of_left] + right.vectors[:, of_right],
        left.keys[:, of_left] + right.keys[:, of_right],
    )


def _send(tree: JoinTree, source: int, target: int, sets: Antichains) -> Antichains:
    """Sets on the source's rows to sets on the target's rows, across one edge."""
    edge = tree.edges[min(source, target), max(source, target)]
    forward = source < target
    if isinstance(edge, EqualityEdge):
        of_ends = [ids.astype(np.int64) for ids in (edge.u_ids, edge.v_ids)]
        source_ids, target_ids = of_ends if forward else of_ends[::-1]
        groups = prune(sets.regrouped(source_ids[sets.owner]))
        return _spread(groups, target_ids)
    if isinstance(edge, StaircaseEdge):
        number = edge.segments.number
        if forward == edge.low_is_u:
            levels = prune(sets.regrouped(edge.low_ids[sets.owner]))
            return _spread(_scan(levels, number), edge.high_ids)
        last = edge.segments.levels - 1
        levels = prune(sets.regrouped(last - edge.high_ids[sets.owner]))
        return _spread(_scan(levels, number[-1] - number[::-1]), last - edge.low_ids)
    if isinstance(edge, IntervalEdge):
        return _send_ranges(edge, sets, to_standing=forward == edge.ranges_are_u)
    assert isinstance(edge, PairEdge), "there are four kinds of edge"
    source_ids, target_ids = (edge.u_ids, edge.v_ids) if forward else (edge.v_ids, edge.u_ids)
    source_pair, target_pair = (edge.u_pair, edge.v_pair) if forward else (edge.v_pair, edge.u_pair)
    classes = prune(sets.regrouped(source_ids[sets.owner]))
    paired = _spread(classes, source_pair)
    return _spread(prune(paired.regrouped(target_pair[paired.owner])), target_ids)


def _send_ranges(edge: IntervalEdge, sets: Antichains, *, to_standing: bool) -> Antichains:
    """Across a window: rows with the same range are one class, matched level by level."""
    classes, of_row = distinct_positions(edge.first * (edge.levels + 1) + edge.end)
    first, end = classes // (edge.levels + 1), classes % (edge.levels + 1)
    of_pair = np.repeat(np.arange(len(classes)), end - first)
    levels = np.repeat(first, end - first) + _within(end - first)
    if to_standing:
        ranges = prune(sets.regrouped(of_row[sets.owner]))
        paired = _spread(ranges, of_pair)
        return _spread(prune(paired.regrouped(levels[paired.owner])), edge.at)
    by_level = prune(sets.regrouped(edge.at[sets.owner]))
    paired = _spread(by_level, levels)
    return _spread(prune(paired.regrouped(of_pair[paired.owner])), of_row)


def _scan(levels: Antichains, segment: IntArray) -> Antichains:
    """Running union within segments, by doubling (Hillis and Steele).

    After step ``d`` each level holds the union of its own and the ``2 d - 1`` levels before
    it in the segment, so the number of steps is the logarithm of the longest segment.
    """
    longest = int(np.bincount(segment).max(initial=0))
    distance = 1
    while distance < longest:
        shifted = levels.owner + distance
        inside = shifted < len(segment)
        shifted = np.where(inside, shifted, 0)
        inside &= segment[shifted] == segment[levels.owner]
        levels = prune(levels.joined(levels.chosen(inside).regrouped(shifted[inside])))
        distance *= 2
    return levels


def _spread(groups: Antichains, ids: IntArray) -> Antichains:
    """Give every target row the set of its group."""
    count = int(max(groups.owner.max(initial=-1), ids.max(initial=-1))) + 1
    sizes = np.bincount(groups.owner, minlength=count)
    starts = np.cumsum(sizes) - sizes
    counts = sizes[ids]
    entries = np.repeat(starts[ids], counts) + _within(counts)
    return groups.chosen(entries).regrouped(np.repeat(np.arange(len(ids)), counts))


def _within(counts: IntArray) -> IntArray:
    """0, 1, .. inside every run of the given lengths."""
    ends = np.cumsum(counts)
    return np.arange(int(counts.sum()), dtype=np.int64) - np.repeat(ends - counts, counts)
