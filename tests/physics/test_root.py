"""The solver against scipy's brentq."""

import numpy as np
import pytest
from scipy.optimize import brentq

from configurator.physics.domain import Array
from configurator.physics.root import root_by_slope

TARGETS = np.array([0.1, 1.0, 3.0, 50.0, 1e6])


def test_an_unknown_equation_has_an_unknown_root_and_spares_its_neighbour() -> None:
    targets = np.array([2.0, np.nan])

    roots = root_by_slope(lambda x: (x - targets, np.ones(2)), np.zeros(2), np.full(2, -9.0))

    assert roots[0] == pytest.approx(2.0, rel=1e-12)
    assert np.isnan(roots[1])


def test_guarded_steps_equal_brentq_from_a_bad_start() -> None:
    def curve(x: Array) -> tuple[Array, Array]:
        return np.exp(x) + x - TARGETS, np.exp(x) + 1.0

    found = root_by_slope(curve, np.full_like(TARGETS, 30.0), np.full_like(TARGETS, -50.0))

    for root, target in zip(found, TARGETS, strict=True):
        assert root == pytest.approx(
            brentq(lambda x, t=target: np.exp(x) + x - t, -50, 50, xtol=1e-14), abs=1e-12
        )


def test_guarded_steps_survive_a_kink_and_a_lying_slope() -> None:
    def kinked(x: Array) -> tuple[Array, Array]:
        return np.where(x < 1.0, 0.01 * (x - 1.0), 100.0 * (x - 1.0)) + 0.005, np.full_like(x, 1e-3)

    found = root_by_slope(kinked, np.array(5.0), np.array(-3.0))

    assert found == pytest.approx(0.5, abs=1e-9)


def test_guarded_steps_do_not_circle_around_a_kink() -> None:
    # On this square root a Newton step goes from x to -x, exactly, for ever.
    def circling(x: Array) -> tuple[Array, Array]:
        return np.sign(x) * np.sqrt(np.abs(x)), 0.5 / np.sqrt(np.abs(x))

    assert root_by_slope(circling, np.array(1.0), np.array(-3.0)) == pytest.approx(0.0, abs=1e-12)


def test_a_root_does_not_hang_on_its_neighbours() -> None:
    # The first start makes plain steps stray, so that this entry is solved between two ends.
    starts = np.array([-40.0, 2.0, 0.3, 13.8, np.nan])

    def of(targets: Array, start: Array) -> Array:
        def curve(x: Array) -> tuple[Array, Array]:
            return np.exp(x) + x - targets, np.exp(x) + 1.0

        return root_by_slope(curve, start, np.full_like(start, -50.0))

    together = of(TARGETS, starts)

    for at in range(len(TARGETS)):
        alone = of(TARGETS[at : at + 1], starts[at : at + 1])
        assert np.array_equal(alone, together[at : at + 1], equal_nan=True)
    assert np.isnan(together[-1])
    assert np.isfinite(together[:-1]).all()


def test_a_small_last_step_ends_a_smooth_search_only() -> None:
    calls = []

    def line(x: Array) -> tuple[Array, Array]:
        calls.append(x)
        return np.log1p(x), 1.0 / (1.0 + x)

    for kinked, asked in ((False, 1), (True, 2)):
        calls.clear()
        assert root_by_slope(line, np.array(5e-9), np.array(-0.5), kinked=kinked) == pytest.approx(
            0.0, abs=1e-16
        )
        assert len(calls) == asked
