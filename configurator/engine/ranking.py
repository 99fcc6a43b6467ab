"""The k best builds, lazily and in a strict order (ranked enumeration on a join tree).

One tropical pass toward a root gives each row the cost of its best completion below it. The
builds then come out one by one: a build is a choice of one row per cluster, parents before
children; among the rows that agree with the chosen parent row, a child's choices are ordered
by best completion. The successors of a build take the next choice at one position and the
best choices after it (Lawler's partition), so that every build is reached exactly once, and a
heap yields them in order. Nothing limits how far the enumeration goes.
"""

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

import numpy as np

from configurator.engine.arrays import AnyArray, IntArray
from configurator.engine.assembly import JoinTree, look_up
from configurator.engine.messages import MessagePass
from configurator.engine.relation import MalformedSpaceError
from configurator.engine.tropical import LIMB_CAPACITY, Tropical, pack_digits

Key = tuple[int, ...]
"""A build's total, limb by limb: its cost, then its value positions."""

CostTable = tuple[tuple[int, ...], IntArray]
"""Slot numbers and a cost for every tuple of their live positions."""


class Choices:
    """Rows of one cluster in the order of their completion costs, sorted as far as asked."""

    def __init__(self, rows: IntArray, costs: AnyArray) -> None:
        self._rows = rows
        self._costs = costs[:, rows]
        self._order: IntArray = np.zeros(0, dtype=np.int64)

    def get(self, rank: int) -> tuple[int, Key] | None:
        """Row number and cost of the choice at a rank; None past the last."""
        if rank >= len(self._rows):
            return None
        if rank >= len(self._order):
            self._sort(max(32, 4 * (rank + 1)))
        place = self._order[rank]
        return int(self._rows[place]), tuple(int(limb) for limb in self._costs[:, place])

    def _sort(self, wanted: int) -> None:
        """Order at least the ``wanted`` cheapest: all whose first limb is small enough."""
        leading = self._costs[0]
        places = np.arange(len(leading))
        if wanted < len(leading):
            bound = np.partition(leading, wanted)[wanted]
            places = np.flatnonzero(leading <= bound)
        keys = self._costs[:, places]
        self._order = places[np.lexsort(keys[::-1])]


class Ranking:
    """Builds from the cheapest on, ties in lexicographic order of value positions.

    Parameters
    ----------
    tree : JoinTree
        Reduced join tree.
    widths : sequence of int
        Live values of each slot.
    costs : sequence of (scope, table)
        Additive costs; every scope must lie in one cluster.

    Raises
    ------
    MalformedSpaceError
        If the costs' total range leaves 64-bit arithmetic.
    """

    def __init__(
        self,
        tree: JoinTree,
        widths: Sequence[int],
        costs: Sequence[CostTable],
    ) -> None:
        self._tree = tree
        self._widths = tuple(widths)
        self._floor = sum(int(table.min()) for _, table in costs)
        span = 1 + sum(int(table.max()) - int(table.min()) for _, table in costs)
        if span >= LIMB_CAPACITY:
            raise MalformedSpaceError("the costs add up to more than 2^59: scale them down")
        limbs, self._stride, self._places = pack_digits(span, self._widths)
        weights = digit_rows(tree, limbs, self._places)
        for home, numbers in placed(tree, costs):
            weights[home][0] += numbers * self._stride
        local = dict(enumerate(weights))
        ring = Tropical(limbs)
        passed = MessagePass(tree.plan, tree.edges, tree.rows, ring, local)
        self._parent = tree.plan.rooted(tree.largest)
        self._order = list(self._parent)
        self._completion = {
            number: passed.product(number, leave_out=self._parent[number]) for number in self._order
        }
        self._choices: dict[tuple[int, int], Choices] = {}

    def __iter__(self) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Yield ``(cost, live positions of all slots)``, cheapest first."""
        heap: list[tuple[Key, int, int, tuple[int, ...]]] = []
        first = self._choose(0, ()).get(0)
        if first is not None:
            heappush(heap, (first[1], 0, 0, ()))
        while heap:
            key, position, rank, prefix = heappop(heap)
            yield self._decode(key)
            rows = prefix
            for place in range(position, len(self._order)):
                choices = self._choose(place, rows)
                at = rank if place == position else 0
                here, following = choices.get(at), choices.get(at + 1)
                assert here is not None, "a reduced tree has a completion for every row"
                if following is not None:
                    total = tuple(
                        limb - old + new
                        for limb, old, new in zip(key, here[1], following[1], strict=True)
                    )
                    heappush(heap, (total, place, at + 1, rows))
                rows = (*rows, here[0])

    def _choose(self, position: int, rows: tuple[int, ...]) -> Choices:
        """Choices of the cluster at a position, given the rows chosen before it."""
        cluster = self._order[position]
        parent = self._parent[cluster]
        if parent < 0:
            known = self._choices.get((cluster, 0))
            if known is None:
                every = np.arange(self._tree.rows[cluster])
                known = self._choices[cluster, 0] = Choices(every, self._completion[cluster])
            return known
        edge = self._tree.edges[min(cluster, parent), max(cluster, parent)]
        forward = cluster < parent
        group = edge.target_group(rows[self._order.index(parent)], forward=forward)
        if (cluster, group) not in self._choices:
            partners = edge.partners(group, forward=forward)
            self._choices[cluster, group] = Choices(partners, self._completion[cluster])
        return self._choices[cluster, group]

    def _decode(self, key: Key) -> tuple[int, tuple[int, ...]]:
        return key[0] // self._stride + self._floor, digits_in(key, self._places, self._widths)


def placed(tree: JoinTree, costs: Sequence[CostTable]) -> Iterator[tuple[int, IntArray]]:
    """For each cost, a cluster that decides it, and what it adds there to each row's least."""
    for scope, table in costs:
        home = tree.home(scope)
        assert home is not None, "the caller looked for a cluster with this scope"
        yield home, look_up(tree.clusters[home], scope, table - int(table.min()))


def digit_rows(tree: JoinTree, limbs: int, places: Sequence[tuple[int, int]]) -> list[IntArray]:
    """Value positions on the rows of each cluster, ``(limbs, rows)``; each slot in one cluster."""
    found = [np.zeros((limbs, rows), dtype=np.int64) for rows in tree.rows]
    for slot, (limb, stride) in enumerate(places):
        home = tree.home((slot,))
        assert home is not None, "every slot is in some cluster"
        found[home][limb] += tree.clusters[home].columns[slot] * stride
    return found


def digits_in(
    key: Sequence[int], places: Sequence[tuple[int, int]], widths: Sequence[int]
) -> tuple[int, ...]:
    """The value position of every slot in a sum of digits."""
    return tuple(
        key[limb] // stride % max(width, 1)
        for (limb, stride), width in zip(places, widths, strict=True)
    )
