"""The Carreau curve: a plateau, thinning, a plateau."""

from dataclasses import dataclass, replace
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
from configurator.physics.root import root_by_slope


@dataclass(frozen=True)
class Carreau(FlowCurve):
    """A plateau at rest, thinning in between, a plateau at high rate.

    ``mu = mu_inf + (mu_0 - mu_inf) * (1 + (lambda * rate)**2)**((m - 1) / 2)``

    Notes
    -----
    Source: P. J. Carreau 1972 (form from memory).

    Examples
    --------
    >>> curve = Carreau(
    ...     zero_viscosity=100.0, infinite_viscosity=1.0, relaxation_time=1.0, index=0.4)
    >>> curve.viscosity(0.0)
    100.0
    """

    name: ClassVar[str] = "Carreau"
    zero_viscosity: Floats
    infinite_viscosity: Floats
    relaxation_time: Floats
    index: Floats

    def __post_init__(self) -> None:
        """Refuse parameters that describe no fluid."""
        require_positive(
            zero_viscosity=self.zero_viscosity,
            relaxation_time=self.relaxation_time,
            index=self.index,
        )
        require_not_negative(infinite_viscosity=self.infinite_viscosity)
        if bool(np.any(array(self.index) > 1.0)):
            raise PhysicsDomainError("index must be at most 1 for a Carreau curve")
        if bool(np.any(array(self.infinite_viscosity) > array(self.zero_viscosity))):
            raise PhysicsDomainError("infinite_viscosity must not exceed zero_viscosity")

    def _thinning(self, rate: Array) -> tuple[Array, Array]:
        """Return (lambda rate)^2 and the part of the viscosity that thins [Pa*s]."""
        square = (array(self.relaxation_time) * rate) ** 2
        span = array(self.zero_viscosity) - array(self.infinite_viscosity)
        return square, span * np.power(1.0 + square, 0.5 * (array(self.index) - 1.0))

    def viscosity_of(self, rate: Array) -> Array:
        """Return the viscosity [Pa*s], the zero-rate plateau at rest."""
        return array(self.infinite_viscosity) + self._once(rate, self._thinning)[1]

    def stress_of(self, rate: Array) -> Array:
        """Return viscosity times rate [Pa]."""
        return self.viscosity_of(rate) * rate

    def slope_of(self, rate: Array) -> Array:
        """Return 1 + d ln(viscosity) / d ln(rate) [-]."""
        square, thinning = self._once(rate, self._thinning)
        fall = (array(self.index) - 1.0) * thinning * square / (1.0 + square)
        return np.asarray(1.0 + fall / (array(self.infinite_viscosity) + thinning))

    def rate_of(self, stress: Array) -> Array:
        """Return the rate at which the model reaches the stress [1/s], by root finding."""
        # The viscosity lies between its plateaus, so the zero plateau gives a lower bound.
        target, least, _ = np.broadcast_arrays(
            np.log(np.where(stress > 0.0, stress, 1.0)),
            np.log(array(self.zero_viscosity)),
            array(self.index) + array(self.relaxation_time) + array(self.infinite_viscosity),
        )

        def miss(log_rate: Array) -> tuple[Array, Array]:
            rate = np.exp(log_rate)
            return np.asarray(np.log(self.stress_of(rate)) - target), self.slope_of(rate)

        low = target - least
        found = np.exp(root_by_slope(miss, low, low))
        return np.where(stress == 0.0, 0.0, found + 0.0 * stress)

    def scaled(self, factor: Floats) -> Self:
        """Return the model with both plateaus multiplied."""
        require_positive(factor=factor)
        return replace(
            self,
            zero_viscosity=plain(array(self.zero_viscosity) * array(factor)),
            infinite_viscosity=plain(array(self.infinite_viscosity) * array(factor)),
        )
