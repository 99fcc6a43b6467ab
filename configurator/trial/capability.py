"""Capability: how often the spread fits into the tolerance, and how sure that is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from configurator.trial.distributions import noncentral_t_cdf


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
