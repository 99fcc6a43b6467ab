"""Edges of the join tree: who agrees with whom across a separator.

An edge joins the rows of clusters ``u`` and ``v``. It knows for each row the *group* that the
row falls into and how groups of the two sides are matched; ``send`` turns weights of one
side's rows into a message on the other side's rows:

``(rows of source,) -scatter-> (groups,) -match-> (groups,) -take-> (rows of target,)``
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.semiring import Segments, Semiring

DENSE_KEYS = 1 << 23
"""Key spaces up to this size are numbered directly, without sorting."""


class Edge(Protocol):
    """One tree edge, as a message pass and a walk need it."""

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Message on the target's rows; ``forward`` sends from ``u`` to ``v``."""

    def target_group(self, row: int, *, forward: bool) -> int:
        """Group of a target row; rows of one group have the same partners."""

    def partners(self, group: int, *, forward: bool) -> IntArray:
        """Source rows that agree with the target rows of a group."""

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> "Edge":
        """The same edge after rows were dropped on both sides."""


class GroupIndex:
    """Rows sorted by group, built when first asked: the rows of groups ``a..b-1``."""

    def __init__(self, ids: IntArray, groups: int) -> None:
        self._ids = ids
        self._groups = groups
        self._order: IntArray | None = None
        self._starts: IntArray | None = None

    def rows(self, first: int, end: int) -> IntArray:
        """Rows whose group lies in ``first..end-1``."""
        if self._order is None or self._starts is None:
            self._order = np.argsort(self._ids, kind="stable")
            sizes = np.bincount(self._ids, minlength=self._groups)
            self._starts = np.r_[0, np.cumsum(sizes)]
        return self._order[self._starts[first] : self._starts[end]]


@dataclass(frozen=True, eq=False)
class EqualityEdge:
    """Plain separator: rows agree when their shared slots are equal (a natural join)."""

    u_ids: IntArray
    v_ids: IntArray
    groups: int
    index: tuple[GroupIndex, GroupIndex]

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by separator value, then take: ``(groups,)`` in between."""
        source, target = (self.u_ids, self.v_ids) if forward else (self.v_ids, self.u_ids)
        return ring.scatter(values, source, self.groups).take(target, axis=-1)

    def target_group(self, row: int, *, forward: bool) -> int:
        """Separator value of the row."""
        return int((self.v_ids if forward else self.u_ids)[row])

    def partners(self, group: int, *, forward: bool) -> IntArray:
        """Rows with the same separator value."""
        return self.index[0 if forward else 1].rows(group, group + 1)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same separator over fewer rows."""
        return equality_edge(self.u_ids[keep_u], self.v_ids[keep_v], self.groups)


def equality_edge(u_ids: IntArray, v_ids: IntArray, groups: int) -> EqualityEdge:
    """Edge over group numbers ``0..groups-1`` of both sides."""
    index = (GroupIndex(u_ids, groups), GroupIndex(v_ids, groups))
    return EqualityEdge(u_ids, v_ids, groups, index)


@dataclass(frozen=True, eq=False)
class StaircaseEdge:
    """Separator with one order: equal shared slots and ``low(u) <= high(v)``.

    Levels are the distinct (separator value, number) pairs of the high side, sorted. A low
    row stands at the first level that is not below it, so its partners are that level and
    all later ones of the segment; a high row stands at its own level, and its partners are
    that level and all earlier ones. Hence one running sum does the message, whatever the
    scopes of the two sides: ``(low rows,) -scatter-> (levels,) -prefix-> (levels,)
    -take-> (high rows,)``, and back with a suffix sum.
    """

    low_ids: IntArray
    high_ids: IntArray
    segments: Segments
    low_is_u: bool
    index: tuple[GroupIndex, GroupIndex]

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by level, run along the segment, then take: ``(levels,)`` in between."""
        levels = self.segments.levels
        if forward == self.low_is_u:
            sums = ring.scatter(values, self.low_ids, levels)
            return ring.prefix(sums, self.segments).take(self.high_ids, axis=-1)
        sums = ring.scatter(values, self.high_ids, levels)
        return ring.suffix(sums, self.segments).take(self.low_ids, axis=-1)

    def target_group(self, row: int, *, forward: bool) -> int:
        """Level of the row."""
        return int((self.high_ids if forward == self.low_is_u else self.low_ids)[row])

    def partners(self, group: int, *, forward: bool) -> IntArray:
        """Rows of the levels that agree: one contiguous range."""
        if forward == self.low_is_u:
            return self.index[0].rows(int(self.segments.first[group]), group + 1)
        return self.index[1].rows(group, int(self.segments.end[group]))

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same levels over fewer rows."""
        low, high = (keep_u, keep_v) if self.low_is_u else (keep_v, keep_u)
        return staircase_edge(
            self.low_ids[low], self.high_ids[high], self.segments, low_is_u=self.low_is_u
        )


