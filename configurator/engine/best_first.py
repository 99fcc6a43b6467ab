"""Combinations from the cheapest on, for many problems at once.

The tables that hold a slot are joined and the slot is taken at its least cost, slot after slot; the
joins are kept. They say of every choice what the best of the rest costs, so that a search from the
last slot that is left to the first that was taken out meets nothing but the combinations it lists
(bucket elimination over minimum and sum, Dechter 1999; the k best by Lawler's partition: from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from heapq import heappop, heappush

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.eliminate import MOST_CELLS, TooWideError, order_for
from configurator.engine.table import Scope, Table

NEVER = 1 << 61
"""The cost of no combination at all; real costs stay below."""


class Chain:
    """Least costs of some problems over the same slots.

    Parameters
    ----------
    tables : iterable of Table
        Flags, and whole costs of which no sum reaches `NEVER`; at least one for each slot.
    sizes : Mapping of str to int
        Values of each slot.
    first : tuple of str
        Slots that are chosen together, before all others.

    Attributes
    ----------
    slots : tuple of str
        The others, in the order in which they are chosen.
    root : ndarray of int
        Shape (problems or 1, ...), an axis for each of the first slots: the least cost of the rest.
    """

    def __init__(
        self, tables: Iterable[Table], sizes: Mapping[str, int], first: Scope = ()
    ) -> None:
        left = [table.narrowed() for table in tables]
        out = order_for(left, sizes, first)
        self.slots = tuple(reversed(out))
        self._columns: dict[str, Table] = {}
        ordered = (*first, *self.slots)
        for slot in out:
            held = [table for table in left if slot in table.scope]
            left = [table for table in left if slot not in table.scope]
            names = {name for table in held for name in table.scope} - {slot}
            scope = (*(name for name in ordered if name in names), slot)
            found = summed(held, scope)
            self._columns[slot] = Table(scope, found)
            left.append(Table(scope[:-1], found.min(axis=-1, initial=NEVER)))
        shape = [sizes[slot] for slot in first]
        root = summed(left, first)
        self.root = np.broadcast_to(root, (len(root), *shape))

    def column(self, slot: str, problem: int, chosen: Mapping[str, int]) -> IntArray:
        """What each value of a slot costs with the best of all behind it, but for a constant.

        Parameters
        ----------
        slot : str
            Not one of the first.
        problem : int
            Which of the problems.
        chosen : Mapping of str to int
            The values of the slots before it.
        """
        table = self._columns[slot]
        shape = table.values.shape
        at = [problem if shape[0] > 1 else 0]
        at += [chosen[n] if s > 1 else 0 for n, s in zip(table.scope[:-1], shape[1:], strict=False)]
        found: IntArray = table.values[tuple(at)]
        return found


def summed(tables: Sequence[Table], scope: Scope) -> IntArray:
    """The sum of costs over a scope, `NEVER` where any flag forbids it."""
    every = sorted((table.values.size, not table.of_flags, at) for at, table in enumerate(tables))
    laid = [tables[at].over(scope) for _, _, at in every]
    shape = np.broadcast_shapes((1,) * (len(scope) + 1), *(values.shape for values in laid))
    if math.prod(shape) > MOST_CELLS:
        raise TooWideError
    total: IntArray = np.zeros((1,) * (len(scope) + 1), dtype=np.int64)
    passes: BoolArray | None = None
    for values in laid:
        if values.dtype == np.bool_:
            passes = values if passes is None else passes & values
        else:
            total = total + values
            np.minimum(total, NEVER, out=total)
    return total if passes is None else np.where(passes, total, NEVER)


class _Sorted:
    """Values from the least on, sorted as far as somebody asks."""

    FEW = 32

    def __init__(self, values: IntArray) -> None:
        self._values = values
        self._ranked: list[tuple[int, int]] = []

    def get(self, rank: int) -> tuple[int, int] | None:
        """Place and value; None past the last that is possible."""
        if rank >= len(self._ranked) and len(self._ranked) < len(self._values):
            wanted, values = max(self.FEW, 4 * rank), self._values
            places: IntArray = np.arange(len(values))
            if wanted < len(values):
                places = np.flatnonzero(values <= np.partition(values, wanted)[wanted])
            places = places[np.argsort(values[places], kind="stable")]
            self._ranked = list(zip(places.tolist(), values[places].tolist(), strict=True))
        if rank >= len(self._ranked) or self._ranked[rank][1] >= NEVER:
            return None
        return self._ranked[rank]


def best_first(
    depth: int, column: Callable[[tuple[int, ...]], IntArray]
) -> Iterator[tuple[int, tuple[int, ...]]]:
    """Yield (cost, choices) from the cheapest on, lazily.

    Parameters
    ----------
    depth : int
        Number of choices of each combination.
    column : callable
        `column(choices)` gives the costs of the values of the next one, the best of the rest
        included; those of later ones but for a constant.
    """
    known: dict[tuple[int, ...], _Sorted] = {}

    def choice(before: tuple[int, ...], rank: int) -> tuple[int, int] | None:
        if before not in known:
            known[before] = _Sorted(column(before))
        return known[before].get(rank)

    heap: list[tuple[int, int, tuple[int, ...]]] = []
    start = choice((), 0)
    if start is not None:
        heappush(heap, (start[1], 0, ()))
    while heap:
        cost, rank, chosen = heappop(heap)
        for _ in range(len(chosen), depth):
            here, following = choice(chosen, rank), choice(chosen, rank + 1)
            assert here is not None  # whatever is left can be completed
            if following is not None:
                heappush(heap, (cost - here[1] + following[1], rank + 1, chosen))
            chosen, rank = (*chosen, here[0]), 0
        yield cost, chosen
