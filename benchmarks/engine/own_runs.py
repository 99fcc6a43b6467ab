"""Runs of the engine itself: repeated counts, and the growth series."""

from functools import partial
from statistics import median

import numpy as np

from benchmarks.engine import peers
from benchmarks.engine.instances import Instance

REPEATS = 5
"""The engine takes milliseconds, so its time is the best of several builds from scratch."""


def engine_counts(case: Instance) -> peers.Timed:
    runs = [peers.engine_count(case) for _ in range(REPEATS)]
    return runs[0][0], min(run[1] for run in runs)


def growth_point(case: Instance) -> peers.Timed:
    """Rows of the tree, and the time of one update after a pick: every slot in turn."""
    space, compiling = peers.timed(lambda: peers.space_of(case))
    count = space.count()
    rng = np.random.default_rng(3)
    costs = [((slot,), rng.integers(0, 99, size)) for slot, size in case.domains.items()]
    picks = list(space.pareto({"cost": costs})[0].build.items())
    space.remaining(dict(picks[:1]))
    updates = []
    for slot, value in picks:
        runs = [peers.timed(partial(space.remaining, {slot: value}))[1] for _ in range(5)]
        updates.append(median(runs))
    tree = space.compiled.tree
    assert tree is not None, "it has a build"
    answer = {"rows": sum(tree.rows), "count": count, "raw": case.raw}
    return {**answer, "compile": compiling, "median": median(updates), "worst": max(updates)}, 0.0
