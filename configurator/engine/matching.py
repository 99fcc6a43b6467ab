"""Number the groups of an edge: separator values, staircase levels, matched classes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray, distinct, distinct_positions, narrow
from configurator.engine.semiring import Segments, segments_of
from configurator.engine.separator import (
    DENSE_KEYS,
    Edge,
    EqualityEdge,
    IntervalEdge,
    PairEdge,
    StaircaseEdge,
)

PAIR_CHUNK = 1 << 20
"""Candidate class pairs compared at once."""


@dataclass(frozen=True, eq=False)
class Order:
    """One comparison on an edge: ``low`` on one side's rows, ``high`` on the other's.

    Both arrays hold ranks in ``-1 .. levels``, shape ``(rows of that side,)``.
    """

    low: IntArray
    high: IntArray
    low_is_u: bool
    levels: int


@dataclass(frozen=True, eq=False)
class Match:
    """An edge and the rows of both sides that have a partner across it."""

    edge: Edge
    alive_u: BoolArray
    alive_v: BoolArray


Shared = tuple[IntArray, IntArray, int]
"""A shared column: its values on the rows of ``u``, on those of ``v``, and its width."""


def match_rows(rows: tuple[int, int], shared: Sequence[Shared], orders: Sequence[Order]) -> Match:
    """Build the edge of two clusters.

    Parameters
    ----------
    rows : (int, int)
        Number of rows of ``u`` and ``v``.
    shared : sequence of (column of u, column of v, width)
        Columns that must be equal, values in ``0..width-1``.
    orders : sequence of Order
        Comparisons that must hold; none gives a plain separator, one a staircase, several
        ranges of levels if the numbers of a side rise together, else matched pairs.
    """
    u_ids, v_ids, groups = separator_ids(rows, shared)
    if not orders:
        in_u = np.zeros(groups, dtype=np.bool_)
        in_v = np.zeros(groups, dtype=np.bool_)
        in_u[u_ids] = True
        in_v[v_ids] = True
        equal = EqualityEdge(narrow(u_ids, groups), narrow(v_ids, groups), groups)
        return Match(equal, in_v[u_ids], in_u[v_ids])
    steps = [_staircase(u_ids, v_ids, groups, order) for order in orders]
    if len(orders) == 1:
        step = steps[0]
        edge = StaircaseEdge(step.low, step.high, step.segments, low_is_u=orders[0].low_is_u)
        alive_low, alive_high = step.alive_low, np.ones(len(step.high), dtype=np.bool_)
        if orders[0].low_is_u:
            return Match(edge, alive_low, alive_high)
        return Match(edge, alive_high, alive_low)
    return _match_classes(rows, steps, orders)


def separator_ids(
    rows: tuple[int, int], shared: Sequence[Shared]
) -> tuple[IntArray, IntArray, int]:
    """Group number of every row on both sides; equal numbers where all columns are equal."""
    u_ids = np.zeros(rows[0], dtype=np.int64)
    v_ids = np.zeros(rows[1], dtype=np.int64)
    groups = 1
    for u_column, v_column, width in shared:
        if groups * width >= 1 << 62:
            u_ids, v_ids, groups = _compact(u_ids, v_ids, groups)
        u_ids = u_ids * width + u_column
        v_ids = v_ids * width + v_column
        groups *= max(width, 1)
    if groups > rows[0] + rows[1]:
        u_ids, v_ids, groups = _compact(u_ids, v_ids, groups)
    return u_ids, v_ids, groups


def _compact(u_ids: IntArray, v_ids: IntArray, groups: int) -> tuple[IntArray, IntArray, int]:
    """Number the groups that occur, without gaps: by a table if it fits, else by searching."""
    values = distinct(np.concatenate([distinct(u_ids), distinct(v_ids)]))
    if groups <= DENSE_KEYS:
        number = np.empty(groups, dtype=np.int64)  # only the groups that occur are read
        number[values] = np.arange(len(values))
        return number[u_ids], number[v_ids], max(len(values), 1)
    u_ids, v_ids = np.searchsorted(values, u_ids), np.searchsorted(values, v_ids)
    return u_ids, v_ids, max(len(values), 1)


@dataclass(frozen=True, eq=False)
class _Staircase:
    low: IntArray
    high: IntArray
    alive_low: BoolArray
    segments: Segments


def _staircase(u_ids: IntArray, v_ids: IntArray, groups: int, order: Order) -> _Staircase:
    """Levels of one comparison, numbered across all separator values.

    The levels are the (separator, number) pairs that occur on the high side, coded as
    ``separator * span + number``. A low row stands at the first pair not below its own; it
    has no partner if that pair belongs to another separator value.
    """
    low_ids, high_ids = (u_ids, v_ids) if order.low_is_u else (v_ids, u_ids)
    span = order.levels + 2
    low_code = low_ids * span + (order.low + 1)
    high_code = high_ids * span + (order.high + 1)
    if groups * span <= DENSE_KEYS:
        occurs = np.zeros(groups * span + 1, dtype=np.bool_)
        occurs[high_code] = True
        below = np.r_[0, np.cumsum(occurs)]
        codes = np.flatnonzero(occurs)
        low, high = below[low_code], below[high_code]
    else:
        codes = distinct(high_code)
        low, high = np.searchsorted(codes, low_code), np.searchsorted(codes, high_code)
    number = codes // span
    alive = low < len(codes)
    low = np.minimum(low, max(len(codes) - 1, 0))
    if len(codes):
        alive &= number[low] == low_ids
    if len(number):
        number = np.cumsum(np.r_[False, number[1:] != number[:-1]], dtype=np.int64)
    else:
        number, high = np.zeros(1, dtype=np.int64), np.zeros(len(high), dtype=np.int64)
    return _Staircase(low, high, alive, segments_of(number))


def _match_classes(
    rows: tuple[int, int], steps: Sequence[_Staircase], orders: Sequence[Order]
) -> Match:
    alive_u = np.ones(rows[0], dtype=np.bool_)
    alive_v = np.ones(rows[1], dtype=np.bool_)
    u_levels, v_levels = [], []
    for step, order in zip(steps, orders, strict=True):
        if order.low_is_u:
            alive_u &= step.alive_low
            u_levels.append(step.low)
            v_levels.append(step.high)
        else:
            alive_v &= step.alive_low
            u_levels.append(step.high)
            v_levels.append(step.low)
    u_ids, u_classes = _classes(u_levels)
    v_ids, v_classes = _classes(v_levels)
    for ranges_are_u in (True, False):
        interval = _intervals(
            (u_ids, v_ids), (u_classes, v_classes), steps, orders, ranges_are_u=ranges_are_u
        )
        if interval is not None:
            edge, alive_ranges = interval
            if ranges_are_u:
                return Match(edge, alive_u & alive_ranges, alive_v)
            return Match(edge, alive_u, alive_v & alive_ranges)
    u_pair, v_pair = _matched_pairs(u_classes, v_classes, steps[0].segments.end, orders)
    in_u = np.zeros(u_classes.shape[1], dtype=np.bool_)
    in_v = np.zeros(v_classes.shape[1], dtype=np.bool_)
    in_u[u_pair] = True
    in_v[v_pair] = True
    edge = PairEdge(u_ids, v_ids, u_pair, v_pair, (u_classes.shape[1], v_classes.shape[1]))
    return Match(edge, alive_u & in_u[u_ids], alive_v & in_v[v_ids])


def _intervals(
    ids: tuple[IntArray, IntArray],
    classes: tuple[IntArray, IntArray],
    steps: Sequence[_Staircase],
    orders: Sequence[Order],
    *,
    ranges_are_u: bool,
) -> tuple[Edge, BoolArray] | None:
    """Ranges of classes, if the standing side's numbers all rise together; None if not.

    Sorted by the first order's level, the other levels of the standing classes must not
    fall (levels of later separator values are higher anyway). Each order then bounds the
    partners of a row from below, where the row is its low side, or from above.
    """
    standing = classes[1] if ranges_are_u else classes[0]
    moving = classes[0] if ranges_are_u else classes[1]
    sequence = np.lexsort(standing[::-1])
    ordered = standing[:, sequence]
    if (ordered[:, 1:] < ordered[:, :-1]).any():
        return None
    first = np.zeros(moving.shape[1], dtype=np.int64)
    end = np.full(moving.shape[1], standing.shape[1], dtype=np.int64)
    for number, (step, order) in enumerate(zip(steps, orders, strict=True)):
        level = moving[number]
        if order.low_is_u == ranges_are_u:
            first = np.maximum(first, np.searchsorted(ordered[number], level, side="left"))
            top = step.segments.end[level] - 1
            end = np.minimum(end, np.searchsorted(ordered[number], top, side="right"))
        else:
            end = np.minimum(end, np.searchsorted(ordered[number], level, side="right"))
            bottom = step.segments.first[level]
            first = np.maximum(first, np.searchsorted(ordered[number], bottom, side="left"))
    alive = first < end
    first, end = np.where(alive, first, 0), np.where(alive, end, min(1, len(sequence)))
    place = np.empty(len(sequence), dtype=np.int64)
    place[sequence] = np.arange(len(sequence))
    moving_ids, standing_ids = ids if ranges_are_u else ids[::-1]
    ranges = (first[moving_ids], end[moving_ids])
    edge = IntervalEdge(place[standing_ids], *ranges, len(sequence), ranges_are_u=ranges_are_u)
    return edge, alive[moving_ids]


def _classes(levels: Sequence[IntArray]) -> tuple[IntArray, IntArray]:
    """Distinct level tuples: class of each row, and the tuples, shape ``(orders, classes)``."""
    ids = np.zeros(len(levels[0]), dtype=np.int64)
    for column in levels:
        width = int(column.max(initial=0)) + 1
        ids = distinct_positions(ids * width + column)[1]
    classes = int(ids.max(initial=-1)) + 1
    member = np.zeros(classes, dtype=np.int64)
    member[ids] = np.arange(len(ids))
    return ids, np.stack([column[member] for column in levels])


def _matched_pairs(
    u_classes: IntArray,
    v_classes: IntArray,
    ends: IntArray,
    orders: Sequence[Order],
) -> tuple[IntArray, IntArray]:
    """All class pairs that hold every order, found along the first order's staircase.

    The classes of the first order's high side are sorted by level; the candidates of a low
    class are then one contiguous range of its separator value (``ends`` bounds it), and the
    other orders filter it.
    """
    first = orders[0]
    low, high = (u_classes, v_classes) if first.low_is_u else (v_classes, u_classes)
    by_level = np.argsort(high[0], kind="stable")
    sorted_levels = high[0][by_level]
    start = np.searchsorted(sorted_levels, low[0], side="left")
    end = np.searchsorted(sorted_levels, ends[low[0]] - 1, side="right")
    counts = np.maximum(end - start, 0)
    totals = np.r_[0, np.cumsum(counts)]
    found_low, found_high = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    begin = 0
    while begin < len(counts):
        stop = int(np.searchsorted(totals, totals[begin] + PAIR_CHUNK, side="right")) - 1
        stop = min(max(stop, begin + 1), len(counts))
        lows = np.repeat(np.arange(begin, stop), counts[begin:stop])
        offset = np.arange(len(lows)) - np.repeat(
            totals[begin:stop] - totals[begin], counts[begin:stop]
        )
        highs = by_level[start[lows] + offset]
        keep = np.ones(len(lows), dtype=np.bool_)
        for number, order in enumerate(orders[1:], start=1):
            same = order.low_is_u == first.low_is_u
            smaller, larger = (low, high) if same else (high, low)
            small_at, large_at = (lows, highs) if same else (highs, lows)
            keep &= smaller[number][small_at] <= larger[number][large_at]
        found_low.append(lows[keep])
        found_high.append(highs[keep])
        begin = stop
    lows, highs = np.concatenate(found_low), np.concatenate(found_high)
    return (lows, highs) if first.low_is_u else (highs, lows)