def staircase_edge(
    low_ids: IntArray, high_ids: IntArray, segments: Segments, *, low_is_u: bool
) -> StaircaseEdge:
    """Edge over level numbers of both sides."""
    levels = segments.levels
    index = (GroupIndex(low_ids, levels), GroupIndex(high_ids, levels))
    return StaircaseEdge(low_ids, high_ids, segments, low_is_u, index)


@dataclass(frozen=True, eq=False)
class PairEdge:
    """Separator with several orders at once, as matched pairs of row classes.

    Rows of a side with the same separator value and the same numbers form one class. The
    edge lists the pairs ``(u class, v class)`` that agree in every order.
    """

    u_ids: IntArray
    v_ids: IntArray
    u_pair: IntArray
    v_pair: IntArray
    classes: tuple[int, int]
    index: tuple[GroupIndex, GroupIndex]
    pair_index: tuple[GroupIndex, GroupIndex]

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by class, spread along the pairs, sum by class, then take."""
        if forward:
            sums = ring.scatter(values, self.u_ids, self.classes[0]).take(self.u_pair, axis=-1)
            return ring.scatter(sums, self.v_pair, self.classes[1]).take(self.v_ids, axis=-1)
        sums = ring.scatter(values, self.v_ids, self.classes[1]).take(self.v_pair, axis=-1)
        return ring.scatter(sums, self.u_pair, self.classes[0]).take(self.u_ids, axis=-1)

    def target_group(self, row: int, *, forward: bool) -> int:
        """Class of the row."""
        return int((self.v_ids if forward else self.u_ids)[row])

    def partners(self, group: int, *, forward: bool) -> IntArray:
        """Rows of all classes paired with this one."""
        pairs = self.pair_index[1 if forward else 0].rows(group, group + 1)
        classes = (self.u_pair if forward else self.v_pair)[pairs]
        index = self.index[0 if forward else 1]
        rows = [index.rows(int(number), int(number) + 1) for number in classes]
        return np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same classes and pairs over fewer rows."""
        return pair_edge(
            self.u_ids[keep_u], self.v_ids[keep_v], self.u_pair, self.v_pair, self.classes
        )


def pair_edge(
    u_ids: IntArray,
    v_ids: IntArray,
    u_pair: IntArray,
    v_pair: IntArray,
    classes: tuple[int, int],
) -> PairEdge:
    """Edge over class numbers of both sides and the matched pairs of classes."""
    return PairEdge(
        u_ids,
        v_ids,
        u_pair,
        v_pair,
        classes,
        (GroupIndex(u_ids, classes[0]), GroupIndex(v_ids, classes[1])),
        (GroupIndex(u_pair, classes[0]), GroupIndex(v_pair, classes[1])),
    )


@dataclass(frozen=True, eq=False)
class IntervalEdge:
    """Separator with several orders whose partners form one range: the corners of a window.

    One side's rows (``at``) stand at single levels; a row of the other side agrees with all
    levels ``first .. end - 1``. This is the case if, within a separator value, the numbers of
    the standing side rise and fall together. Messages are range sums and covering sums:
    linear for counts, with one logarithm for minima.
    """

    at: IntArray
    first: IntArray
    end: IntArray
    levels: int
    ranges_are_u: bool
    index: GroupIndex

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by level and over each range; or cover the levels and take."""
        if forward == self.ranges_are_u:
            return ring.cover(values, self.first, self.end, self.levels).take(self.at, axis=-1)
        sums = ring.scatter(values, self.at, self.levels)
        return ring.between(sums, self.first, self.end)

    def target_group(self, row: int, *, forward: bool) -> int:
        """Level of a standing row; a row with a range is a group of its own."""
        return int(self.at[row]) if forward == self.ranges_are_u else row

    def partners(self, group: int, *, forward: bool) -> IntArray:
        """Rows whose range contains the level; or rows of the levels in the range."""
        if forward == self.ranges_are_u:
            return np.flatnonzero((self.first <= group) & (group < self.end))
        return self.index.rows(int(self.first[group]), int(self.end[group]))

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same levels over fewer rows."""
        ranges, standing = (keep_u, keep_v) if self.ranges_are_u else (keep_v, keep_u)
        return interval_edge(
            self.at[standing],
            (self.first[ranges], self.end[ranges]),
            self.levels,
            ranges_are_u=self.ranges_are_u,
        )


def interval_edge(
    at: IntArray, ranges: tuple[IntArray, IntArray], levels: int, *, ranges_are_u: bool
) -> IntervalEdge:
    """Edge over the levels of the standing side and the ranges of the other."""
    return IntervalEdge(at, *ranges, levels, ranges_are_u, GroupIndex(at, levels))
