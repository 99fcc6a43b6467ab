"""Running sums inside segments, against plain loops."""

from itertools import pairwise

import numpy as np
import pytest

from configurator.engine.counting import chinese_remainder, primes_for
from configurator.engine.digits import pack_digits
from configurator.engine.semiring import Boolean, Counting, Residues, segments_of

NUMBER = np.array([0, 0, 0, 1, 2, 2, 2, 2])


def slices(position):
    start = int(np.flatnonzero(NUMBER[position] == NUMBER)[0])
    end = int(np.flatnonzero(NUMBER[position] == NUMBER)[-1]) + 1
    return slice(start, position + 1), slice(position, end)


@pytest.mark.parametrize("seed", range(20))
def test_running_sums_restart_at_every_segment(seed):
    values = np.random.default_rng(seed).integers(0, 50, len(NUMBER))
    segments = segments_of(NUMBER)
    forward = [int(values[slices(at)[0]].sum()) for at in range(len(NUMBER))]
    backward = [int(values[slices(at)[1]].sum()) for at in range(len(NUMBER))]
    assert Counting().prefix(values.astype(float), segments).tolist() == forward
    assert Counting().suffix(values.astype(float), segments).tolist() == backward
    ring = Residues(7)
    assert ring.prefix(values % 7, segments).tolist() == [each % 7 for each in forward]
    assert ring.suffix(values % 7, segments).tolist() == [each % 7 for each in backward]
    exists = values > 40
    expected = [bool(exists[slices(at)[1]].any()) for at in range(len(NUMBER))]
    assert Boolean().suffix(exists, segments).tolist() == expected


def test_residues_give_back_a_number_beyond_64_bits():
    number = 40 * 39**25
    primes = primes_for(number)
    assert len(primes) >= 5
    assert len(set(primes)) == len(primes)
    assert chinese_remainder([number % prime for prime in primes], primes) == number


def test_digits_of_a_limb_never_overlap():
    limbs, places = pack_digits([40] * 26)
    assert limbs == 1 + max(limb for limb, _ in places)
    for limb in range(limbs):
        strides = [each for at, each in places if at == limb]
        assert all(a == 40 * b for a, b in pairwise(strides))


@pytest.mark.parametrize("seed", range(20))
def test_range_sums_and_covering_sums_are_those_of_plain_loops(seed):
    rng = np.random.default_rng(seed)
    levels, rows = int(rng.integers(1, 12)), int(rng.integers(1, 9))
    first = rng.integers(0, levels, rows)
    end = np.array([rng.integers(at + 1, levels + 1) for at in first])
    standing = rng.integers(0, 30, levels)
    moving = rng.integers(0, 30, rows)
    covers = [[bool(a <= at < b) for a, b in zip(first, end, strict=True)] for at in range(levels)]
    sums = [int(standing[a:b].sum()) for a, b in zip(first, end, strict=True)]
    covered = [int(moving[mask].sum()) for mask in covers]
    assert Counting().between(standing.astype(float), first, end).tolist() == sums
    assert Counting().cover(moving.astype(float), first, end, levels).tolist() == covered
    ring = Residues(7)
    assert ring.between(standing % 7, first, end).tolist() == [each % 7 for each in sums]
    assert ring.cover(moving % 7, first, end, levels).tolist() == [each % 7 for each in covered]
    found = Boolean().cover(moving > 20, first, end, levels).tolist()
    assert found == [bool((moving[mask] > 20).any()) for mask in covers]
