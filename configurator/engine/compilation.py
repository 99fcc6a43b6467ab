"""The whole way from named constraints to a join tree with counts, and the short way.

``compile_space`` does everything: node consistency, variable elimination, python-constraint
on each cluster, assembly, reduction. ``tighten`` starts from a compiled space and only filters
the rows it already has.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from constraint import OptimizedBacktrackingSolver, Problem

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.assembly import Cluster, JoinTree, assemble
from configurator.engine.counting import Counter
from configurator.engine.elimination import clusters_by_elimination, primal_graph
from configurator.engine.joining import Columns, join_tables
from configurator.engine.model import (
    SMALL_SCOPE,
    LiveTable,
    Model,
    build_model,
    comparison_table,
    drop_implied,
    live_comparison,
    live_table,
    merge_tables,
    product,
)
from configurator.engine.plan import join_tree, route
from configurator.engine.relation import Relation, Threshold

BLOCK_CELLS = 2048
"""Largest product of domain sizes that python-constraint is asked to search in one block."""

BY_ARITY: dict[int, Callable[[Any], Callable[..., bool]]] = {
    1: lambda nested: lambda a: nested[a],
    2: lambda nested: lambda a, b: nested[a][b],
    3: lambda nested: lambda a, b, c: nested[a][b][c],
}
"""Look-ups in a nested list, by number of slots: quicker than a set of tuples."""


def cluster_rows(model: Model, scope: tuple[int, ...]) -> tuple[Columns, int]:
    """All value tuples of a cluster that no table forbids.

    A table that lies partly inside forbids what none of its tuples extends; the builds would
    drop such rows anyway, but their number could be large until then.

    Returns
    -------
    columns : dict of int to int array
        One column a slot, each of shape ``(rows,)``; rows in ascending order.
    rows : int
        Their number; an empty scope has one row.
    """
    inside = _inside(model, scope)
    blocks = _blocks(model, scope, inside)
    wide = [
        table for table in inside if not any(set(table.scope) <= set(block) for block in blocks)
    ]
    reached = {slot for table in wide for slot in table.scope}
    searched = []
    for block in blocks:
        own = [table for table in inside if set(table.scope) <= set(block)]
        if own or not set(block) <= reached:
            searched.append(_searched(model, block, own))
    return join_tables([*searched, *wide])


def _inside(model: Model, scope: tuple[int, ...]) -> list[LiveTable]:
    """What the tables say of the slots of a cluster, one table a scope."""
    cut = [
        table.onto(tuple(slot for slot in table.scope if slot in scope)) for table in model.tables
    ]
    return list(merge_tables([table for table in cut if table.size < table.allowed.size]))


def _searched(model: Model, block: tuple[int, ...], tables: Sequence[LiveTable]) -> LiveTable:
    """The answers of one block as a table."""
    widths = tuple(model.width(slot) for slot in block)
    allowed = np.zeros(widths, dtype=np.bool_)
    allowed[tuple(_search(block, widths, tables).T)] = True
    return LiveTable(block, allowed)


def _search(block: tuple[int, ...], widths: Sequence[int], tables: Sequence[LiveTable]) -> IntArray:
    """Solutions of one block, sorted, shape ``(rows, slots of the block)``."""
    if any(width == 0 for width in widths):
        return np.zeros((0, len(block)), dtype=np.int64)
    if not tables:
        shape = tuple(widths)
        return np.stack(np.unravel_index(np.arange(product(widths)), shape), axis=1)
    problem = Problem(OptimizedBacktrackingSolver(forwardcheck=False))
    for slot, width in zip(block, widths, strict=True):
        problem.addVariable(slot, list(range(width)))
    for table in tables:
        problem.addConstraint(_predicate(table.allowed), list(table.scope))
    if len(block) == 1:
        rows = [(answer[block[0]],) for answer in problem.getSolutions()]
    else:
        rows = problem.getSolutionsOrderedList(list(block))
    return np.array(sorted(rows), dtype=np.int64).reshape(len(rows), len(block))


def _predicate(allowed: BoolArray) -> Callable[..., bool]:
    """The table as a function of its values, for python-constraint's positional calls."""
    if allowed.ndim in BY_ARITY:
        return BY_ARITY[allowed.ndim](allowed.tolist())
    tuples = set(map(tuple, np.argwhere(allowed).tolist()))
    return lambda *values: values in tuples


def _blocks(
    model: Model, scope: tuple[int, ...], tables: Sequence[LiveTable]
) -> list[tuple[int, ...]]:
    """Group slots along tables, smallest table first, while a group stays searchable."""
    group = {slot: frozenset((slot,)) for slot in scope}
    for table in sorted(tables, key=lambda table: (table.allowed.size, table.scope)):
        union = frozenset[int]().union(*(group[slot] for slot in table.scope))
        if product([model.width(slot) for slot in union]) <= BLOCK_CELLS:
            for slot in union:
                group[slot] = union
    return sorted({tuple(sorted(slots)) for slots in group.values()})


