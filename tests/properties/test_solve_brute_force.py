"""Every answer of the engine against numpy brute force on small random instances.

The oracle writes the whole product of domains as one boolean array and shares no code with
the engine. Half of the instances are compiled with an arbitrary elimination order, so that
join trees appear that the heuristics would never choose: thresholds then run over long routes
and several of them share an edge.
"""

from dataclasses import dataclass, replace
from unittest.mock import patch

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.engine import BuildSpace, Relation, Threshold, elimination

SETTINGS = settings(max_examples=150, deadline=None, derandomize=True)

RING = [(0, 2), (1, 2), (2, 3), (3, 4), (4, 5), (4, 6)]
"""A chain of tables whose ends a threshold compares: the order must be carried along it."""


@dataclass(frozen=True)
class Instance:
    domains: dict[str, int]
    relations: tuple[Relation, ...]
    thresholds: tuple[Threshold, ...]
    picks: dict[str, int | set[int]]
    seed: int
    any_order: bool

    @property
    def rng(self):
        return np.random.default_rng(self.seed)

    def space(self):
        if not self.any_order:
            return BuildSpace(self.domains, self.relations, self.thresholds)
        rank = self.rng.permutation(100).tolist()

        def score(_bag, _fill, vertex):
            return (rank[vertex],)

        def bags(graph):
            return elimination.maximal_bags(graph, score)

        with patch("configurator.engine.compilation.clusters_by_elimination", bags):
            return BuildSpace(self.domains, self.relations, self.thresholds)

    def spread(self, scope, table):
        names = list(self.domains)
        places = [names.index(slot) for slot in scope]
        table = np.transpose(np.asarray(table), np.argsort(places))
        return table.reshape([self.domains[s] if s in scope else 1 for s in names])

    def valid(self, skip=None):
        """Boolean array over the whole product; ``skip`` leaves one slot's pick out."""
        valid = np.ones(tuple(self.domains.values()), dtype=bool)
        for each in self.relations:
            valid &= self.spread(each.scope, each.allowed)
        for each in self.thresholds:
            need = self.spread(each.need_scope, each.need)
            valid &= need <= self.spread(each.allow_scope, each.allow)
        for slot, pick in self.picks.items():
            if slot != skip:
                mask = np.zeros(self.domains[slot], dtype=bool)
                mask[sorted(pick) if isinstance(pick, set) else pick] = True
                valid &= self.spread((slot,), mask)
        return valid

    def builds(self):
        return [tuple(row) for row in np.argwhere(self.valid()).tolist()]


@st.composite
def picks_of(draw, domains):
    picks = {}
    for slot, size in domains.items():
        kind = draw(st.sampled_from(["open", "open", "one", "some"]))
        if size and kind == "one":
            picks[slot] = draw(st.integers(0, size - 1))
        elif size and kind == "some":
            picks[slot] = draw(st.sets(st.integers(0, size - 1)))
    return picks


@st.composite
def instances(draw):
    ring = draw(st.integers(0, 2)) == 2
    slots = 7 if ring else draw(st.integers(1, 7))
    names = [f"s{number}" for number in range(slots)]
    sizes = st.lists(st.sampled_from([3, 2, 4, 3, 2, 1]), min_size=slots, max_size=slots)
    domains = dict(zip(names, draw(sizes), strict=True))
    if draw(st.integers(0, 19)) == 19:
        domains[names[-1]] = 0
    seed = draw(st.integers(0, 2**32 - 1))
    rng = np.random.default_rng(seed)

    def scopes(smallest, largest):
        return st.lists(
            st.sampled_from(names),
            min_size=min(smallest, slots),
            max_size=min(largest, slots),
            unique=True,
        ).map(tuple)

    def shape(scope):
        return [domains[slot] for slot in scope]

    density = draw(st.sampled_from([0.9, 0.75, 0.6]))
    tables = draw(st.lists(scopes(1, 3), max_size=2 if ring else 5))
    sides = draw(st.lists(st.tuples(scopes(0, 3), scopes(0, 3)), max_size=1 if ring else 4))
    if ring:
        tables += [tuple(names[slot] for slot in link) for link in RING]
        sides += [(tuple(names[:2]), tuple(names[5:]))]
        density = 0.9
    relations = tuple(
        Relation(f"r{number}", scope, rng.random(shape(scope)) < density)
        for number, scope in enumerate(tables)
    )
    if sides and draw(st.booleans()):
        sides.append(sides[0])
    if sides and draw(st.booleans()):
        sides.append(sides[0][::-1])
    thresholds = tuple(
        Threshold(
            f"t{number}",
            need,
            rng.integers(-3, 8, shape(need)),
            allow,
            rng.integers(2, 12, shape(allow)),
        )
        for number, (need, allow) in enumerate(sides)
    )
    if thresholds and draw(st.booleans()):
        window = thresholds[-1]
        back = Threshold(
            "window", window.allow_scope, window.allow - 4, window.need_scope, window.need
        )
        thresholds = (*thresholds, back)
    picks = draw(picks_of(domains))
    return Instance(domains, relations, thresholds, picks, seed, draw(st.booleans()))


