"""The solver for many problems at once, against scipy."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from configurator.physics.domain import Array
from configurator.physics.least_squares import LeastSquares

ACROSS = np.linspace(0.0, 4.0, 30)
TRUE = np.array([[3.0, 0.2, 5.0], [0.5, 1.5, 0.05]])


def decays(parameters: Array, across: Array) -> Array:
    return np.asarray(parameters[0] * np.exp(-parameters[1] * across))


def test_each_column_finds_what_scipy_finds_alone() -> None:
    noise = 0.1 * np.random.default_rng(2).standard_normal((ACROSS.size, 3))
    seen = decays(TRUE, ACROSS[:, None]) + noise

    def missed(parameters: Array, columns: NDArray[np.intp]) -> Array:
        front = (slice(None),) + (None,) * (parameters.ndim - 1)
        between = (slice(None),) + (None,) * (parameters.ndim - 2)
        return np.asarray(decays(parameters, ACROSS[front]) - seen[:, columns][between])

    start = np.ones((2, 3))
    found, cost = LeastSquares(missed, np.zeros(3)).best(start)
    for column in range(3):
        other = least_squares(
            lambda p, at=column: decays(p, ACROSS) - seen[:, at], np.ones(2), xtol=1e-14, ftol=1e-14
        )
        np.testing.assert_allclose(found[:, column], other.x, rtol=1e-4)
        np.testing.assert_allclose(cost[column], 2.0 * other.cost, rtol=1e-8)
        alone, _ = LeastSquares(
            lambda p, _, at=column: missed(p, np.array([at])), np.zeros(1)
        ).best(start[:, :1])
        assert alone[:, 0].tolist() == found[:, column].tolist()
