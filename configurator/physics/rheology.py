"""How a material resists flow: shear stress against shear rate, one class a model.

All models are generalised Newtonian: the stress depends on the rate of this instant alone.
Thixotropy, elasticity and wall slip are outside of it. Parameters may be arrays, so that one
curve can hold the corners of a range; an unknown parameter is NaN and so is every answer.
"""

from dataclasses import dataclass, field, replace
from typing import ClassVar, Self

import numpy as np

from configurator.physics.carreau import Carreau
from configurator.physics.domain import (
    Array,
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.measured_curve import MeasuredCurve

__all__ = [
    "Bingham",
    "Carreau",
    "Casson",
    "FlowCurve",
    "HerschelBulkley",
    "MeasuredCurve",
    "Newtonian",
    "PowerLaw",
]


@dataclass(frozen=True, init=False, repr=False)
class Newtonian(FlowCurve):
    """One viscosity at every rate.

    Notes
    -----
    Source: Newton's law of viscosity, textbook.

    Examples
    --------
    >>> Newtonian(viscosity=10.0).stress(5.0)
    50.0
    >>> Newtonian(viscosity=10.0)
    Newtonian(viscosity=10.0)
    """

    name: ClassVar[str] = "Newtonian"
    constant: Floats

    def __init__(self, viscosity: Floats) -> None:
        # Written out because the field could not share the name of the method `viscosity`.
        require_positive(viscosity=viscosity)
        object.__setattr__(self, "constant", viscosity)

    def __repr__(self) -> str:
        return f"Newtonian(viscosity={self.constant!r})"

    def stress_of(self, rate: Array) -> Array:
        """Return viscosity times rate [Pa]."""
        return array(self.constant) * rate

    def rate_of(self, stress: Array) -> Array:
        """Return stress over viscosity [1/s]."""
        return stress / array(self.constant)

    def slope_of(self, rate: Array) -> Array:
        """Return 1 [-]."""
        return np.where(np.isnan(rate), np.nan, 1.0)

    def viscosity_of(self, rate: Array) -> Array:
        """Return the constant [Pa*s], at rest as well."""
        return np.where(np.isnan(rate), np.nan, array(self.constant))

    def scaled(self, factor: Floats) -> Self:
        """Return the model with its viscosity multiplied."""
        require_positive(factor=factor)
        return type(self)(plain(array(self.constant) * array(factor)))


@dataclass(frozen=True)
class HerschelBulkley(FlowCurve):
    """``tau = tau_y + K * rate**m`` above the yield stress, no flow up to it.

    Notes
    -----
    Source: W. H. Herschel and R. Bulkley 1926 (form from memory).

    Examples
    --------
    >>> HerschelBulkley(yield_stress=100.0, consistency=50.0, index=0.5).stress(4.0)
    200.0
    """

    name: ClassVar[str] = "Herschel-Bulkley"
    yield_stress: Floats = field()
    consistency: Floats = field()
    index: Floats = field()

    def __post_init__(self) -> None:
        """Refuse parameters that describe no fluid."""
        require_not_negative(yield_stress=self.yield_stress)
        require_positive(consistency=self.consistency, index=self.index)

    def above_yield(self, rate: Array) -> Array:
        """Return the stress above the yield stress [Pa]."""
        return self._once(rate, self._power_of)

    def _power_of(self, rate: Array) -> Array:
        """Return consistency times power of the rate [Pa]."""
        return array(self.consistency) * np.power(rate, array(self.index))

    def stress_of(self, rate: Array) -> Array:
        """Return yield stress plus power law [Pa]; the yield stress itself at rest."""
        return array(self.yield_stress) + self.above_yield(rate)

    def rate_of(self, stress: Array) -> Array:
        """Return the rate of the excess over the yield stress [1/s]."""
        excess = np.maximum(stress - array(self.yield_stress), 0.0)
        return np.power(excess / array(self.consistency), 1.0 / array(self.index))

    def sheared(self, rate: Array) -> Array:
        """Return the share of the stress that is above the yield stress [-]."""
        return self._once(rate, self._sheared)

    def _sheared(self, rate: Array) -> Array:
        """Return the same, worked out [-]."""
        above, held = self.above_yield(rate), array(self.yield_stress)
        return np.where(held == 0.0, above - above + 1.0, above / (held + above))

    def slope_of(self, rate: Array) -> Array:
        """Return the index times the share of the stress above yield [-]."""
        return np.asarray(array(self.index) * self.sheared(rate))

    def scaled(self, factor: Floats) -> Self:
        """Return the model with yield stress and consistency multiplied."""
        require_positive(factor=factor)
        return replace(
            self,
            yield_stress=plain(array(self.yield_stress) * array(factor)),
            consistency=plain(array(self.consistency) * array(factor)),
        )


@dataclass(frozen=True, init=False)
class PowerLaw(HerschelBulkley):
    """``tau = K * rate**m``: Herschel-Bulkley without a yield stress.

    Notes
    -----
    Source: W. Ostwald and A. de Waele, textbook form (from memory).

    Examples
    --------
    >>> PowerLaw(consistency=50.0, index=0.5).viscosity(100.0)
    5.0
    """

    name: ClassVar[str] = "power law"
    yield_stress: Floats = field(repr=False)

    def __init__(self, consistency: Floats, index: Floats) -> None:
        object.__setattr__(self, "yield_stress", 0.0)
        object.__setattr__(self, "consistency", consistency)
        object.__setattr__(self, "index", index)
        self.__post_init__()

    def scaled(self, factor: Floats) -> Self:
        """Return the model with its consistency multiplied."""
        require_positive(factor=factor)
        return type(self)(plain(array(self.consistency) * array(factor)), self.index)


@dataclass(frozen=True, init=False, repr=False)
class Bingham(HerschelBulkley):
    """``tau = tau_y + mu_p * rate``: Herschel-Bulkley with the index one.

    Notes
    -----
    Source: E. C. Bingham, textbook form (from memory).

    Examples
    --------
    >>> Bingham(yield_stress=100.0, plastic_viscosity=10.0).rate(500.0)
    40.0
    """

    name: ClassVar[str] = "Bingham"

    def __init__(self, yield_stress: Floats, plastic_viscosity: Floats) -> None:
        object.__setattr__(self, "yield_stress", yield_stress)
        object.__setattr__(self, "consistency", plastic_viscosity)
        object.__setattr__(self, "index", 1.0)
        self.__post_init__()

    def __repr__(self) -> str:
        return (
            f"Bingham(yield_stress={self.yield_stress!r}, "
            f"plastic_viscosity={self.plastic_viscosity!r})"
        )

    @property
    def plastic_viscosity(self) -> Floats:
        """Return the slope of stress over rate [Pa*s]."""
        return self.consistency

    def scaled(self, factor: Floats) -> Self:
        """Return the model with yield stress and plastic viscosity multiplied."""
        require_positive(factor=factor)
        times = array(factor)
        return type(self)(
            plain(array(self.yield_stress) * times), plain(array(self.consistency) * times)
        )


@dataclass(frozen=True)
class Casson(FlowCurve):
    """``sqrt(tau) = sqrt(tau_y) + sqrt(mu_c * rate)``: yields, then thins towards mu_c.

    Notes
    -----
    Source: N. Casson 1959 (form from memory).

    Examples
    --------
    >>> Casson(yield_stress=100.0, casson_viscosity=10.0).stress(10.0)
    400.0
    """

    name: ClassVar[str] = "Casson"
    yield_stress: Floats = field()
    casson_viscosity: Floats = field()

    def __post_init__(self) -> None:
        """Refuse parameters that describe no fluid."""
        require_not_negative(yield_stress=self.yield_stress)
        require_positive(casson_viscosity=self.casson_viscosity)

    def stress_of(self, rate: Array) -> Array:
        """Return the square of the sum of roots [Pa]; the yield stress itself at rest."""
        viscous = np.sqrt(array(self.casson_viscosity) * rate)
        return np.asarray((np.sqrt(array(self.yield_stress)) + viscous) ** 2)

    def rate_of(self, stress: Array) -> Array:
        """Return the rate of the excess of roots [1/s]."""
        excess = np.maximum(np.sqrt(stress) - np.sqrt(array(self.yield_stress)), 0.0)
        return np.asarray(excess**2 / array(self.casson_viscosity))

    def sheared(self, rate: Array) -> Array:
        """Return the share of the root of the stress that is above the yield stress [-]."""
        viscous = np.sqrt(array(self.casson_viscosity) * rate)
        root = np.sqrt(array(self.yield_stress))
        return np.where(root == 0.0, viscous - viscous + 1.0, viscous / (root + viscous))

    def slope_of(self, rate: Array) -> Array:
        """Return the viscous share of the root of the stress [-]."""
        return self.sheared(rate)

    def scaled(self, factor: Floats) -> Self:
        """Return the model with yield stress and viscosity multiplied."""
        require_positive(factor=factor)
        times = array(factor)
        return replace(
            self,
            yield_stress=plain(array(self.yield_stress) * times),
            casson_viscosity=plain(array(self.casson_viscosity) * times),
        )
