"""The join tree as a plan: clusters, the edges between them, and threshold routes.

A maximum-weight spanning tree over the maximal bags of a chordal graph has the running
intersection property: the clusters that hold a vertex form a connected subtree. Ties of the
weight fall to the pair with fewer expected rows, so small clusters hang on small ones.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from configurator.engine.arrays import AnyArray
from configurator.engine.elimination import Bag, PrimalGraph, bag_of, members
from configurator.engine.model import LiveComparison
from configurator.engine.semiring import Semiring
from configurator.engine.separator import Edge


@dataclass(frozen=True)
class Route:
    """Where a threshold lives in the tree.

    ``path`` leads from the cluster that holds the low side's slots to the one that holds the
    high side's. A route of one cluster is a plain row filter.
    """

    comparison: LiveComparison
    path: tuple[int, ...]


@dataclass(frozen=True)
class Plan:
    """Slots of every cluster, tree edges ``(u, v)`` with ``u < v``, neighbours by cluster."""

    scopes: tuple[tuple[int, ...], ...]
    edges: tuple[tuple[int, int], ...]
    neighbours: tuple[tuple[int, ...], ...]

    def holding(self, scope: Sequence[int]) -> list[int]:
        """Clusters that contain all the given slots."""
        wanted = bag_of(scope)
        return [number for number, slots in enumerate(self.scopes) if wanted & ~bag_of(slots) == 0]

    @cached_property
    def behind(self) -> dict[tuple[int, int], frozenset[int]]:
        """For each edge, taken either way: the clusters on the side of its source."""
        found: dict[tuple[int, int], frozenset[int]] = {}
        for u, v in self.edges:
            for source, target in ((u, v), (v, u)):
                side = [source]
                for cluster in side:
                    side += [n for n in self.neighbours[cluster] if n != target and n not in side]
                found[source, target] = frozenset(side)
        return found

    def rooted(self, root: int) -> dict[int, int]:
        """The parent of each cluster (-1 for the root), parents before children."""
        parent = {root: -1}
        order = [root]
        for cluster in order:
            for beside in self.neighbours[cluster]:
                if beside not in parent:
                    parent[beside] = cluster
                    order.append(beside)
        return parent

    def path(self, start: int, goal: int) -> tuple[int, ...]:
        """The only path between two clusters of the tree."""
        parent = self.rooted(goal)
        steps = [start]
        while steps[-1] != goal:
            steps.append(parent[steps[-1]])
        return tuple(steps)


def join_tree(graph: PrimalGraph, bags: Sequence[Bag]) -> Plan:
    """Spanning tree over the bags, order vertices dropped from the clusters.

    Slots with a single live value belong to no bag; they form one cluster of one row. With
    no slots at all the plan has one empty cluster, whose single row is the empty build.
    """
    fixed = tuple(slot for slot in range(graph.slots) if slot not in graph.active)
    bags, edges = _contracted(graph, bags, _spanning_tree(graph, bags))
    slot_bits = (1 << graph.slots) - 1
    scopes = [tuple(members(bag & slot_bits)) for bag in bags]
    if fixed or not bags:
        if bags:
            edges.append((0, len(scopes)))
        scopes.append(fixed)
    around: list[list[int]] = [[] for _ in scopes]
    for left, right in sorted(edges):
        around[left].append(right)
        around[right].append(left)
    return Plan(
        scopes=tuple(scopes),
        edges=tuple(sorted(edges)),
        neighbours=tuple(tuple(sorted(beside)) for beside in around),
    )


def route(plan: Plan, comparison: LiveComparison, sizes: Sequence[float]) -> Route | None:
    """Shortest way between a cluster with the low side and one with the high side.

    Any such pair is exact, because each side is decided inside its cluster; short routes
    are cheap. None if no cluster holds one of the sides.
    """
    ways = [
        plan.path(low, high)
        for low in plan.holding(comparison.low_scope)
        for high in plan.holding(comparison.high_scope)
    ]
    if not ways:
        return None
    best = min(ways, key=lambda path: (len(path), sum(sizes[number] for number in path), path))
    return Route(comparison, best)


def _contracted(
    graph: PrimalGraph, bags: Sequence[Bag], edges: Sequence[tuple[int, int]]
) -> tuple[list[Bag], list[tuple[int, int]]]:
    """Merge a cluster into a neighbour that has all its slots and decides its orders.

    Such pairs arise because bags that differ in order vertices only are both maximal.
    """
    slot_bits = (1 << graph.slots) - 1
    merged = dict(enumerate(bags))
    around = {number: set[int]() for number in merged}
    for left, right in edges:
        around[left].add(right)
        around[right].add(left)

    def absorbs(larger: Bag, smaller: Bag) -> bool:
        orders = members((smaller & ~larger) >> graph.slots)
        return smaller & ~larger & slot_bits == 0 and all(
            any(side & ~larger == 0 for side in graph.sides[order]) for order in orders
        )

    for number in sorted(merged):
        into = next((n for n in sorted(around[number]) if absorbs(merged[n], merged[number])), -1)
        if into >= 0:
            merged[into] |= merged.pop(number)
            for beside in around.pop(number):
                around[beside].discard(number)
                if beside != into:
                    around[beside].add(into)
                    around[into].add(beside)
    place = {number: position for position, number in enumerate(merged)}
    joined = {
        (min(place[left], place[right]), max(place[left], place[right]))
        for left, beside in around.items()
        for right in beside
    }
    return list(merged.values()), sorted(joined)


def _spanning_tree(graph: PrimalGraph, bags: Sequence[Bag]) -> list[tuple[int, int]]:
    rows = [2.0 ** graph.rows(bag) for bag in bags]
    pairs = sorted(
        (-(bags[left] & bags[right]).bit_count(), rows[left] + rows[right], left, right)
        for left in range(len(bags))
        for right in range(left + 1, len(bags))
    )
    root = list(range(len(bags)))

    def find(number: int) -> int:
        while root[number] != number:
            number = root[number]
        return number

    edges = []
    for _, _, left, right in pairs:
        if find(left) != find(right):
            root[find(left)] = find(right)
            edges.append((left, right))
    return edges


class MessagePass:
    """Messages of one semiring over one tree, its edges by `(u, v)` with ``u < v``.

    `local` are weights of a cluster's own rows (masks of picks, costs); absent means neutral.
    """

    def __init__(
        self,
        plan: Plan,
        edges: Mapping[tuple[int, int], Edge],
        rows: tuple[int, ...],
        ring: Semiring,
        local: Mapping[int, AnyArray] | None = None,
    ) -> None:
        self._plan = plan
        self._edges = edges
        self._rows = rows
        self.ring = ring
        self._local: Mapping[int, AnyArray] = local or {}
        self._known: dict[tuple[int, int], AnyArray] = {}
        self._base: MessagePass | None = None

    def fork(self, local: Mapping[int, AnyArray]) -> MessagePass:
        """The same pass with local weights, where this one has none."""
        forked = MessagePass(self._plan, self._edges, self._rows, self.ring, local)
        forked._base = self
        return forked

    def message(self, source: int, target: int) -> AnyArray:
        """What the tree behind ``source`` says about each row of ``target``, ``(rows,)``."""
        way = source, target
        if way not in self._known:
            if self._base is not None and self._plan.behind[way].isdisjoint(self._local):
                self._known[way] = self._base.message(source, target)
            else:
                edge = self._edges[way if source < target else (target, source)]
                weights = self.product(source, leave_out=target)
                self._known[way] = edge.send(self.ring, weights, forward=source < target)
        return self._known[way]

    def product(self, cluster: int, leave_out: int = -1, *, with_local: bool = True) -> AnyArray:
        """Product of the incoming messages of a cluster, all but one, and its local weights."""
        weights: AnyArray | None = self._local.get(cluster) if with_local else None
        for beside in self._plan.neighbours[cluster]:
            if beside != leave_out:
                message = self.message(beside, cluster)
                weights = message if weights is None else self.ring.times(weights, message)
        return self.ring.ones(self._rows[cluster]) if weights is None else weights

    def belief(self, cluster: int) -> AnyArray:
        """Sum over all builds that use each row of the cluster, ``(rows,)``."""
        return self.product(cluster)
