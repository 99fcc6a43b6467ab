"""Edges of the join tree: who agrees with whom across a separator.

An edge joins the rows of clusters ``u`` and ``v``. It knows for each row the *group* that the
row falls into and how groups of the two sides are matched; ``send`` turns weights of one
side's rows into a message on the other side's rows:

``(rows of source,) -scatter-> (groups,) -match-> (groups,) -take-> (rows of target,)``
"""

from dataclasses import dataclass, replace
from typing import Protocol

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.semiring import Segments, Semiring

DENSE_KEYS = 1 << 23
"""Key spaces up to this size are numbered directly, without sorting."""


class Edge(Protocol):
    """One tree edge, as a message pass needs it."""

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Message on the target's rows; ``forward`` sends from ``u`` to ``v``."""

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> "Edge":
        """The same edge after rows were dropped on both sides."""


@dataclass(frozen=True, eq=False)
class EqualityEdge:
    """Plain separator: rows agree when their shared slots are equal (a natural join).

    There may be millions of rows: their groups are held in as few bytes as they take.
    """

    u_ids: IntArray
    v_ids: IntArray
    groups: int

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by separator value, then take: ``(groups,)`` in between."""
        source, target = (self.u_ids, self.v_ids) if forward else (self.v_ids, self.u_ids)
        return ring.scatter(values, source, self.groups).take(target, axis=-1)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same separator over fewer rows."""
        return replace(self, u_ids=self.u_ids[keep_u], v_ids=self.v_ids[keep_v])


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

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by level, run along the segment, then take: ``(levels,)`` in between."""
        levels = self.segments.levels
        if forward == self.low_is_u:
            sums = ring.scatter(values, self.low_ids, levels)
            return ring.prefix(sums, self.segments).take(self.high_ids, axis=-1)
        sums = ring.scatter(values, self.high_ids, levels)
        return ring.suffix(sums, self.segments).take(self.low_ids, axis=-1)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same levels over fewer rows."""
        low, high = (keep_u, keep_v) if self.low_is_u else (keep_v, keep_u)
        return replace(self, low_ids=self.low_ids[low], high_ids=self.high_ids[high])


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

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by class, spread along the pairs, sum by class, then take."""
        if forward:
            sums = ring.scatter(values, self.u_ids, self.classes[0]).take(self.u_pair, axis=-1)
            return ring.scatter(sums, self.v_pair, self.classes[1]).take(self.v_ids, axis=-1)
        sums = ring.scatter(values, self.v_ids, self.classes[1]).take(self.v_pair, axis=-1)
        return ring.scatter(sums, self.u_pair, self.classes[0]).take(self.u_ids, axis=-1)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same classes and pairs over fewer rows."""
        return replace(self, u_ids=self.u_ids[keep_u], v_ids=self.v_ids[keep_v])


@dataclass(frozen=True, eq=False)
class IntervalEdge:
    """Separator with several orders whose partners form one range: the corners of a window.

    One side's rows (``at``) stand at single levels; a row of the other side agrees with all
    levels ``first .. end - 1``. This is the case if, within a separator value, the numbers of
    the standing side rise and fall together. Messages are range sums and covering sums.
    """

    at: IntArray
    first: IntArray
    end: IntArray
    levels: int
    ranges_are_u: bool

    def send(self, ring: Semiring, values: AnyArray, *, forward: bool) -> AnyArray:
        """Sum by level and over each range; or cover the levels and take."""
        if forward == self.ranges_are_u:
            return ring.cover(values, self.first, self.end, self.levels).take(self.at, axis=-1)
        sums = ring.scatter(values, self.at, self.levels)
        return ring.between(sums, self.first, self.end)

    def kept(self, keep_u: BoolArray, keep_v: BoolArray) -> Edge:
        """The same levels over fewer rows."""
        ranges, standing = (keep_u, keep_v) if self.ranges_are_u else (keep_v, keep_u)
        return replace(self, at=self.at[standing], first=self.first[ranges], end=self.end[ranges])
