"""Whether there is a build, and what empties a slot, against every build laid out."""

from __future__ import annotations

import numpy as np
import pytest
from draws import draws
from random_rules import SIZES, RandomBuilds

from configurator.rules.existence import Narrowing, has_build
from configurator.rules.finding import State
from configurator.rules.propagation import Propagation

SEEDS = range(draws(12, 40))


def some_parts(random) -> dict[str, np.ndarray]:
    """Few parts of each slot, so that many questions have no build, and some no part."""
    return {slot: random.random((1, size)) < 0.5 for slot, size in SIZES.items()}


@pytest.mark.parametrize("seed", SEEDS)
def test_there_is_a_build_exactly_where_one_of_all_passes_the_rules_that_are_named(seed):
    random = np.random.default_rng(seed)
    builds = RandomBuilds(seed)
    evaluation = builds.left.evaluation
    judgements = evaluation.rules.judgements
    found = set()
    for share in (0.2, 0.5, 1.0, 1.0):
        start = some_parts(random)
        numbers = {each.number for each in judgements if random.random() < share}
        passes = np.ones(tuple(SIZES.values()), dtype=bool)
        for axis, flags in enumerate(start.values()):
            passes &= flags[0].reshape([-1 if at == axis else 1 for at in range(len(SIZES))])
        for number in numbers:
            outcome = builds.outcomes[builds.rules.index(judgements[number].rule)]
            passes = passes & (outcome.states < State.RULED_OUT)
        assert has_build(evaluation, numbers, start) == passes.any()
        found.add(bool(passes.any()))
    assert found


def leaves_a_build(builds, numbers, start, told) -> bool:
    """Whether any build passes some rules, parts taken from the slots that are told alone."""
    judgements = builds.left.evaluation.rules.judgements
    passes = np.ones(tuple(SIZES.values()), dtype=bool)
    for axis, (slot, flags) in enumerate(start.items()):
        if slot in told.slots:
            passes &= flags[0].reshape([-1 if at == axis else 1 for at in range(len(SIZES))])
    for number in numbers:
        outcome = builds.outcomes[builds.rules.index(judgements[number].rule)]
        passes = passes & (outcome.states < State.RULED_OUT)
    return bool(passes.any())


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rules_and_wishes_that_are_told_leave_no_build_between_them(seed):
    random = np.random.default_rng(seed)
    builds = RandomBuilds(seed)
    for number in range(2):  # rules on single parts are few there: more of them
        builds.in_words(f"tip {number}", ("outlet",), "a.")
        states = random.choice(4, SIZES["outlet"], p=[0.4, 0.1, 0.1, 0.4])
        builds.outcomes[-1].states[:] = states.reshape(builds.outcomes[-1].states.shape)
    evaluation = builds.left.evaluation
    rules = evaluation.rules.judgements
    for _ in range(25):
        start = some_parts(random)
        left = Narrowing(evaluation, start)
        order = random.permutation(len(rules))
        half = len(order) // 2
        left.hear(rules[at] for at in order[:half])
        left = left.under(evaluation)
        last = left.hear(rules[at] for at in order[half:])
        if not left.is_empty:
            narrow = Propagation(evaluation, set(order.tolist()), start).settled
            assert last is None
            for slot, flags in narrow.items():
                assert np.array_equal(left.standing[slot], flags)
            continue
        told = left.told(lambda number: -number)
        assert not leaves_a_build(builds, told.rules, start, told)


def test_of_rules_on_single_parts_none_is_told_without_need():
    told = 0
    for seed in SEEDS:
        random = np.random.default_rng(seed)
        builds = RandomBuilds(seed)
        for number in range(6):
            states = random.choice(4, SIZES["outlet"], p=[0.4, 0.1, 0.1, 0.4]).astype(np.int8)
            builds.in_words(f"tip {number}", ("outlet",), "a.")
            builds.outcomes[-1].states[:] = states.reshape(builds.outcomes[-1].states.shape)
        evaluation = builds.left.evaluation
        start = {slot: np.ones((1, size), dtype=bool) for slot, size in SIZES.items()}
        left = Narrowing(evaluation, start)
        left.hear(each for each in evaluation.rules.judgements if each.alone)
        if left.is_empty:
            found = left.told(lambda number: -number)
            told += 1
            for number in found.rules:
                assert leaves_a_build(builds, found.rules - {number}, start, found)
    assert told > len(SEEDS) // 4
