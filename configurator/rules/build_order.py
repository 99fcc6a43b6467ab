"""Builds of one request or of many up to a level, in order, without ever listing them all.

Behind one pair of mixer and tip the sides of a build hardly know each other. What a pair and the
best of each side by itself cost bounds every build behind it from below; only pairs whose bound is
reached are looked into. There each side, cut by its size, is a chain of least costs; where two
sides meet in a rule, the slots that such rules read are laid against each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce
from heapq import heappop, heappush
from itertools import islice, product

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import IntArray, distinct
from configurator.engine.best_first import NEVER, best_first
from configurator.rules.priced import Cut, Met, PricedParts, PricedSide

FEW = 3
"""Pairs of mixer and tip of a request that are looked into at once, before any bound is known."""

MANY = 96
"""The same once others have been looked into: where nothing passes, it is so behind most of them."""

MOST_ALIKE = 4_096
"""Builds of one key that are put in the order of their names; of more, the first that are found."""

Places = tuple[int, ...]
"""By slot of the frame, the place of a build's part."""


class BuildOrder:
    """Builds up to a level by state-free key: figure asked for, steps, comfort, cost, names.

    Parameters
    ----------
    priced : PricedParts
        The parts, up to which level, and what makes the key.
    """

    def __init__(self, priced: PricedParts) -> None:
        self.priced = priced
        bounds = [self._least(cuts) for cuts in self.priced.sides]
        self.bounds: IntArray = np.minimum(sum(bounds, self.priced.own), NEVER)
        self._sides: dict[int, tuple[list[list[PricedSide]], int]] = {}
        self._met: dict[int, _Behind] = {}

    def _least(self, cuts: Sequence[Cut]) -> IntArray:
        """What the best of a side costs at least behind each pair."""
        least = np.full(len(self.priced.rows), NEVER)
        for cut in cuts:
            root = cut.least()
            here = root[self.priced.rows] if len(root) > 1 else root
            least = np.minimum(least, np.where(cut.stands, here, NEVER))
        return least

    def first(self) -> IntArray:
        """Places of the parts of each request's first build; shape (problems, slots).

        Requests without a build get places that mean nothing.
        """
        found = np.zeros(
            (len(self.priced.standing[self.priced.slots[0]]), len(self.priced.slots)), dtype=np.intp
        )
        rank = np.lexsort((self.bounds, self.priced.rows))
        begin = np.searchsorted(self.priced.rows[rank], self.priced.rows[rank])
        near = rank[np.arange(len(rank)) - begin < FEW]
        best = np.full(len(found), NEVER)
        for _ in range(2):
            self._tighten(near)
            self._meet(near[self.bounds[near] <= best[self.priced.rows[near]]])
            for at, behind in self._met.items():
                best[self.priced.rows[at]] = min(best[self.priced.rows[at]], behind.least)
            near = np.flatnonzero((self.bounds <= best[self.priced.rows]) & (self.bounds < NEVER))
        for row in distinct(self.priced.rows).tolist():
            alike = islice(self.by_key(row, int(best[row])), MOST_ALIKE)
            found[row] = min((build for _, build in alike), default=found[row])
        return found

    def builds(self, row: int = 0) -> Iterator[Places]:
        """Yield the builds of a request in order, as places of their parts in the frame.

        Parameters
        ----------
        row : int
            Its place among the requests.
        """
        return (build for _, build in self.keyed(row))

    def keyed(self, row: int = 0) -> Iterator[tuple[int, Places]]:
        """Yield the same builds with their keys, one number for those alike but for their names.

        Parameters
        ----------
        row : int
            Its place among the requests.
        """
        alike: list[Places] = []
        last = -1
        for key, build in self.by_key(row):
            if key != last or len(alike) >= MOST_ALIKE:
                yield from ((last, each) for each in sorted(alike))
                alike, last = [], key
            alike.append(build)
        yield from ((last, each) for each in sorted(alike))

    def by_key(self, row: int = 0, most: int = NEVER - 1) -> Iterator[tuple[int, Places]]:
        """Yield the same by key alone, those of one key as they are found.

        Parameters
        ----------
        row : int
            Its place among the requests.
        most : int
            Keys that are yielded at most.
        """
        waiting = np.flatnonzero((self.priced.rows == row) & (self.bounds <= most))
        waiting = waiting[np.argsort(self.bounds[waiting], kind="stable")]
        bounds = self.bounds[waiting]
        near: list[tuple[int, int]] = []
        heap: list[tuple[int, int]] = []
        streams: dict[int, Iterator[tuple[int, Places]]] = {}
        ready: dict[int, Places] = {}

        def go_on(at: int) -> None:
            following = next(streams[at], None)
            if following is not None:
                ready[at] = following[1]
                heappush(heap, (following[0], at))

        step = begin = 0
        deep = FEW
        while begin < len(waiting) or near or heap:
            reached = min(near[0][0] if near else NEVER, heap[0][0] if heap else NEVER)
            if begin < len(waiting) and bounds[begin] <= reached:
                step = 2 * step or FEW
                some = waiting[begin : begin + step]
                begin += step
                self._tighten(some)
                for at in some[self.bounds[some] <= most].tolist():
                    heappush(near, (int(self.bounds[at]), at))
            elif near and near[0][0] == reached:
                some = np.array([heappop(near)[1] for _ in range(min(deep, len(near)))])
                deep = min(2 * deep, MANY)
                self._meet(some)
                for at in some.tolist():
                    streams[at] = iter(self._met[at].builds())
                    go_on(at)
            else:
                key, at = heappop(heap)
                if key > most:
                    return
                yield key, ready[at]
                go_on(at)

    def _tighten(self, which: IntArray) -> None:
        """Look at each side behind some pairs of mixer and tip, which raises their bounds."""
        fresh = np.array([at for at in which.tolist() if at not in self._sides], dtype=np.intp)
        if not len(fresh):
            return
        sides = [
            [PricedSide(cut, cut.chain(self.priced, fresh)) for cut in cuts]
            for cuts in self.priced.sides
        ]
        least: IntArray = self.priced.own[fresh]
        for cuts in sides:
            each = [side.chain.root.reshape(len(side.chain.root), -1).min(axis=1) for side in cuts]
            least = np.minimum(least + reduce(np.minimum, each, np.int64(NEVER)), NEVER)
        self.bounds[fresh] = least if sides else NEVER
        self._sides |= {at: (sides, problem) for problem, at in enumerate(fresh.tolist())}

    def _meet(self, which: IntArray) -> None:
        """Look at how the sides meet behind some pairs of mixer and tip."""
        alike: dict[int, list[int]] = {}
        for at in which.tolist():
            if at not in self._met:
                alike.setdefault(id(self._sides[at][0]), []).append(at)
        for some in alike.values():
            sides = self._sides[some[0]][0]
            problems = np.array([self._sides[at][1] for at in some])
            here = np.array(some)
            met = (
                [Met(self.priced, here, each, problems) for each in product(*sides)]
                if sides
                else []
            )
            for place, at in enumerate(some):
                self._met[at] = _Behind(self.priced, at, met, place)


