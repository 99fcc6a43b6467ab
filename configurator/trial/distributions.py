"""Normal, chi-square, F and t distributions, the last noncentral too, without a statistics library.

Textbook series, continued fractions and quadrature; the tests hold each against scipy.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_STANDARD = NormalDist()
_TINY = 1e-300
_TERMS = 2000
_ACCURACY = 1e-15
_CLOSE = 1e-13


def normal_cdf(value: float) -> float:
    """Share of a standard normal distribution below a value. [-]

    Examples
    --------
    >>> round(normal_cdf(1.959964), 6)
    0.975
    """
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def normal_quantile(share: float) -> float:
    """Value below which a share of a standard normal distribution lies. [-]"""
    return _STANDARD.inv_cdf(share)


def chi_square_above(value: float, freedom: float) -> float:
    """Share of a chi-square distribution of so many degrees of freedom above a value."""
    shape, half = freedom / 2.0, value / 2.0
    if half <= 0.0:
        return 1.0
    factor = math.exp(shape * math.log(half) - half - math.lgamma(shape))
    if half < shape + 1.0:
        return 1.0 - factor * _lower_series(shape, half)
    return factor * _upper_fraction(shape, half)


def _lower_series(shape: float, half: float) -> float:
    term = total = 1.0 / shape
    for step in range(1, _TERMS):
        term *= half / (shape + step)
        total += term
        if term < total * _ACCURACY:
            break
    return total


def _upper_fraction(shape: float, half: float) -> float:
    """Continued fraction of the upper incomplete gamma function, by the method of Lentz."""
    b = half + 1.0 - shape
    c = 1.0 / _TINY
    d = 1.0 / b
    total = d
    for step in range(1, _TERMS):
        a = -step * (step - shape)
        b += 2.0
        d = 1.0 / _away_from_zero(a * d + b)
        c = _away_from_zero(b + a / c)
        total *= d * c
        if abs(d * c - 1.0) < _ACCURACY:
            break
    return total


def _away_from_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


@lru_cache(maxsize=1024)
def chi_square_quantile(share: float, freedom: float) -> float:
    """Value below which a share of a chi-square distribution lies. [-]"""
    # Wilson and Hilferty's cube is within a few per cent, so that a short bracket holds it.
    middle = 2.0 / (9.0 * freedom)
    guess = freedom * max(1.0 - middle + normal_quantile(share) * math.sqrt(middle), 0.02) ** 3
    return root(
        lambda value: 1.0 - chi_square_above(value, freedom) - share, guess / 2.0, guess * 2.0
    )


def t_cdf(value: float, freedom: float) -> float:
    """Share of Student's t distribution below a value. [-]"""
    tail = 0.5 * _incomplete_beta(freedom / (freedom + value * value), freedom / 2.0, 0.5)
    return 1.0 - tail if value >= 0.0 else tail


@lru_cache(maxsize=4096)
def t_quantile(share: float, freedom: float) -> float:
    """Value below which a share of Student's t distribution lies. [-]

    Examples
    --------
    >>> round(t_quantile(0.975, 9), 4)
    2.2622
    """
    if share < 0.5:  # noqa: PLR2004 - the middle of a symmetric distribution
        return -t_quantile(1.0 - share, freedom)
    return root(lambda value: t_cdf(value, freedom) - share, 0.0, 2.0 + normal_quantile(share))


def f_above(value: float, upper: float, lower: float) -> float:
    """Share of the F distribution of two degrees of freedom above a value.

    Examples
    --------
    >>> round(f_above(3.4903, 3, 12), 4)
    0.05
    """
    if math.isinf(value):
        return 0.0
    return _incomplete_beta(lower / (lower + upper * max(value, 0.0)), lower / 2.0, upper / 2.0)


def _incomplete_beta(x: float, a: float, b: float) -> float:
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _incomplete_beta(1.0 - x, b, a)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front += a * math.log(x) + b * math.log1p(-x)
    c, d = 1.0, 1.0 / _away_from_zero(1.0 - (a + b) * x / (a + 1.0))
    total = d
    for step in range(1, _TERMS):
        even = step * (b - step) * x / ((a + 2 * step - 1) * (a + 2 * step))
        odd = -(a + step) * (a + b + step) * x / ((a + 2 * step) * (a + 2 * step + 1))
        for part in (even, odd):
            d = 1.0 / _away_from_zero(1.0 + part * d)
            c = _away_from_zero(1.0 + part / c)
            total *= d * c
        if abs(d * c - 1.0) < _ACCURACY:
            break
    return math.exp(front) * total / a


def noncentral_t_cdf(value: float, freedom: float, shift: float) -> float:
    """Share of a noncentral t distribution below a value.

    The value is the ratio of a normal value, shifted, to an independent spread of so many degrees
    of freedom. By definition: the normal share integrated over the distribution of the spread.
    """
    spreads, weights = _spread_nodes(freedom)
    shares = np.array([normal_cdf(value * spread - shift) for spread in spreads])
    return float(shares @ weights)


@lru_cache(maxsize=64)
def _spread_nodes(freedom: float) -> tuple[Floats, Floats]:
    """Nodes and weights over the sample spread s / sigma, whose square is chi-square / freedom."""
    deviation = 1.0 / math.sqrt(2.0 * freedom)
    low, high = max(1.0 - 12.0 * deviation, 0.0), 1.0 + 12.0 * deviation
    nodes, weights = np.polynomial.legendre.leggauss(240)
    spreads = low + (high - low) * (nodes + 1.0) / 2.0
    half = freedom / 2.0
    log_density = (
        half * math.log(half)
        - math.lgamma(half)
        + math.log(2.0)
        + (freedom - 1.0) * np.log(spreads)
        - half * spreads**2
    )
    return spreads, weights * (high - low) / 2.0 * np.exp(log_density)


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Zero of a function that rises over the bracket, which is widened until it holds the zero.

    Regula falsi in the Illinois variant: the value at an end that stays is halved.
    """
    at_low, at_high = function(low), function(high)
    while at_low > 0.0 and low > _TINY:
        high, at_high = low, at_low
        low /= 2.0
        at_low = function(low)
    while at_high < 0.0:
        low, at_low = high, at_high
        high *= 2.0
        at_high = function(high)
    stayed = 0
    for _ in range(200):
        if at_high == at_low or high - low <= _CLOSE * high:
            break
        middle = high - at_high * (high - low) / (at_high - at_low)
        at_middle = function(middle)
        if abs(at_middle) < _ACCURACY:
            return middle
        if at_middle < 0.0:
            low, at_low = middle, at_middle
            at_high, stayed = (at_high / 2.0 if stayed == 1 else at_high), 1
        else:
            high, at_high = middle, at_middle
            at_low, stayed = (at_low / 2.0 if stayed == -1 else at_low), -1
    return (low + high) / 2.0
