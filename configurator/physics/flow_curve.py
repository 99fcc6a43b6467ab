"""What every model of a flowing material offers: stress, rate, slope, scaling."""

import copy
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from typing import ClassVar, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Array,
    Floats,
    array,
    entries,
    plain,
    require_not_negative,
)

Result = TypeVar("Result")


class FlowCurve(ABC):
    """Shear stress as an increasing function of shear rate.

    Notes
    -----
    Source: terms as in ISO 3219-1 (from memory).
    """

    name: ClassVar[str]
    kinked: ClassVar[bool] = False
    """True if its slope jumps where it is above zero."""
    yield_stress: Floats = 0.0
    """Stress below which nothing flows [Pa]."""

    @abstractmethod
    def stress_of(self, rate: Array) -> Array:
        """Return what `stress` gives, for arrays that nobody checks."""

    @abstractmethod
    def rate_of(self, stress: Array) -> Array:
        """Return what `rate` gives, for arrays that nobody checks."""

    @abstractmethod
    def slope_of(self, rate: Array) -> Array:
        """Return what `slope` gives, for arrays that nobody checks."""

    def viscosity_of(self, rate: Array) -> Array:
        """Return what `viscosity` gives, for arrays that nobody checks."""
        return np.asarray(self.stress_of(rate) / rate)

    @abstractmethod
    def scaled(self, factor: Floats) -> Self:
        """Return the same model with every stress multiplied (temperature or batch shift)."""

    def _once(self, rate: Array, work: Callable[[Array], Result]) -> Result:
        """Return what a method gives at a rate, kept as long as the same array is asked for.

        Root finding asks for stress, slope and flow at one rate, and a power is what they cost.
        """
        last = vars(self).get("_last")
        if last is None or last[0] is not rate:
            last = rate, {}
            object.__setattr__(self, "_last", last)
        kept: dict[str, Result] = last[1]
        if work.__name__ not in kept:
            kept[work.__name__] = work(rate)
        return kept[work.__name__]

    def at(self, places: NDArray[np.intp], shape: tuple[int, ...]) -> Self:
        """Return the curve for some entries of an array alone, in a row.

        Parameters
        ----------
        places : ndarray of int
            Which entries, counted along the flat array. [-]
        shape : tuple
            Shape of the array, to which parameters that are arrays broadcast. [-]
        """
        return self._having(
            {
                name: entries(value, shape, places)
                for name, value in vars(self).items()
                if isinstance(value, np.ndarray) and not name.startswith("_")
            }
        )

    def _having(self, given: Mapping[str, object]) -> Self:
        """Return the curve with some attributes of its own class replaced."""
        other = copy.copy(self)
        vars(other).pop("_last", None)  # what was kept is of the other attributes
        for name, value in given.items():
            object.__setattr__(other, name, value)
        return other

    def stress(self, rate: Floats) -> Floats:
        """Return the shear stress [Pa] at a shear rate [1/s]."""
        require_not_negative(rate=rate)
        with np.errstate(divide="ignore"):
            return plain(self.stress_of(array(rate)))

    def rate(self, stress: Floats) -> Floats:
        """Return the shear rate [1/s] under a shear stress [Pa]; 0 up to the yield stress."""
        require_not_negative(stress=stress)
        # A rate beyond every float is endless.
        with np.errstate(divide="ignore", over="ignore"):
            return plain(self.rate_of(array(stress)))

    def slope(self, rate: Floats) -> Floats:
        """Return d ln(stress) / d ln(rate) [-]: 1 is Newtonian, below 1 shear-thinning."""
        require_not_negative(rate=rate)
        with np.errstate(all="ignore"):
            return plain(self.slope_of(array(rate)))

    def viscosity(self, rate: Floats) -> Floats:
        """Return the apparent viscosity stress / rate [Pa*s]; infinite at rest under yield."""
        require_not_negative(rate=rate)
        with np.errstate(all="ignore"):
            return plain(self.viscosity_of(array(rate)))
