"""Intervals of a trial keep their promise over thousands of simulated trials."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from configurator.trial.plan import shuffled
from configurator.trial.sample_size import two_sided_factor

TRIALS = 10_000


@pytest.mark.parametrize("count", [10, 20, 59])
def test_a_95_95_interval_covers_in_at_least_94_of_100_trials(count):
    """Oracle: the normal distribution of scipy says what an interval really covers."""
    random = np.random.default_rng(20260304 + count)
    shots = random.normal(5.0, 0.02, (TRIALS, count))
    mean, spread = shots.mean(axis=1), shots.std(axis=1, ddof=1)
    k = two_sided_factor(count, 0.95, 0.95)
    low, high = mean - k * spread, mean + k * spread
    covered = stats.norm.cdf(high, 5.0, 0.02) - stats.norm.cdf(low, 5.0, 0.02)
    share = float(np.mean(covered >= 0.95))

    assert 0.94 <= share <= 0.96


def test_a_factor_that_is_a_tenth_too_small_is_seen():
    random = np.random.default_rng(7)
    shots = random.normal(0.0, 1.0, (TRIALS, 20))
    k = 0.9 * two_sided_factor(20, 0.95, 0.95)
    mean, spread = shots.mean(axis=1), shots.std(axis=1, ddof=1)
    covered = stats.norm.cdf(mean + k * spread) - stats.norm.cdf(mean - k * spread)

    assert np.mean(covered >= 0.95) < 0.9


def test_two_looks_with_a_split_risk_keep_the_confidence_of_one():
    """A bad head, right at the edge, is accepted at either look in at most 5 % of trials."""
    random = np.random.default_rng(11)
    limit = stats.norm.ppf(0.975)  # 95 % of shots are exactly inside: one more and it would be good
    shots = random.normal(0.0, 1.0, (TRIALS, 40))
    accepted = np.zeros(TRIALS, dtype=bool)
    for count in (20, 40):
        seen = shots[:, :count]
        k = two_sided_factor(count, 0.95, 0.975)
        far = np.abs(seen.mean(axis=1)) + k * seen.std(axis=1, ddof=1)
        accepted |= far <= limit

    assert np.mean(accepted) <= 0.05


@given(st.integers(0, 10**6), st.integers(1, 60))
def test_an_order_holds_every_run_once_and_hangs_on_the_seed_alone(seed, size):
    keys = [f"run {number}" for number in range(size)]
    order = shuffled(keys, seed)

    assert sorted(order) == list(range(size))
    assert order == shuffled(keys, seed)


def test_another_seed_gives_another_order():
    keys = [f"run {number}" for number in range(30)]

    assert len({tuple(shuffled(keys, seed)) for seed in range(20)}) == 20
