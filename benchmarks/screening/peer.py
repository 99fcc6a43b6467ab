"""The same rows by python-constraint on the whole problem, one after the other.

The rules are worked out beforehand and their time does not count: the peer gets tables over the
parts that no rule takes out alone, which is a head start, and counts the builds that are left.
"""

import math
from collections.abc import Callable, Iterable
from time import perf_counter

from constraint import OptimizedBacktrackingSolver, Problem

from configurator.engine import Relation, Threshold
from configurator.rules.finding import State
from configurator.workshop.answer import Answer


def seconds(answer: Answer, cap: float) -> tuple[float, int, bool]:
    """Time to count the builds of one material, their number, and whether the cap cut it short."""
    found = answer.spaces[State.UNPROVEN]
    start = perf_counter()
    problem = Problem(OptimizedBacktrackingSolver())
    for slot, size in found.domains.items():
        problem.addVariable(slot, range(size))
    for relation in found.relations:
        problem.addConstraint(_table(relation), relation.scope)
    for threshold in found.thresholds:
        problem.addConstraint(_within(threshold), (*threshold.need_scope, *threshold.allow_scope))
    counted = 0
    for _ in problem.getSolutionIter():
        counted += 1
        if counted % 4096 == 0 and perf_counter() - start > cap:
            return perf_counter() - start, counted, True
    return perf_counter() - start, counted, False


def _table(relation: Relation) -> Callable[..., bool]:
    allowed = relation.allowed.tolist()
    if relation.allowed.ndim == 1:
        return lambda a: bool(allowed[a])
    if relation.allowed.ndim == 2:
        return lambda a, b: bool(allowed[a][b])
    flat = relation.allowed.reshape(-1).tolist()
    strides = [math.prod(relation.allowed.shape[at + 1 :]) for at in range(relation.allowed.ndim)]
    return lambda *values: bool(flat[sum(v * s for v, s in zip(values, strides, strict=True))])


def _within(threshold: Threshold) -> Callable[..., bool]:
    split = len(threshold.need_scope)
    need, allow = threshold.need, threshold.allow
    return lambda *values: bool(need[values[:split]] <= allow[values[split:]])


def smallest(answers: Iterable[Answer], most: int) -> list[Answer]:
    """The answers with the fewest builds, none without any: those that suit the peer best."""
    built = [answer for answer in answers if answer.count]
    return sorted(built, key=lambda answer: answer.count)[:most]
