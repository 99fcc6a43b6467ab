"""Straight fits with their intervals: least squares over a few columns."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.trial.distributions import t_quantile

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LinearFit:
    """A linear fit."""

    values: Floats
    """One coefficient a column. [column]"""
    covariance: Floats
    """Of the coefficients. [column]"""
    residuals: Floats
    """Measured minus fitted. [-]"""
    freedom: int
    """Degrees of freedom left. [-]"""

    @property
    def squares(self) -> float:
        """Sum of the squared residuals."""
        return float(self.residuals @ self.residuals)

    def error(self, column: int) -> float:
        """Standard error of a coefficient."""
        return math.sqrt(max(float(self.covariance[column, column]), 0.0))

    def half_width(self, column: int, confidence: float = 0.95) -> float:
        """Half-width of a coefficient's confidence interval."""
        return t_quantile((1.0 + confidence) / 2.0, self.freedom) * self.error(column)

    def at(self, row: Floats, confidence: float = 0.95) -> tuple[float, float]:
        """Fitted value of a row of columns, and the half-width of its interval."""
        middle = float(row @ self.values)
        spread = math.sqrt(max(float(row @ self.covariance @ row), 0.0))
        return middle, t_quantile((1.0 + confidence) / 2.0, self.freedom) * spread


def fit(columns: Floats, measured: Floats) -> LinearFit | None:
    """Fit by least squares: columns of shape (n, columns) to what was measured, of shape (n,).

    None where the columns cannot be told apart, or nothing is left to judge the spread by.
    """
    count, wide = columns.shape
    if count <= wide:
        return None
    # Columns of very different size are told apart in their own scale.
    scale = np.sqrt((columns**2).sum(axis=0))
    if not np.all(scale > 0.0):
        return None
    scaled = columns / scale
    if np.linalg.matrix_rank(scaled, tol=1e-7) < wide:
        return None
    inverse = np.linalg.inv(scaled.T @ scaled)
    values = inverse @ scaled.T @ measured
    residuals = measured - scaled @ values
    freedom = count - wide
    variance = float(residuals @ residuals) / freedom
    covariance = variance * inverse / np.outer(scale, scale)
    return LinearFit(values / scale, covariance, residuals, freedom)


def slope(along: Floats, measured: Floats) -> LinearFit | None:
    """Fit `measured = level + slope * along`, the line's middle as the origin."""
    centred = along - along.mean() if len(along) else along
    return fit(np.stack([np.ones_like(centred), centred], axis=1), measured)
