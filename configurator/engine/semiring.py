"""Commutative semirings that messages are computed in.

A join tree does the same two things whatever it computes: it multiplies weights along a row
and sums rows that agree on a separator. What "multiply" and "sum" mean is the semiring:

=========  =================  ==================  ===============================
semiring   multiply           sum                 answers
=========  =================  ==================  ===============================
Boolean    and                or                  does a build exist (semijoin)
Counting   product            sum                 how many builds
Residues   product mod p      sum mod p           how many, beyond 2^53
=========  =================  ==================  ===============================

Every array has its rows on the last axis. ``scatter`` sums rows by group, shape
``(rows,) -> (groups,)``; ``prefix`` and ``suffix`` are running sums inside the segments of a
staircase, shape ``(levels,) -> (levels,)``.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from configurator.engine.arrays import AnyArray, IntArray


@dataclass(frozen=True, eq=False)
class Segments:
    """Levels of a staircase, grouped: all levels of one separator value are adjacent.

    ``number[l]`` is the segment of level ``l`` (ascending), ``first[l]`` and ``end[l]`` the
    bounds of that segment.
    """

    number: IntArray
    first: IntArray
    end: IntArray

    @property
    def levels(self) -> int:
        """How many levels all segments have together."""
        return len(self.number)


def segments_of(number: IntArray) -> Segments:
    """Segments from an ascending array of segment numbers."""
    starts = np.flatnonzero(np.r_[True, number[1:] != number[:-1]]) if len(number) else number
    lengths = np.diff(np.r_[starts, len(number)])
    return Segments(
        number=number,
        first=np.repeat(starts, lengths),
        end=np.repeat(starts + lengths, lengths),
    )


class Semiring(Protocol):
    """What a message pass needs."""

    def ones(self, rows: int) -> AnyArray:
        """The neutral weight of every row."""

    def times(self, left: AnyArray, right: AnyArray) -> AnyArray:
        """Row by row product."""

    def scatter(self, values: AnyArray, ids: IntArray, groups: int) -> AnyArray:
        """Sum of the rows of each group."""

    def prefix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Sum from the segment's first level up to each level."""

    def suffix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Sum from each level up to the segment's last."""

    def between(self, values: AnyArray, first: IntArray, end: IntArray) -> AnyArray:
        """Sum over the levels ``first[r] .. end[r] - 1`` for each row ``r``; never empty."""

    def cover(self, values: AnyArray, first: IntArray, end: IntArray, levels: int) -> AnyArray:
        """Sum at each level over the rows whose range ``first .. end - 1`` contains it."""


class _Sums:
    """Semirings whose sum is the ordinary one, brought back to what is counted afterwards."""

    def _reduced(self, sums: AnyArray) -> AnyArray:
        return sums

    def prefix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Running sum."""
        before = _sums_before(values)
        return self._reduced(before[1:] - before[segments.first])

    def suffix(self, values: AnyArray, segments: Segments) -> AnyArray:
        """Running sum from the end."""
        before = _sums_before(values)
        return self._reduced(before[segments.end] - before[:-1])

    def between(self, values: AnyArray, first: IntArray, end: IntArray) -> AnyArray:
        """Sum over the range, by differences of one running sum."""
        before = _sums_before(values)
        return self._reduced(before[end] - before[first])

    def cover(self, values: AnyArray, first: IntArray, end: IntArray, levels: int) -> AnyArray:
        """Running sum of what begins less what ends at each level."""
        if values.dtype == np.float64:
            begins = np.bincount(first, weights=values, minlength=levels + 1)
            changes = begins - np.bincount(end, weights=values, minlength=levels + 1)
        else:
            changes = np.zeros(levels + 1, dtype=np.int64)
            np.add.at(changes, first, values)
            np.subtract.at(changes, end, values)
        return self._reduced(np.cumsum(changes)[:levels])


class Boolean(_Sums):
    """Exists / does not exist; arrays of bool."""

    def _reduced(self, sums: AnyArray) -> AnyArray:
        return sums > 0

    def ones(self, rows: int) -> AnyArray:
        """True on every row."""
        return np.ones(rows, dtype=np.bool_)

    def times(self, left: AnyArray, right: AnyArray) -> AnyArray:
        """Both."""
        return left & right

    def scatter(self, values: AnyArray, ids: IntArray, groups: int) -> AnyArray:
        """Whether any row of the group is true."""
        found = np.zeros(groups, dtype=np.bool_)
        found[ids[values]] = True
        return found


class Counting(_Sums):
    """Numbers of builds in 64-bit floats; exact while no value reaches 2^53."""

    def ones(self, rows: int) -> AnyArray:
        """One build a row."""
        return np.ones(rows, dtype=np.float64)

    def times(self, left: AnyArray, right: AnyArray) -> AnyArray:
        """Product of counts."""
        return left * right

    def scatter(self, values: AnyArray, ids: IntArray, groups: int) -> AnyArray:
        """Sum of counts by group."""
        return np.bincount(ids, weights=values, minlength=groups)


class Residues(_Sums):
    """Numbers of builds modulo one prime below 2^31, in int64.

    Products stay below 2^62 and sums of up to 2^21 rows below 2^53, so nothing is lost before
    the remainder is taken. Several primes together give the number itself (Chinese
    remainder theorem).
    """

    def __init__(self, prime: int) -> None:
        self.prime = prime

    def _reduced(self, sums: AnyArray) -> AnyArray:
        return sums % self.prime

    def ones(self, rows: int) -> AnyArray:
        """One build a row."""
        return np.ones(rows, dtype=np.int64)

    def times(self, left: AnyArray, right: AnyArray) -> AnyArray:
        """Product, reduced."""
        return left * right % self.prime

    def scatter(self, values: AnyArray, ids: IntArray, groups: int) -> AnyArray:
        """Sum by group, reduced."""
        if len(ids) <= 1 << 21:
            sums = np.bincount(ids, weights=values, minlength=groups).astype(np.int64)
        else:
            sums = np.zeros(groups, dtype=np.int64)
            np.add.at(sums, ids, values)
        return sums % self.prime


def _sums_before(values: AnyArray) -> AnyArray:
    """Sum of all values before each place, ``(levels,) -> (levels + 1,)``; bool as integers."""
    kind = np.int64 if values.dtype == np.bool_ else values.dtype
    before = np.zeros(len(values) + 1, dtype=kind)
    np.cumsum(values, out=before[1:])
    return before
