"""The fewest sets against every choice of sets."""

from __future__ import annotations

from functools import reduce
from itertools import combinations

import numpy as np
import pytest

from configurator.engine.cover import fewest


@pytest.mark.parametrize("seed", range(60))
def test_no_choice_of_fewer_sets_holds_all(seed):
    random = np.random.default_rng(seed)
    things = int(random.integers(1, 10))
    sets = [int(each) for each in random.integers(0, 1 << things, random.integers(1, 9))]
    sets = [each & int(random.integers(0, 1 << things)) for each in sets]
    whole = (1 << things) - 1
    found = fewest(sets, whole)
    sizes = [
        size
        for size in range(len(sets) + 1)
        for some in combinations(sets, size)
        if reduce(int.__or__, some, 0) == whole
    ]
    if not sizes:
        assert found is None
        return
    assert found is not None
    assert len(found) == sizes[0]
    assert reduce(int.__or__, found, 0) == whole
    assert set(found) <= set(sets)
