"""What a sample shows: straight fits with their intervals, outliers, and capability."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.trial.distributions import Floats, noncentral_t_cdf, t_quantile

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


@dataclass(frozen=True, slots=True)
class Extreme:
    """The value that stands out most, once those before it are gone."""

    group: int
    place: int
    """Where it is."""
    deviation: float
    """From the mean of its group, in its own standard deviation. [-]"""
    left: int
    """Values, this one included. [-]"""
    freedom: int
    """Degrees of freedom of the spread. [-]"""


def extremes(groups: Sequence[Floats], *, most: int) -> list[Extreme]:
    """Return the largest studentized deviations of groups that spread alike, each with its place.

    A deviation is from the mean of its own group, over the spread within all groups.
    """
    left = [list(range(len(values))) for values in groups]
    seen = [_farthest(values, rest) for values, rest in zip(groups, left, strict=True)]
    found: list[Extreme] = []
    while len(found) < most:
        squares = sum(each[0] for each in seen)
        freedom = sum(max(len(rest) - 1, 0) for rest in left)
        if freedom < 2 or squares <= 0.0:  # noqa: PLR2004 - one degree tells no outlier
            break
        group = max(range(len(seen)), key=lambda at: seen[at][1])
        _, away, place = seen[group]
        deviation = away / math.sqrt(squares / freedom)
        found.append(Extreme(group, place, deviation, sum(map(len, left)), freedom))
        left[group].remove(place)
        seen[group] = _farthest(groups[group], left[group])
    return found


def _farthest(values: Floats, rest: list[int]) -> tuple[float, float, int]:
    """Squares about the mean of what is left; the farthest over its own uncertainty; its place.

    Of a pair both are as far: then the one that is farther from nothing.
    """
    if len(rest) < 2:  # noqa: PLR2004 - one has no fellow to stand out from
        return 0.0, -1.0, -1
    left = values[rest]
    away = np.abs(left - left.mean())
    at = int(np.argmax(away + 1e-9 * np.abs(left)))
    return float(away @ away), float(away[at]) / math.sqrt(1.0 - 1.0 / len(rest)), rest[at]


def critical_deviation(left: int, freedom: int, alpha: float) -> float:
    """Deviation that the most extreme of so many normal values stays below.

    A clean sample passes it all the same with the chance alpha. For one group it is that of
    B. Rosner, Technometrics 25 (1983) 165, as given in documentation of statistical packages,
    over the root of 1 - 1 / left; for several, the spread has fewer degrees of freedom.
    """
    t = t_quantile(1.0 - alpha / (2.0 * left), freedom - 1)
    return math.sqrt(freedom * t * t / (freedom - 1 + t * t))


def outliers(groups: Sequence[Floats], *, alpha: float = 0.01) -> list[Extreme]:
    """Return the outliers of groups that spread alike; none among few values.

    Clean normal groups have any with the chance alpha. The generalised extreme studentized
    deviate: the last step that is passed counts, for several outliers hide one another.
    """
    count = sum(map(len, groups))
    if count < FEWEST:
        return []
    found = extremes(groups, most=min(20, count // 4))
    passed = [
        step
        for step, each in enumerate(found, start=1)
        if each.deviation > critical_deviation(each.left, each.freedom, alpha)
    ]
    return found[: max(passed, default=0)]


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
