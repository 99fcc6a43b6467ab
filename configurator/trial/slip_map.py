"""Displacement, leak and slip of one side, from catches over speed and back pressure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.trial.distributions import Floats, t_quantile
from configurator.trial.plan import SideFacts
from configurator.trial.sample import LinearFit, fit

OPENINGS = (0.15, 0.3, 0.45, 0.6, 0.75)
"""Opening pressures that are tried, as shares of the highest pressure of the map. [-]"""

AS_GOOD = 2.0
"""Difference of the information criterion below which two shapes describe the catches equally well
(common practice, no source). [-]"""

TURNS_APART = 1.5
"""Longest over shortest catch from which displacement and the loss of a start come apart. [-]"""

SURE = 0.999
"""Confidence from which something is named: many things are looked at in one trial. [-]"""


@dataclass(frozen=True)
class Catches:
    """Catches of one side."""

    per_turn: Floats
    """Delivered volume a turn. [m^3/rev]"""
    turns: Floats
    """Of the rotor in one start. [rev]"""
    shots: Floats
    """Starts in the catch, over which it is a mean. [-]"""
    speed: Floats
    """Of the rotor. [rev/s]"""
    pressure: Floats
    """Behind the outlet. [Pa]"""
    straight: NDArray[np.bool_]
    """True for catches of the line block."""


@dataclass(frozen=True)
class Estimate:
    """A figure and the half-width of its 95 % confidence interval."""

    value: float
    half: float

    @property
    def low(self) -> float:
        """Lower end."""
        return self.value - self.half

    @property
    def high(self) -> float:
        """Upper end."""
        return self.value + self.half


@dataclass(frozen=True)
class SlipMap:
    """What one side delivers."""

    displacement: Estimate
    """Volume a turn at no pressure and no leak, whatever a start takes; with the uncertainty of the
    density. [m^3/rev]"""
    start: Estimate | None
    """What each start takes, as air or a soft line does; None where all catches are of one length
    and it cannot be told from the displacement. [m^3]"""
    leak: Estimate
    """Flow that is lost at any speed and pressure. [m^3/s]"""
    leak_is_sure: bool
    """True if the leak is above nothing with near certainty."""
    slip: tuple[tuple[float, Estimate], ...]
    """At each back pressure of the map: what pressure alone takes. [Pa, m^3/s]"""
    opening: float | None
    """Pressure over the whole stator from which it slips, where that describes the catches best;
    None where slip follows the pressure from zero on. [Pa]"""
    slip_is_sure: bool
    """True if slip at the highest pressure is above nothing with near certainty."""
    nonlinearity: float
    """Farthest mean of a speed from the straight line of flow over speed, as a share of the highest
    flow. [-]"""
    spread: float
    """Relative standard deviation of catches about the map. [-]"""
    catches: int


def slip_map(catches: Catches, side: SideFacts, density_error: float) -> SlipMap | None:
    """Fit displacement, leak and slip; None where the catches cannot tell the three apart.

    The density is off by a relative half-width. A turn of a catch of t turns delivers V - start
    / t - leak / n - s g(p) / n. The loss of a start is fitted wherever catches of several
    lengths are there, shown or not: leaving a small one out would move the displacement further
    than its interval. With a clearance g is the pressure itself. An elastomer stator opens above
    a pressure p0, and then g is (p - p0)^3 p, as in `physics.slip_calibration.opening_gap` with
    a laminar slit; a worn one slips as with a clearance. The shape with the smallest information
    criterion (BIC) is taken; of opening pressures that describe the catches as well, the lowest,
    which is the one that drips first.
    """
    unit = side.displacement
    highest = float(catches.pressure.max(initial=0.0))
    shapes: list[float | None] = [None]
    if not side.rigid:
        shapes += [share * highest for share in OPENINGS]
    lengths = _several_lengths(catches.turns)
    fits: list[tuple[float, float | None, LinearFit]] = []
    for opening in shapes:
        terms = [
            np.ones_like(catches.speed),
            -1.0 / (catches.speed * unit),
            -_shape(catches.pressure, opening, highest) / (catches.speed * unit),
        ]
        if lengths:
            terms.append(-1.0 / catches.turns)
        # A mean of several shots spreads less, and counts for as much more.
        weights = np.sqrt(catches.shots)
        columns = np.stack(terms, axis=1)
        found = fit(columns * weights[:, np.newaxis], catches.per_turn / unit * weights)
        if found is not None:
            count = len(catches.speed)
            # Choosing an opening pressure takes a degree of freedom of its own.
            wide = columns.shape[1] + (opening is not None)
            score = count * math.log(max(found.squares, 1e-30) / count) + wide * math.log(count)
            fits.append((score, opening, found))
    if not fits:
        return None
    _, opening, best = _chosen(fits)
    half = math.hypot(best.half_width(0), best.values[0] * density_error)
    sure = t_quantile((1.0 + SURE) / 2.0, best.freedom)
    pressures = sorted({round(float(value), -3) for value in catches.pressure})
    slip = tuple(
        (pressure, _slip_at(best, pressure, opening, highest)) for pressure in _few(pressures)
    )
    return SlipMap(
        displacement=Estimate(float(best.values[0]) * unit, half * unit),
        start=Estimate(float(best.values[3]) * unit, best.half_width(3) * unit)
        if lengths
        else None,
        leak=Estimate(float(best.values[1]), best.half_width(1)),
        leak_is_sure=bool(best.values[1] > sure * best.error(1)),
        slip=slip,
        opening=opening,
        slip_is_sure=bool(best.values[2] > sure * best.error(2)),
        nonlinearity=_nonlinearity(catches),
        spread=math.sqrt(best.squares / best.freedom),
        catches=len(catches.speed),
    )


def _chosen(
    fits: Sequence[tuple[float, float | None, LinearFit]],
) -> tuple[float, float | None, LinearFit]:
    best = min(fits, key=lambda entry: entry[0])
    if best[1] is None:
        return best
    near = [entry for entry in fits if entry[0] <= best[0] + AS_GOOD]
    return min(near, key=lambda entry: math.inf if entry[1] is None else entry[1])


def _several_lengths(turns: Floats) -> bool:
    return float(turns.max(initial=0.0)) >= TURNS_APART * float(turns.min(initial=np.inf))


def _shape(pressure: Floats, opening: float | None, highest: float) -> Floats:
    """Slip over pressure, 1 at the highest pressure for a clearance."""
    scaled = pressure / max(highest, 1.0)
    if opening is None:
        return scaled
    return np.maximum(scaled - opening / max(highest, 1.0), 0.0) ** 3 * scaled


def _slip_at(best: LinearFit, pressure: float, opening: float | None, highest: float) -> Estimate:
    factor = float(_shape(np.array([pressure]), opening, highest)[0])
    return Estimate(float(best.values[2]) * factor, best.half_width(2) * factor)


def _few(pressures: list[float]) -> list[float]:
    """Lowest, middle and highest of the pressures."""
    if len(pressures) <= 3:  # noqa: PLR2004 - lowest, middle and highest
        return pressures
    return [pressures[0], pressures[len(pressures) // 2], pressures[-1]]


def _nonlinearity(catches: Catches) -> float:
    """Farthest mean of a speed from the straight line, over the highest flow. [-]"""
    speed = catches.speed[catches.straight]
    flow = catches.per_turn[catches.straight] * speed
    if len(np.unique(speed)) < 3:  # noqa: PLR2004 - two points make any line straight
        return math.nan
    line = np.polynomial.Polynomial.fit(speed, flow, 1)
    means = [
        abs(float(np.mean(flow[speed == value] - line(speed[speed == value]))))
        for value in np.unique(speed)
    ]
    return max(means) / float(flow.max())
