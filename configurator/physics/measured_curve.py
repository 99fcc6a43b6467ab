"""A flow curve as it was measured: straight lines between points in a log-log plot."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Self

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Array,
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve

NEAR_NEWTONIAN_SLOPE = 0.8
"""Log-log slope of the lowest two points from which a yield stress is taken as absent [-]
(own choice, no source)."""


@dataclass(frozen=True, init=False)
class MeasuredCurve(FlowCurve):
    """Measured points, interpolated as power laws from each point to the next.

    Both columns must rise from point to point; scattered points are for `fit_flow_curves`.
    Outside the points the end lines are prolonged: the answer is then an extrapolation. Points
    alone do not show a yield stress, so it is NaN (unknown), unless the material is close to
    Newtonian at the low end, where it is taken as 0.

    Notes
    -----
    Source: log-log interpolation, common practice.

    Examples
    --------
    >>> curve = MeasuredCurve(rates=(1.0, 100.0), stresses=(10.0, 100.0))
    >>> round(curve.stress(4.0), 12), curve.yield_stress
    (20.0, nan)
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
    _lines: NDArray[np.intp] = field(init=False, repr=False, compare=False)
    _one_grid: bool = field(default=False, init=False, repr=False, compare=False)
    """True of many curves at once that were read at the same rates."""
    row: NDArray[np.intp] | None = field(default=None, init=False, repr=False, compare=False)
    """Of many curves at once, each a row of the tables of points: the one that an entry is for."""

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

    @classmethod
    def together(cls, curves: Sequence[Self], axes: int, of: NDArray[np.intp]) -> Self:
        """Return many curves as one, along the first axis of arrays.

        Parameters
        ----------
        curves : Sequence
            One or more. [-]
        axes : int
            Further axes that the arrays are to broadcast over. [-]
        of : ndarray of int
            Which curve each entry of the first axis has. [-]
        """
        shape = (len(of),) + (1,) * axes
        longest = max(len(curve.rates) for curve in curves)

        def table(name: str, size: int) -> Array:
            # Behind a curve's last point no rate and no stress ever lies.
            rows = np.full((len(curves), size), np.inf)
            for row, curve in zip(rows, curves, strict=True):
                points = getattr(curve, name)
                row[: points.size] = points
            return rows

        def column(name: str) -> Array:
            return np.array([getattr(curve, name) for curve in curves])[of].reshape(shape)

        given: dict[str, object] = {
            "factor": column("factor"),
            "yield_stress": column("yield_stress"),
            "row": of.reshape(shape),
            "_log_rates": table("_log_rates", longest),
            "_log_stresses": table("_log_stresses", longest),
            "_slopes": table("_slopes", longest - 1),
            "_lines": np.array([len(curve.rates) - 2 for curve in curves]),
            "_one_grid": all(curve.rates == curves[0].rates for curve in curves),
        }
        return curves[0]._having(given)  # noqa: SLF001 - of its own class

    def _segment(self, value: Array, knots: Array) -> NDArray[np.intp]:
        """Return the number of the line that a value lies on."""
        if self.row is None or (self._one_grid and knots is self._log_rates):
            knots = knots if self.row is None else knots[0]
            return np.clip(np.searchsorted(knots, value, side="right") - 1, 0, knots.size - 2)
        row, _ = np.broadcast_arrays(self.row, value)
        low, high = np.zeros_like(row), self._lines[row]
        for _ in range(int(knots.shape[1]).bit_length()):
            middle = (low + high + 1) // 2
            reached = knots[row, middle] <= value
            low, high = np.where(reached, middle, low), np.where(reached, high, middle - 1)
        return low

    def _line_at(self, rate: Array) -> tuple[Array, NDArray[np.intp]]:
        """Return the logarithm of a rate and the line that it lies on."""
        log_rate = np.log(rate)
        return log_rate, self._segment(log_rate, self._log_rates)

    def _at(self, table: Array, line: NDArray[np.intp]) -> Array:
        return np.asarray(table[line] if self.row is None else table[self.row, line])

    def _on_line(self, log_rate: Array, line: NDArray[np.intp]) -> Array:
        """Return the logarithm of the stress on a line, without the factor."""
        rise = self._at(self._slopes, line) * (log_rate - self._at(self._log_rates, line))
        return self._at(self._log_stresses, line) + rise

    def stress_of(self, rate: Array) -> Array:
        """Return the interpolated stress [Pa]; 0 at rest."""
        log_rate, line = self._once(rate, self._line_at)
        return array(self.factor) * np.exp(self._on_line(log_rate, line))

    def rate_of(self, stress: Array) -> Array:
        """Return the rate interpolated the other way round [1/s]."""
        log_stress = np.log(stress / array(self.factor))
        line = self._segment(log_stress, self._log_stresses)
        run = (log_stress - self._at(self._log_stresses, line)) / self._at(self._slopes, line)
        return np.asarray(np.exp(self._at(self._log_rates, line) + run))

    def slope_of(self, rate: Array) -> Array:
        """Return the slope of the line the rate lies on [-]."""
        _, line = self._once(rate, self._line_at)
        return np.where(np.isnan(rate), np.nan, self._at(self._slopes, line))

    def scaled(self, factor: Floats) -> Self:
        """Return the same points with every stress multiplied once more."""
        require_positive(factor=factor)
        return self._having({"factor": plain(array(self.factor) * array(factor))})

    def mean_power(self, wall_rate: Array, power: int) -> Array:
        """Return the mean of (stress/wall stress)^power over rates from 0 to the wall rate.

        Exact: each line is a power law, so each part of the integral has a closed form.
        """
        exponents, values, up_to_knot = self._sums(power)
        log_rate, line = self._once(wall_rate, self._line_at)
        at_wall = np.exp(power * self._on_line(log_rate, line) + log_rate)
        exponent = self._at(exponents, line)
        total = self._at(up_to_knot, line) + (at_wall - self._at(values, line)) / exponent
        # A factor on all stresses cancels out, but an unknown one leaves the answer unknown.
        mean: Array = total / at_wall + 0.0 * array(self.factor)
        # On the first line the two sums would cancel: far below it no digit would be left.
        first = 1.0 / exponents[..., :1]
        return np.where(line == 0, self._at(first, 0 * line) + 0.0 * mean, mean)

    def _sums(self, power: int) -> tuple[Array, Array, Array]:
        """Return the exponents of the integral on each line, its values and sums at the points."""
        with np.errstate(all="ignore"):
            exponents = power * self._slopes + 1.0
            # Below the first point the first line goes on to zero rate.
            values = np.exp(power * self._log_stresses + self._log_rates)
            parts = (values[..., 1:] - values[..., :-1]) / exponents
            first = values[..., :1] / exponents[..., :1]
            return exponents, values, np.cumsum(np.concatenate((first, parts), axis=-1), axis=-1)
