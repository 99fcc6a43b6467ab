"""Shots that do not belong to the others, named and never dropped."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from configurator.trial.distributions import t_quantile

FEWEST = 8
"""Values below which no outlier can be told from the spread (common practice, no source)."""

Floats = NDArray[np.float64]


def extreme_studentized(values: Floats, *, most: int) -> tuple[list[float], list[int]]:
    """Largest studentized deviation, again and again without the value that had it.

    Returns
    -------
    tuple
        Deviations, and the place of each value.
    """
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