class _Behind:
    """Builds behind one pair of mixer and tip."""

    def __init__(self, priced: PricedParts, at: int, met: Sequence[Met], place: int) -> None:
        self._slots, self._met, self._place = priced.slots, met, place
        self._shared = {slot: int(priced.parts[slot][at]) for slot in SHARED_SLOTS}
        roots = [int(each.root[place if len(each.root) > 1 else 0]) for each in met]
        self._keys = np.array(roots, dtype=np.int64)

    @property
    def least(self) -> int:
        """Of the first build."""
        return int(self._keys.min(initial=NEVER))

    def builds(self) -> Iterator[tuple[int, Places]]:
        """Yield (key, places of the parts)."""
        depth = 1 + len(self._met[0].slots) if self._met else 1
        for key, chosen in best_first(depth, self._column):
            met = self._met[chosen[0]]
            parts = {
                slot: int(met.parts[slot][place])
                for (slot, _, _), place in zip(met.slots, chosen[1:], strict=True)
                if slot in met.parts  # and no class of some
            }
            yield key, tuple({**parts, **self._shared}[slot] for slot in self._slots)

    def _column(self, chosen: Places) -> IntArray:
        if not chosen:
            return self._keys
        slots = self._met[chosen[0]].slots
        places = {slot: place for (slot, _, _), place in zip(slots, chosen[1:], strict=False)}
        slot, chain, problems = slots[len(chosen) - 1]
        return chain.column(slot, int(problems[self._place]), places)