def check_counts(space, instance):
    valid = instance.valid()
    assert int(valid.sum()) == space.count(instance.picks)

    remaining = space.remaining(instance.picks)
    assert list(instance.domains) == list(remaining)
    for axis, slot in enumerate(instance.domains):
        others = tuple(other for other in range(valid.ndim) if other != axis)
        expected = instance.valid(skip=slot).sum(axis=others)
        assert expected.tolist() == remaining[slot].tolist()


def random_costs(instance, number):
    rng = instance.rng
    names = list(instance.domains)
    costs = []
    for _ in range(number):
        scope = tuple(rng.permutation(names)[: rng.integers(1, 4)].tolist())
        shape = [instance.domains[slot] for slot in scope]
        costs.append((scope, rng.integers(-4, 7, shape)))
    return costs


def total_cost(instance, costs):
    total = np.zeros(tuple(instance.domains.values()), dtype=np.int64)
    for scope, table in costs:
        total = total + instance.spread(scope, table)
    return total


@SETTINGS
@given(instances())
def test_counts_and_what_remains_are_those_of_brute_force(instance):
    check_counts(instance.space(), instance)


@SETTINGS
@given(instances(), st.integers(1, 3))
def test_the_pareto_front_holds_every_vector_that_nothing_dominates(instance, figures):
    by_figure = {
        f"f{number}": random_costs(replace(instance, seed=number), 2) for number in range(figures)
    }
    totals = [total_cost(instance, costs) for costs in by_figure.values()]
    first = {}
    for build in instance.builds():
        first.setdefault(tuple(int(total[build]) for total in totals), build)
    vectors = sorted(first)
    expected = [
        (vector, first[vector])
        for vector in vectors
        if not any(
            other != vector and all(a <= b for a, b in zip(other, vector, strict=True))
            for other in vectors
        )
    ]

    front = instance.space().pareto(by_figure, instance.picks)

    found = [(tuple(p.figures.values()), tuple(p.build.values())) for p in front]
    assert expected == found


@SETTINGS
@given(instances(), st.booleans())
def test_a_tightened_space_equals_a_fresh_one_with_all_constraints(instance, nested):
    """Two levels down; ``nested`` makes each level imply the last, as grades do."""
    rng = instance.rng
    space = instance.space()
    level = instance
    for number in range(2):
        relations = tuple(
            Relation(f"{each.name}/{number}", each.scope, rng.random(each.allowed.shape) < 0.85)
            for each in instance.relations[:3]
        )
        thresholds = tuple(
            Threshold(
                f"{each.name}/{number}",
                each.need_scope,
                each.need + 1 + number if nested else rng.integers(-3, 8, each.need.shape),
                each.allow_scope,
                each.allow if nested else rng.integers(2, 12, each.allow.shape),
            )
            for each in instance.thresholds[:3]
        )
        space = space.tightened(relations, thresholds)
        level = replace(
            level,
            relations=level.relations + relations,
            thresholds=level.thresholds + thresholds,
        )
        check_counts(space, level)
    costs = [cost for cost in random_costs(instance, 2) if len(cost[0]) == 1]
    by_figure = {"one": costs[:1], "rest": costs[1:]}
    assert level.space().pareto(by_figure, instance.picks) == space.pareto(
        by_figure, instance.picks
    )
