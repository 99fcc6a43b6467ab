"""From enumerated rows to a reduced join tree that answers queries.

Steps: filter rows by thresholds that lie inside a cluster; extend clusters that a threshold's
route passes through by a *class column* (the rank of its low or high side); build the edges;
run the full reducer (a boolean message pass in both directions, the semijoin program of
acyclic databases), after which every remaining row is part of at least one build.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray, distinct
from configurator.engine.joining import Columns
from configurator.engine.matching import Match, Order, Shared, match_rows, separator_ids
from configurator.engine.model import LiveComparison
from configurator.engine.plan import MessagePass, Plan, Route
from configurator.engine.semiring import Boolean
from configurator.engine.separator import Edge


@dataclass(eq=False)
class Cluster:
    """Rows of one cluster: slot columns, and the class columns that pass through it.

    ``classes[t]`` is the rank that route ``t`` shows on each row (low or high, as the route
    says); ``carried`` lists the routes whose rank is not decided by the slots here.
    """

    scope: tuple[int, ...]
    columns: Columns
    rows: int
    classes: dict[int, IntArray] = field(default_factory=dict)
    carried: frozenset[int] = frozenset()

    def take(self, chosen: IntArray | BoolArray) -> "Cluster":
        """The cluster with only (or with repeated) chosen rows, given by number or mask."""
        if chosen.dtype == np.bool_:
            if chosen.all():
                return self
            chosen = np.flatnonzero(chosen)
        count = len(chosen)
        return Cluster(
            self.scope,
            {slot: column[chosen] for slot, column in self.columns.items()},
            count,
            {number: column[chosen] for number, column in self.classes.items()},
            self.carried,
        )


@dataclass(frozen=True, eq=False)
class JoinTree:
    """A reduced join tree. ``edges[u, v]`` with ``u < v``; all ranks are in the edges."""

    plan: Plan
    clusters: tuple[Cluster, ...]
    edges: dict[tuple[int, int], Edge]
    routes: tuple[Route, ...]

    @property
    def rows(self) -> tuple[int, ...]:
        """Rows of each cluster."""
        return tuple(cluster.rows for cluster in self.clusters)

    @property
    def largest(self) -> int:
        """The cluster with most rows: what starts there repeats least."""
        return max(range(len(self.rows)), key=lambda number: (self.rows[number], -number))

    def restricted(self, masks: Mapping[int, BoolArray]) -> "JoinTree | None":
        """The reduced tree of the builds under some masks (live positions); None if none."""
        if not masks:
            return self
        local: dict[int, BoolArray] = {}
        for slot, mask in masks.items():
            home = self.home((slot,))
            assert home is not None, "every slot is in some cluster"
            allowed = mask[self.clusters[home].columns[slot]]
            local[home] = local[home] & allowed if home in local else allowed
        tree = _useful(self, local)
        return None if min(tree.rows) == 0 else tree

    def home(self, slots: Sequence[int]) -> int | None:
        """The cluster with fewest rows that contains all the slots; None if there is none."""
        holding = self.plan.holding(slots)
        if not holding:
            return None
        return min(holding, key=lambda number: (self.clusters[number].rows, number))


def assemble(plan: Plan, rows: Sequence[tuple[Columns, int]], routes: Sequence[Route]) -> JoinTree:
    """Put clusters, thresholds and edges together and reduce them."""
    clusters = [
        Cluster(scope, columns, count)
        for scope, (columns, count) in zip(plan.scopes, rows, strict=True)
    ]
    for path_route in routes:
        if len(path_route.path) == 1:
            place = path_route.path[0]
            clusters[place] = clusters[place].take(_holds(clusters[place], path_route.comparison))
    low_end = _class_columns(clusters, routes)
    matches = {
        (u, v): match_rows(
            (clusters[u].rows, clusters[v].rows),
            _shared(clusters, routes, low_end, (u, v)),
            _orders(clusters, routes, low_end, (u, v)),
        )
        for u, v in plan.edges
    }
    return _reduce(plan, clusters, matches, tuple(routes))


def _holds(cluster: Cluster, comparison: LiveComparison) -> BoolArray:
    low = look_up(cluster, comparison.low_scope, comparison.low)
    high = look_up(cluster, comparison.high_scope, comparison.high)
    return np.asarray(np.broadcast_to(low <= high, (cluster.rows,)))


def look_up(cluster: Cluster, scope: tuple[int, ...], table: IntArray) -> IntArray:
    """A table's number on every row of a cluster that contains its scope, ``(rows,)``."""
    if not scope:
        return np.broadcast_to(table, (cluster.rows,))
    return np.asarray(table[tuple(cluster.columns[slot] for slot in scope)])


