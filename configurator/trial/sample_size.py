"""How many shots a trial takes, how many go into a weighing, how wide an interval they leave."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from configurator.trial.distributions import (
    chi_square_above,
    chi_square_quantile,
    normal_cdf,
    normal_quantile,
    root,
)

TOLERANCE_SHARE = 0.1
"""Balance step over the tolerance of one weighing, at most (common practice, no source). [-]"""

USUAL_STEP = 1e-7
"""Step of an analytical balance, 0.1 mg (common practice, no source). [kg]"""

MOST_GROUPED = 50
"""Shots in one weighing, at most (common practice, no source). [-]"""

MOST_SHOTS = 1000
"""Shots a set point beyond which nobody weighs (common practice, no source)."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


@dataclass(frozen=True, slots=True)
class Weighing:
    """How the shots of the repeatability block are weighed."""

    shots: int
    """Shots in one weighing. [-]"""
    enough: bool
    """False if even the largest group is too light for the balance at hand."""


def weighing(*, shot_mass: float, tolerance: float, step: float = USUAL_STEP) -> Weighing:
    """Group shots so that the balance at hand, of this step [kg], sees a tenth of the tolerance.

    The mean of a group hides what single shots do: their spread follows from that of the
    groups only if shots are independent of one another.

    Examples
    --------
    >>> weighing(shot_mass=1e-6, tolerance=0.05).shots
    20
    """
    wanted = math.ceil(step / (TOLERANCE_SHARE * tolerance * shot_mass) - 1e-9)
    shots = min(max(wanted, 1), MOST_GROUPED)
    return Weighing(shots, enough=wanted <= MOST_GROUPED)


def coarsest_step(*, mass: float, tolerance: float) -> float:
    """Coarsest balance step for a weighing of a mass. [kg]"""
    return TOLERANCE_SHARE * tolerance * mass


@lru_cache(maxsize=4096)
def two_sided_factor(
    count: float, coverage: float, confidence: float, freedom: int | None = None
) -> float:
    """Half-width of a two-sided tolerance interval in sample standard deviations.

    Parameters
    ----------
    count : float
        Shots behind the mean; fewer where it is compared with another mean. [-]
    coverage : float
        Share of all future shots that the interval holds. [-]
    confidence : float
        Chance that it does. [-]
    freedom : int, optional
        Degrees of freedom of the standard deviation; `count - 1` if left out. [-]

    Returns
    -------
    factor : float
        k of the interval mean +/- k s. [-]

    Notes
    -----
    Exact for a normal distribution with unknown mean and spread: for each possible error of
    the mean, the width that covers; then the chance that the sample spread reaches it, over
    all errors of the mean. As in ISO 16269-6:2014, annex F.

    Examples
    --------
    >>> round(two_sided_factor(10, 0.95, 0.95), 3)
    3.393
    """
    degrees = count - 1 if freedom is None else freedom
    widest = 9.0 / math.sqrt(count)
    shifts = widest * (_NODES + 1.0) / 2.0
    # Both signs of the error of the mean count: twice the half that is integrated.
    weights = 2.0 * _WEIGHTS * widest / 2.0 * np.exp(-count * shifts**2 / 2.0)
    weights *= math.sqrt(count / (2.0 * math.pi))
    widths = [_covering_width(float(shift), coverage) for shift in shifts]

    def chance(factor: float) -> float:
        shares = [chi_square_above(degrees * (w / factor) ** 2, degrees) for w in widths]
        return float(np.dot(weights, shares)) - confidence

    # Howe's approximation starts close by.
    howe = normal_quantile((1.0 + coverage) / 2.0) * math.sqrt(
        degrees * (1.0 + 1.0 / count) / chi_square_quantile(1.0 - confidence, degrees)
    )
    return root(chance, howe * 0.98, howe * 1.02)


def _covering_width(shift: float, coverage: float) -> float:
    """Half-width around a point off the middle that covers a share of a normal distribution."""
    width = shift + normal_quantile((1.0 + coverage) / 2.0)
    for _ in range(60):
        missing = normal_cdf(shift + width) - normal_cdf(shift - width) - coverage
        density = math.exp(-((shift + width) ** 2) / 2.0) + math.exp(-((shift - width) ** 2) / 2.0)
        step = missing * math.sqrt(2.0 * math.pi) / density
        width -= step
        if abs(step) < 1e-13 * width:
            break
    return width


def zero_failure_count(*, reliability: float, confidence: float) -> int:
    """Shots that must all be good to show a reliability without assuming a distribution.

    Smallest n with reliability^n <= 1 - confidence: the success-run formula.

    Examples
    --------
    >>> [zero_failure_count(reliability=r, confidence=0.95) for r in (0.90, 0.95, 0.99)]
    [29, 59, 299]
    """
    return math.ceil(math.log(1.0 - confidence) / math.log(reliability) - 1e-9)


def shown_reliability(*, count: int, confidence: float) -> float:
    """Share of good shots that a count of good shots without a bad one shows. [-]"""
    return float((1.0 - confidence) ** (1.0 / count)) if count else 0.0


def shots_needed(
    *, room: float, coverage: float, confidence: float, chance: float = 0.5, least: int = 2
) -> int | None:
    """Fewest shots whose tolerance interval has room.

    Parameters
    ----------
    room : float
        Half-width that is allowed, in true standard deviations. [-]
    coverage, confidence : float
        Of the tolerance interval. [-]
    chance : float
        Chance that a good head passes: the sample spread may come out high by luck. [-]
    least : int
        Smallest answer. [-]

    Returns
    -------
    count : int or None
        None where no reasonable number of shots would do. [-]
    """

    def passes(count: int) -> bool:
        luck = math.sqrt(chi_square_quantile(chance, count - 1) / (count - 1))
        return two_sided_factor(count, coverage, confidence) * luck <= room

    if room <= normal_quantile((1.0 + coverage) / 2.0) or not passes(MOST_SHOTS):
        return None
    low, high = 1, MOST_SHOTS  # the factor falls with the count, so that halving finds it
    while high - low > 1:
        middle = (low + high) // 2
        if middle >= 2 and passes(middle):  # noqa: PLR2004 - one shot has no spread
            high = middle
        else:
            low = middle
    return max(high, least)
