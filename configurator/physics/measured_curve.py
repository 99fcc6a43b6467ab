"""A flow curve as it was measured: straight lines between points in a log-log plot."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Self

import numpy as np

from configurator.physics.domain import (
    Array,
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve

NEAR_NEWTONIAN_SLOPE = 0.8
"""Log-log slope of the lowest two points from which a yield stress is taken as absent [-]
(own choice, no source)."""


@dataclass(frozen=True, init=False)
class MeasuredCurve(FlowCurve):
    """Measured points, interpolated as power laws from each point to the next.

    Both columns must rise from point to point; scattered points are for `fit_flow_curve`.
    Outside the points the end lines are prolonged: the answer is then an extrapolation, see
    `highest_rate`. Points alone do not show a yield stress, so it is NaN (unknown),
    unless the material is close to Newtonian at the low end, where it is taken as 0.

    Notes
    -----
    Source: log-log interpolation, common practice.

    Examples
    --------
    >>> curve = MeasuredCurve(rates=(1.0, 100.0), stresses=(10.0, 100.0))
    >>> round(curve.stress(4.0), 12), curve.highest_rate, curve.yield_stress
    (20.0, 100.0, nan)
    """

    name: ClassVar[str] = "measured points"
    kinked: ClassVar[bool] = True
    rates: tuple[float, ...]
    stresses: tuple[float, ...]
    factor: Floats = 1.0
    yield_stress: Floats = field(init=False, repr=False, compare=False)
    _log_rates: Array = field(init=False, repr=False, compare=False)
    _log_stresses: Array = field(init=False, repr=False, compare=False)
    _slopes: Array = field(init=False, repr=False, compare=False)

    def __init__(
        self, rates: Sequence[float], stresses: Sequence[float], factor: Floats = 1.0
    ) -> None:
        """Take rates [1/s], stresses [Pa] and a factor on the stresses [-]."""
        across, up = array(np.asarray(rates)), array(np.asarray(stresses))
        if across.ndim != 1 or across.shape != up.shape or across.size < 2:
            raise PhysicsDomainError("a measured curve needs two or more pairs of rate and stress")
        require_positive(rates=across, stresses=up, factor=factor)
        if not (bool(np.all(np.diff(across) > 0.0)) and bool(np.all(np.diff(up) > 0.0))):
            raise PhysicsDomainError(
                "rates and stresses must both rise from point to point; fit a model instead"
            )
        log_rates, log_stresses = np.log(across), np.log(up)
        slopes = np.diff(log_stresses) / np.diff(log_rates)
        given: dict[str, object] = {
            "rates": tuple(across.tolist()),
            "stresses": tuple(up.tolist()),
            "factor": factor,
            "yield_stress": 0.0 if slopes[0] >= NEAR_NEWTONIAN_SLOPE else float(np.nan),
            "_log_rates": log_rates,
            "_log_stresses": log_stresses,
            "_slopes": slopes,
        }
        for name, value in given.items():
            object.__setattr__(self, name, value)

    @property
    def highest_rate(self) -> float:
        """Return the last measured rate [1/s]."""
        return self.rates[-1]

    def _segment(self, value: Array, knots: Array) -> Array:
        """Return the number of the line that a value lies on."""
        place: Array = np.clip(np.searchsorted(knots, value, side="right") - 1, 0, knots.size - 2)
        return place

    def stress(self, rate: Floats) -> Floats:
        """Return the interpolated stress [Pa]; 0 at rest."""
        require_not_negative(rate=rate)
        with np.errstate(divide="ignore"):
            log_rate = np.log(array(rate))
        line = self._segment(log_rate, self._log_rates)
        rise = self._slopes[line] * (log_rate - self._log_rates[line])
        return plain(array(self.factor) * np.exp(self._log_stresses[line] + rise))

    def rate(self, stress: Floats) -> Floats:
        """Return the rate interpolated the other way round [1/s]."""
        require_not_negative(stress=stress)
        with np.errstate(divide="ignore"):
            log_stress = np.log(array(stress) / array(self.factor))
        line = self._segment(log_stress, self._log_stresses)
        run = (log_stress - self._log_stresses[line]) / self._slopes[line]
        return plain(np.exp(self._log_rates[line] + run))

    def slope(self, rate: Floats) -> Floats:
        """Return the slope of the line the rate lies on [-]."""
        require_not_negative(rate=rate)
        with np.errstate(divide="ignore"):
            log_rate = np.log(array(rate))
        line = self._segment(log_rate, self._log_rates)
        return plain(np.where(np.isnan(log_rate), np.nan, self._slopes[line]))

    def scaled(self, factor: Floats) -> Self:
        """Return the same points with every stress multiplied once more."""
        require_positive(factor=factor)
        return type(self)(self.rates, self.stresses, plain(array(self.factor) * array(factor)))

    def mean_power(self, wall_rate: Array, power: int) -> Array:
        """Return the mean of (stress/wall stress)^power over rates from 0 to the wall rate.

        Exact: each line is a power law, so each part of the integral has a closed form.
        """
        exponents = power * self._slopes + 1.0
        # Below the first point the first line goes on to zero rate.
        values = np.exp(power * self._log_stresses + self._log_rates)
        parts = np.concatenate(([values[0] / exponents[0]], (values[1:] - values[:-1]) / exponents))
        up_to_knot = np.cumsum(parts)
        log_rate = np.log(wall_rate)
        line = self._segment(log_rate, self._log_rates)
        rise = self._slopes[line] * (log_rate - self._log_rates[line])
        log_wall_stress = self._log_stresses[line] + rise
        at_wall = np.exp(power * log_wall_stress + log_rate)
        total = up_to_knot[line] + (at_wall - values[line]) / exponents[line]
        # A factor on all stresses cancels out, but an unknown one leaves the answer unknown.
        mean: Array = total / at_wall + 0.0 * array(self.factor)
        # On the first line the two sums would cancel: far below it no digit would be left.
        return np.where(line == 0, 1.0 / exponents[0] + 0.0 * mean, mean)
