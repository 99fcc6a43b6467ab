"""What comes first in a list of builds: the least cost, then the places of the parts."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import IntArray
from configurator.engine.eliminate import NEVER
from configurator.engine.partition import Partition


class BuildOrder:
    """Builds by the sum of their parts' costs, then by the places of their parts.

    Parameters
    ----------
    costs : Mapping of str to ndarray of int
        By slot, a whole cost of each part.
    """

    CAPACITY = 1 << 60

    def __init__(self, costs: Mapping[str, IntArray]) -> None:
        self._slots = tuple(costs)
        span = 1 + sum(int(cost.max(initial=0)) for cost in costs.values())
        strides: dict[str, int] = {}
        digit_of: dict[str, int] = {}
        digit, stride = 0, 1
        # From the last slot on: each digit of a key holds as many slots as fit.
        for slot in reversed(self._slots):
            size = max(len(costs[slot]), 1)
            if stride * size * span >= self.CAPACITY:
                digit, stride = digit + 1, 1
            digit_of[slot], strides[slot] = digit, stride
            stride *= size
        self.digits = digit + 1
        self._strides = strides
        self._digit_of = {slot: self.digits - 1 - at for slot, at in digit_of.items()}
        self._stride = stride
        self.exact = span * stride < self.CAPACITY
        """True if no sum of costs leaves the numbers that hold it."""
        self._keys = {slot: self._keys_of(slot, cost) for slot, cost in costs.items()}
        self._ranks = {slot: np.lexsort((np.arange(len(c)), c)) for slot, c in costs.items()}

    def _keys_of(self, slot: str, cost: IntArray) -> IntArray:
        keys = np.zeros((self.digits, len(cost)), dtype=np.int64)
        keys[0] += cost * self._stride
        keys[self._digit_of[slot]] += np.arange(len(cost)) * self._strides[slot]
        return keys

    def first_of(
        self, slot: str, kinds: Partition, passes: NDArray[np.bool_]
    ) -> tuple[IntArray, ...]:
        """Digits of the first part of each kind that passes; `NEVER` in front if none does."""
        order = self._ranks[slot]
        rank = np.empty(len(order), dtype=np.int64)
        rank[order] = np.arange(len(order))
        first = kinds.least_of(np.where(passes, rank, len(order)))
        none = first == len(order)
        at = order[np.where(none, 0, first)] if len(order) else first
        digits = self._keys[slot][:, at]
        digits[0][none] = NEVER
        return tuple(digits)

    def places_of(self, keys: IntArray) -> IntArray:
        """The places of the parts that keys stand for; shape (problems, slots)."""
        rest = keys.copy()
        rest[0] %= self._stride
        columns = {}
        for slot in self._slots:
            digit, stride = self._digit_of[slot], self._strides[slot]
            columns[slot], rest[digit] = rest[digit] // stride, rest[digit] % stride
        return np.stack([columns[slot] for slot in self._slots], axis=1).astype(np.intp)
