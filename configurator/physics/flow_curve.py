"""What every model of a flowing material offers: stress, rate, slope, scaling."""

import copy
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import ClassVar, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Array,
    Floats,
    array,
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
    def stress(self, rate: Floats) -> Floats:
        """Return the shear stress [Pa] at a shear rate [1/s]."""

    @abstractmethod
    def rate(self, stress: Floats) -> Floats:
        """Return the shear rate [1/s] under a shear stress [Pa]; 0 up to the yield stress."""

    @abstractmethod
    def slope(self, rate: Floats) -> Floats:
        """Return d ln(stress) / d ln(rate) [-]: 1 is Newtonian, below 1 shear-thinning."""

    @abstractmethod
    def scaled(self, factor: Floats) -> Self:
        """Return the same model with every stress multiplied (temperature or batch shift)."""

    def _once(self, rate: Array, work: Callable[[], Result]) -> Result:
        """Return what some work at a rate gives, kept as long as the same array is asked for.

        Root finding asks for stress, slope and flow at one rate, and a power is what they cost.
        """
        last = vars(self).get("_last")
        if last is not None and last[0] is rate:
            kept: Result = last[1]
            return kept
        found = work()
        object.__setattr__(self, "_last", (rate, found))
        return found

    def at(self, flags: NDArray[np.bool_]) -> Self:
        """Return the curve for some entries of an array alone, in a row.

        Parameters
        ----------
        flags : ndarray of bool
            Which entries; parameters that are arrays broadcast to its shape. [-]
        """
        picked = copy.copy(self)
        for name, value in vars(self).items():
            if isinstance(value, np.ndarray) and not name.startswith("_"):
                object.__setattr__(picked, name, np.broadcast_to(value, flags.shape)[flags])
        return picked

    @property
    def highest_rate(self) -> float:
        """Return the highest rate the curve is known for [1/s], infinite for a model."""
        return float(np.inf)

    def viscosity(self, rate: Floats) -> Floats:
        """Return the apparent viscosity stress / rate [Pa*s]; infinite at rest under yield."""
        require_not_negative(rate=rate)
        with np.errstate(all="ignore"):
            return plain(array(self.stress(rate)) / array(rate))