@dataclass(frozen=True, eq=False)
class Compiled:
    """A model with its join tree and counter; both None if no build can exist."""

    model: Model
    tree: JoinTree | None
    counter: Counter | None


def compile_space(
    domains: Mapping[str, int],
    relations: Sequence[Relation],
    thresholds: Sequence[Threshold],
    cost_scopes: Sequence[tuple[str, ...]] = (),
) -> Compiled:
    """Compile from scratch. ``cost_scopes`` are each kept within one cluster."""
    model = build_model(domains, relations, thresholds)
    tree = _tree(model, cost_scopes)
    return Compiled(model, None, None) if tree is None else _counted(model, tree)


def has_build(
    domains: Mapping[str, int], relations: Sequence[Relation], thresholds: Sequence[Threshold]
) -> bool:
    """Whether any build exists: compiled up to the full reducer, without counting."""
    return _tree(build_model(domains, relations, thresholds), ()) is not None


def _tree(model: Model, cost_scopes: Sequence[tuple[str, ...]]) -> JoinTree | None:
    """The reduced join tree of a model; None if no build exists."""
    if model.impossible:
        return None
    place = {slot: number for number, slot in enumerate(model.names)}
    extra = [tuple(place[slot] for slot in scope) for scope in cost_scopes]
    graph = primal_graph(model, extra)
    bags = clusters_by_elimination(graph)
    plan = join_tree(graph, bags)
    rows = [cluster_rows(model, scope) for scope in plan.scopes]
    sizes = [float(count) for _, count in rows]
    routes = [route(plan, comparison, sizes) for comparison in model.comparisons]
    found = [way for way in routes if way is not None]
    assert len(found) == len(routes), "elimination keeps each side of a threshold together"
    return _unless_empty(assemble(plan, rows, found))


def tighten(
    base: Compiled,
    thresholds: Sequence[Threshold],
    added: tuple[Sequence[Relation], Sequence[Threshold]],
) -> Compiled | None:
    """The compiled space of more constraints, from the compiled looser one.

    Rows are filtered, never searched again. A threshold that a new one implies is dropped, so
    nested grades keep one staircase a rule.

    Parameters
    ----------
    base : Compiled
        The looser space.
    thresholds : sequence of Threshold
        All thresholds of the new space, old ones first.
    added : (relations, thresholds)
        The constraints that ``base`` does not have.

    Returns
    -------
    compiled : Compiled or None
        None if the scope of a new constraint fits no cluster.
    """
    model = base.model
    if base.tree is None:
        return Compiled(model, None, None)
    plan = base.tree.plan
    place = {slot: number for number, slot in enumerate(model.names)}
    clusters = [_distinct_rows(cluster) for cluster in base.tree.clusters]
    filters = [live_table(place, model.live, relation) for relation in added[0]]
    needed = {id(threshold) for threshold in drop_implied(thresholds)}
    routes = [
        way for way in base.tree.routes if id(way.comparison.source) in needed and len(way.path) > 1
    ]
    for threshold in added[1]:
        if id(threshold) not in needed:
            continue
        comparison = live_comparison(place, model.live, threshold)
        if len(comparison.union) <= SMALL_SCOPE and plan.holding(comparison.union):
            filters.append(comparison_table(model.live, comparison))
            continue
        way = route(plan, comparison, [float(cluster.rows) for cluster in clusters])
        if way is None:
            return None
        routes.append(way)
    for table in filters:
        home = base.tree.home(table.scope)
        if home is None:
            return None
        clusters[home] = clusters[home].take(_passes(clusters[home], table))
    rows = [(cluster.columns, cluster.rows) for cluster in clusters]
    tree = _unless_empty(assemble(plan, rows, routes))
    return Compiled(model, None, None) if tree is None else _counted(model, tree)


def _unless_empty(tree: JoinTree) -> JoinTree | None:
    """After full reduction either every cluster has rows or the problem has no solution."""
    return None if min(tree.rows) == 0 else tree


def _counted(model: Model, tree: JoinTree) -> Compiled:
    return Compiled(model, tree, Counter(tree, [model.width(s) for s in range(len(model.names))]))


def _passes(cluster: Cluster, table: LiveTable) -> BoolArray:
    if not table.scope:
        return np.full(cluster.rows, bool(table.allowed), dtype=np.bool_)
    return np.asarray(table.allowed[tuple(cluster.columns[slot] for slot in table.scope)])


def _distinct_rows(cluster: Cluster) -> Cluster:
    """The cluster without class columns: rows that differ only in a carried rank are one."""
    if cluster.carried and cluster.scope:
        stacked = np.stack([cluster.columns[slot] for slot in cluster.scope])
        first = np.unique(stacked, axis=1, return_index=True)[1]
        columns: Columns = {slot: cluster.columns[slot][first] for slot in cluster.scope}
        return Cluster(cluster.scope, columns, len(first))
    return Cluster(
        cluster.scope, cluster.columns, cluster.rows if cluster.scope else min(cluster.rows, 1)
    )
