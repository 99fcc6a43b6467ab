"""The public entry: sizes at the edge, input that does not fit, and answers that never change."""

import os
import subprocess
import sys

import numpy as np
import pytest

from configurator.engine import BuildSpace, MalformedSpaceError, Relation, Threshold


def unequal(left, right, size):
    return Relation(f"{left} differs from {right}", (left, right), ~np.eye(size, dtype=bool))


def test_a_space_without_slots_has_one_build():
    space = BuildSpace({})
    assert space.count() == 1
    assert [each.build for each in space.pareto({})] == [{}]
    assert space.conflict({}) is None


def test_a_slot_without_values_leaves_no_build_and_the_conflict_is_empty():
    space = BuildSpace({"a": 2, "b": 0}, [Relation("r", ("a", "b"), np.ones((2, 0), dtype=bool))])
    assert space.count() == 0
    assert [left.tolist() for left in space.remaining({"a": 1}).values()] == [[0, 0], []]
    assert space.pareto({}) == []
    assert space.conflict({}) == frozenset()


def test_slots_that_no_relation_reads_multiply_the_count():
    space = BuildSpace({"a": 3, "b": 4, "c": 1, "d": 3}, [unequal("a", "d", 3)])
    assert space.count() == 6 * 4
    assert space.remaining({"b": 2})["b"].tolist() == [6, 6, 6, 6]


@pytest.mark.parametrize("length", [12, 20, 26])
def test_counts_stay_exact_far_beyond_64_bits(length):
    """Colourings of a path with q colours: q * (q - 1)^(n - 1), a textbook closed form."""
    size = 40
    domains = {f"v{number}": size for number in range(length)}
    space = BuildSpace(domains, [unequal(f"v{n}", f"v{n + 1}", size) for n in range(length - 1)])
    assert space.count() == size * (size - 1) ** (length - 1)
    left = space.remaining({"v3": 5})["v7"]
    walks = np.linalg.matrix_power((~np.eye(size, dtype=bool)).astype(object), 4)
    ends = (size - 1) ** (length - 5)
    assert [int(count) for count in left] == [int(walk) * ends for walk in walks[5]]
    assert sum(int(count) for count in space.remaining()["v0"]) == space.count()


def test_of_equal_costs_the_first_in_value_order_stands_over_many_limbs():
    """26 slots of 40 values need more than one 64-bit limb for their order."""
    domains = {f"v{number}": 40 for number in range(26)}
    space = BuildSpace(domains, [unequal("v0", "v25", 40)])
    (cheapest,) = space.pareto({"flat": [(("v3",), np.zeros(40, dtype=np.int64))]})
    assert tuple(cheapest.build.values()) == (0,) * 25 + (1,)


def test_a_cost_over_slots_of_different_clusters_is_exact_with_and_without_notice():
    size = 6
    domains = {f"v{number}": size for number in range(8)}
    chain = [unequal(f"v{n}", f"v{n + 1}", size) for n in range(7)]
    table = np.random.default_rng(4).integers(0, 9, (size, size))
    costs = [(("v7", "v0"), table), (("v4",), np.arange(size))]
    told = BuildSpace(domains, chain, cost_scopes=[("v0", "v7")])
    untold = BuildSpace(domains, chain)
    found = told.pareto({"cost": costs})
    assert found == untold.pareto({"cost": costs})
    cheapest = min(int(table[last, first]) for first in range(size) for last in range(size))
    assert [each.figures["cost"] for each in found] == [cheapest]


@pytest.mark.parametrize(
    "make",
    [
        lambda: Relation("r", ("a", "a"), np.ones((2, 2), dtype=bool)),
        lambda: Relation("r", ("a",), np.ones((2, 2), dtype=bool)),
        lambda: Threshold("t", ("a",), np.array([0.5, 1.0]), (), np.array(1)),
        lambda: BuildSpace({"a": 2}, [Relation("r", ("b",), np.ones(2, dtype=bool))]),
        lambda: BuildSpace({"a": 2}, [Relation("r", ("a",), np.ones(3, dtype=bool))]),
        lambda: BuildSpace({"a": -1}),
        lambda: BuildSpace({"a": 2}).count({"b": 0}),
        lambda: BuildSpace({"a": 2}).count({"a": 2}),
        lambda: BuildSpace({"a": 2}).count({"a": True}),
        lambda: BuildSpace({"a": 2}).remaining({"a": {0, -1}}),
        lambda: BuildSpace({"a": 2}).pareto({"x": [(("a",), np.array([0.5, 1.5]))]}),
        lambda: BuildSpace({"a": 2}).pareto({"x": [(("a",), np.array([0, 1 << 60]))]}),
    ],
)
def test_what_does_not_fit_is_refused(make):
    with pytest.raises(MalformedSpaceError):
        make()


SCRIPT = """
import numpy as np
from configurator.engine import BuildSpace, Relation, Threshold
rng = np.random.default_rng(11)
names = ["size", "body", "rotor", "seal", "drive", "outlet"]
domains = {name: 5 for name in names}
pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]][::2]
relations = [Relation("-".join(p), p, rng.random((5, 5)) < 0.8) for p in pairs]
limit = Threshold("t", ("size", "body"), rng.integers(0, 9, (5, 5)),
                  ("drive", "outlet"), rng.integers(0, 9, (5, 5)))
space = BuildSpace(domains, relations, [limit])
costs = [((name,), rng.integers(0, 3, 5)) for name in names]
picks = {name: {0, 1} for name in names}
print(space.count(), space.compiled.tree.rows)
print({slot: left.tolist() for slot, left in space.remaining({"seal": 2}).items()})
print(sorted(space.conflict({name: 0 for name in names})))
print(space.pareto({"x": costs[:3], "y": costs[3:]}))
"""


def test_answers_are_the_same_for_any_hash_seed():
    outputs = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "4242")
    }
    assert len(outputs) == 1
    assert "Blame" in outputs.pop()
