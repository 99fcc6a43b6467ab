"""Least squares for many problems at once: each takes the steps that it would take alone."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Array, in_one_order

STEPS = 200
TRIES = 12
"""Dampings that are tried before a search ends where it stands."""


@dataclass(frozen=True)
class LeastSquares:
    """Damped Gauss-Newton steps, each problem a column.

    The damping follows the success of the last step (K. Levenberg 1944, D. Marquardt 1963, method
    from memory); slopes by central differences.
    """

    missed: Callable[[Array, NDArray[np.intp]], Array]
    """Takes parameters, shape (parameters, ..., columns), and the numbers of the columns; returns
    residuals, shape (residuals, ..., columns)."""
    enough: Array
    """For each column, the sum of squares at which nothing is left to improve."""

    def best(self, start: Array) -> tuple[Array, Array]:
        """Return the parameters with the least sum of squared residuals near a start, and it."""
        point = start.copy()
        columns = np.arange(start.shape[1])
        missed = self.missed(point, columns)
        cost = in_one_order(missed**2)
        damping = np.full(columns.size, 1e-3)
        for _ in range(STEPS):
            before = cost[columns]
            stepped = self._step(columns, point, missed, cost, damping)
            columns, before = columns[stepped], before[stepped]
            gain = before - cost[columns]
            damping[columns] = np.maximum(damping[columns] / 5.0, 1e-12)
            done = (gain <= 1e-9 * before) | (cost[columns] <= self.enough[columns])
            columns = columns[~done]
            if not columns.size:
                break
        return point, cost

    def _step(
        self, columns: NDArray[np.intp], point: Array, missed: Array, cost: Array, damping: Array
    ) -> NDArray[np.bool_]:
        """Take a step that lowers the cost for each column; False where there is none."""
        slopes = self._slopes(columns, point[:, columns])
        normal = in_one_order(slopes[:, :, np.newaxis] * slopes[:, np.newaxis])
        gradient = in_one_order(slopes * missed[:, np.newaxis, columns])
        unit = np.eye(len(point))
        scale = np.einsum("iic,ij->cij", normal, unit) + 1e-12 * unit
        square, downhill = np.moveaxis(normal, -1, 0), gradient.T[..., np.newaxis]
        left = np.arange(columns.size)
        stepped = np.zeros(columns.size, dtype=np.bool_)
        for _ in range(TRIES):
            at = columns[left]
            damped = square[left] + damping[at, np.newaxis, np.newaxis] * scale[left]
            tried = point[:, at] - np.linalg.solve(damped, downhill[left])[..., 0].T
            off = self.missed(tried, at)
            found = in_one_order(off**2)
            lower = found < cost[at]
            kept = at[lower]
            point[:, kept], missed[:, kept], cost[kept] = (
                tried[:, lower],
                off[:, lower],
                found[lower],
            )
            stepped[left[lower]] = True
            damping[at[~lower]] *= 4.0
            left = left[~lower]
            if not left.size:
                break
        return stepped

    def _slopes(self, columns: NDArray[np.intp], point: Array) -> Array:
        """Return how each residual changes with each parameter."""
        step = 1e-6 * np.maximum(1.0, np.abs(point))
        apart = np.eye(len(point))[:, :, np.newaxis] * step
        moved = np.concatenate([point[:, np.newaxis] + apart, point[:, np.newaxis] - apart], axis=1)
        ahead, behind = np.split(self.missed(moved, columns), 2, axis=1)
        return np.asarray((ahead - behind) / (2.0 * step))