def _class_columns(clusters: list[Cluster], routes: Sequence[Route]) -> dict[int, int]:
    """Give every cluster on a route its rank column.

    The low rank travels up to the last cluster but one, or the high rank down to the second:
    whichever repeats the rows of the first cluster that it enters less. Returns for each
    route the position on its path of the cluster at the low end of the comparing edge.
    """
    low_end: dict[int, int] = {}
    for number, way in enumerate(routes):
        path, comparison = way.path, way.comparison
        if len(path) == 1:
            continue
        first, last = clusters[path[0]], clusters[path[-1]]
        first.classes[number] = look_up(first, comparison.low_scope, comparison.low) + 1
        last.classes[number] = look_up(last, comparison.high_scope, comparison.high) + 1
        low_end[number] = 0
        if path[1:] == path[-1:]:
            continue
        span = comparison.levels + 2
        walks = path[:-1], path[:0:-1]
        entered = [
            int(_ranks_met(clusters[walk[0]], clusters[walk[1]], number, span)[1].sum())
            for walk in walks
        ]
        if entered[0] <= entered[1]:
            low_end[number] = len(path) - 2
        for source, target in pairwise(walks[entered[0] > entered[1]]):
            clusters[target] = _carry(clusters[source], clusters[target], number, span)
    return low_end


def _ranks_met(
    source: Cluster, target: Cluster, number: int, span: int
) -> tuple[IntArray, IntArray, IntArray]:
    """The ranks that the source shows for the separator value of each row of the target.

    Those of one separator value after the other; how many of them each row meets, and where they
    begin.
    """
    shared = [
        (source.columns[slot], target.columns[slot], _width(source, target, slot))
        for slot in source.scope
        if slot in target.columns
    ]
    source_ids, target_ids, groups = separator_ids((source.rows, target.rows), shared)
    codes = distinct(source_ids * span + source.classes[number])
    of_group = np.bincount(codes // span, minlength=groups)
    starts = np.cumsum(of_group) - of_group
    return codes % span, of_group[target_ids], starts[target_ids]


def _carry(source: Cluster, target: Cluster, number: int, span: int) -> Cluster:
    """Join the target's rows with the ranks that the source shows for their separator."""
    ranks, counts, starts = _ranks_met(source, target, number, span)
    chosen = np.repeat(np.arange(target.rows), counts)
    offset = np.arange(len(chosen)) - np.repeat(np.cumsum(counts) - counts, counts)
    extended = target.take(chosen)
    extended.classes[number] = ranks[starts[chosen] + offset]
    extended.carried = target.carried | {number}
    return extended


def _width(left: Cluster, right: Cluster, slot: int) -> int:
    highest = max(int(cluster.columns[slot].max(initial=0)) for cluster in (left, right))
    return highest + 1


def _shared(
    clusters: Sequence[Cluster],
    routes: Sequence[Route],
    low_end: dict[int, int],
    ends: tuple[int, int],
) -> list[Shared]:
    """Columns that must be equal across an edge: common slots, and ranks that pass along."""
    u, v = clusters[ends[0]], clusters[ends[1]]
    shared = [
        (u.columns[slot], v.columns[slot], _width(u, v, slot))
        for slot in u.scope
        if slot in v.columns
    ]
    for number, position in sorted(low_end.items()):
        path = routes[number].path
        meeting = {path[position], path[position + 1]}
        if set(ends) <= set(path) and meeting != set(ends):
            width = routes[number].comparison.levels + 2
            shared.append((u.classes[number], v.classes[number], width))
    return shared


def _orders(
    clusters: Sequence[Cluster],
    routes: Sequence[Route],
    low_end: dict[int, int],
    ends: tuple[int, int],
) -> list[Order]:
    """Comparisons that are made across an edge."""
    orders = []
    for number, position in sorted(low_end.items()):
        low, high = routes[number].path[position : position + 2]
        if {low, high} == set(ends):
            orders.append(
                Order(
                    clusters[low].classes[number] - 1,
                    clusters[high].classes[number] - 1,
                    low == ends[0],
                    routes[number].comparison.levels,
                )
            )
    return orders


def _reduce(
    plan: Plan,
    clusters: Sequence[Cluster],
    matches: dict[tuple[int, int], Match],
    routes: tuple[Route, ...],
) -> JoinTree:
    alive = [np.ones(cluster.rows, dtype=np.bool_) for cluster in clusters]
    for (u, v), match in matches.items():
        alive[u] &= match.alive_u
        alive[v] &= match.alive_v
    edges = {pair: match.edge for pair, match in matches.items()}
    return _useful(JoinTree(plan, tuple(clusters), edges, routes), dict(enumerate(alive)))


def _useful(tree: JoinTree, local: Mapping[int, BoolArray]) -> JoinTree:
    """Full reducer: keep the rows that extend to a build under the local masks."""
    exists = MessagePass(tree.plan, tree.edges, tree.rows, Boolean(), local)
    useful = [exists.belief(number) for number in range(len(tree.clusters))]
    return JoinTree(
        tree.plan,
        tuple(cluster.take(mask) for cluster, mask in zip(tree.clusters, useful, strict=True)),
        {(u, v): edge.kept(useful[u], useful[v]) for (u, v), edge in tree.edges.items()},
        tree.routes,
    )
