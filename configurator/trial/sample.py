"""What a sample shows: straight fits with their intervals, outliers, and capability."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.trial.distributions import noncentral_t_cdf, t_quantile

Floats = NDArray[np.float64]

FEWEST = 8
"""Values below which no outlier can be told from the spread (common practice, no source)."""


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


def extreme_studentized(values: Floats, *, most: int) -> tuple[list[float], list[int]]:
    """Largest studentized deviations with their places, each without the values before it."""
    left = list(range(len(values)))
    deviations, places = [], []
    for _ in range(most):
        rest = values[left]
        spread = float(np.std(rest, ddof=1))
        if spread == 0.0:
            break
        distances = np.abs(rest - rest.mean()) / spread
        worst = int(np.argmax(distances))
        deviations.append(float(distances[worst]))
        places.append(left.pop(worst))
    return deviations, places


def critical_deviation(count: int, step: int, alpha: float) -> float:
    """Deviation that the `step`th extreme, from 1, of a normal sample stays below.

    A clean sample passes it all the same with the chance alpha. Source: B. Rosner, Technometrics
    25 (1983) 165, as given in documentation of statistical packages.
    """
    left = count - step
    t = t_quantile(1.0 - alpha / (2.0 * (left + 1)), left - 1)
    return left * t / math.sqrt((left - 1 + t * t) * (left + 1))


def outliers(values: Floats, *, alpha: float = 0.01) -> tuple[int, ...]:
    """Places of the outliers of a sample; none in small ones.

    A clean normal sample has any with the chance alpha.
    """
    count = len(values)
    if count < FEWEST:
        return ()
    most = min(10, count // 4)
    deviations, places = extreme_studentized(values, most=most)
    # The last step that is passed counts: several outliers hide one another.
    passed = [
        step
        for step, deviation in enumerate(deviations, start=1)
        if deviation > critical_deviation(count, step, alpha)
    ]
    return tuple(sorted(places[: max(passed, default=0)]))


@dataclass(frozen=True, slots=True)
class Capability:
    """Capability of one set point."""

    cp: float
    """Tolerance over spread, wherever the mean is. [-]"""
    cpk: float
    """The same on the side that is nearer to its limit. [-]"""
    cpk_low: float
    """Lower confidence bound of `cpk`. [-]"""
    confidence: float
    """Of that bound. [-]"""


def capability(
    *,
    mean: float,
    deviation: float,
    count: int,
    lower: float,
    upper: float,
    confidence: float = 0.90,
) -> Capability:
    """Capability of a sample against two limits, its lower bound at a confidence.

    Cp and Cpk by definition, as in ISO 22514-1 (from memory). The bound is exact for the
    nearer side: three times Cpk times the root of the count follows a noncentral t.

    Examples
    --------
    >>> found = capability(mean=16.0, deviation=2.0, count=50, lower=8.0, upper=20.0)
    >>> round(found.cp, 4), round(found.cpk, 4)
    (1.0, 0.6667)
    """
    if deviation <= 0.0:
        inside = lower < mean < upper
        endless = math.inf if inside else -math.inf
        return Capability(math.inf, endless, endless, confidence)
    cp = (upper - lower) / (6.0 * deviation)
    cpk = min(upper - mean, mean - lower) / (3.0 * deviation)
    return Capability(cp, cpk, lower_bound(cpk, count, confidence), confidence)


def lower_bound(cpk: float, count: int, confidence: float) -> float:
    """Lower confidence bound of a capability index on its nearer side. [-]"""
    reach = 3.0 * math.sqrt(count)
    seen = reach * cpk
    low, high = min(cpk, 0.0) - 10.0, cpk + 1.0
    # The chance of seeing no more than this falls as the true index rises.
    for _ in range(100):
        middle = (low + high) / 2.0
        if noncentral_t_cdf(seen, count - 1, reach * middle) > confidence:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
