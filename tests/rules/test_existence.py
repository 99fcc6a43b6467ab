"""Whether there is a build, and what empties a slot, against every build laid out."""

from __future__ import annotations

import numpy as np
import pytest
from random_rules import SIZES, RandomBuilds

from configurator.rules.existence import SingleParts, some_build
from configurator.rules.finding import State

SEEDS = range(40)


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
        assert some_build(evaluation, numbers, start) == passes.any()
        found.add(bool(passes.any()))
    assert found


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rules_that_are_told_leave_nothing_of_the_slot_and_fewer_of_them_would(seed):
    random = np.random.default_rng(seed)
    builds = RandomBuilds(seed)
    for number in range(6):  # rules on single parts are few there: more of them
        states = random.choice(4, SIZES["outlet"], p=[0.4, 0.1, 0.1, 0.4]).astype(np.int8)
        builds.in_words(f"tip {number}", ("outlet",), "a.")
        builds.outcomes[-1].states[:] = states.reshape(builds.outcomes[-1].states.shape)
    evaluation = builds.left.evaluation
    start = {slot: np.ones((1, size), dtype=bool) for slot, size in SIZES.items()}
    parts = SingleParts(evaluation, start)
    order = random.permutation(len(evaluation.rules.judgements))
    last = parts.hear(evaluation.rules.judgements[at] for at in order)
    assert (last is not None) == parts.is_empty
    if not parts.is_empty:
        return
    told = parts.told(lambda number: -number)

    def stands(numbers) -> np.ndarray:
        left = np.ones(SIZES[told.slot], dtype=bool)
        axis = list(SIZES).index(told.slot)
        for number in numbers:
            judgement = evaluation.rules.judgements[number]
            states = builds.outcomes[builds.rules.index(judgement.rule)].states
            others = tuple(at for at in range(len(SIZES)) if at != axis)
            left &= (np.broadcast_to(states, tuple(SIZES.values())) < State.RULED_OUT).any(others)
        return left

    assert not stands(told.rules).any()
    assert all(stands(told.rules - {number}).any() for number in told.rules)
