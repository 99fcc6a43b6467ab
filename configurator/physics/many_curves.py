"""Flow curves of many materials at once, whatever the model of each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar, Self

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Array, Floats, array
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)

PARAMETERS: dict[type[FlowCurve], tuple[str, ...]] = {
    Newtonian: ("constant",),
    PowerLaw: ("consistency", "index"),
    Bingham: ("yield_stress", "plastic_viscosity"),
    HerschelBulkley: ("yield_stress", "consistency", "index"),
    Casson: ("yield_stress", "casson_viscosity"),
    Carreau: ("zero_viscosity", "infinite_viscosity", "relaxation_time", "index"),
}
"""Arguments of each model, in the order in which it takes them."""


@dataclass(frozen=True)
class ManyCurves(FlowCurve):
    """Curves of several models along one axis of arrays; each answers for its own entries."""

    name: ClassVar[str] = "several models"
    parts: tuple[tuple[NDArray[np.intp], FlowCurve], ...]
    """Entries and the curve of these, one pair a model."""
    axes: int
    """Axes behind that one; arrays may have more in front."""
    yield_stress: Floats = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Take the yield stress of each curve."""
        stresses = np.empty((self.size, *(1,) * self.axes))
        for entries, curve in self.parts:
            stresses[entries] = curve.yield_stress
        object.__setattr__(self, "yield_stress", stresses)

    @property
    def size(self) -> int:
        """Number of curves."""
        return sum(entries.size for entries, _ in self.parts)

    def each(self, work: Callable[..., tuple[Array, ...]], *given: Array) -> tuple[Array, ...]:
        """Return what some work gives for each curve.

        Parameters
        ----------
        work : Callable
            Takes a curve and arrays, and returns arrays of the full shape. [-]
        given : Array
            Broadcast with the curves. [-]
        """
        found: list[Array] = []
        behind: tuple[Any, ...] = (slice(None),) * self.axes
        for entries, curve in self.parts:
            results = work(curve, *(self._of(entries, values) for values in given))
            found = found or [np.empty(self._full(each.shape)) for each in results]
            for whole, some in zip(found, results, strict=True):
                whole[(..., entries, *behind)] = some
        return tuple(found)

    def _full(self, shape: tuple[int, ...]) -> tuple[int, ...]:
        """Return the shape of some curves' results for all of them."""
        at = len(shape) - self.axes - 1
        return (*shape[:at], self.size, *shape[at + 1 :])

    def _of(self, entries: NDArray[np.intp], values: Array) -> Array:
        axis = -self.axes - 1
        varies = values.ndim > self.axes and values.shape[axis] > 1
        return np.take(values, entries, axis=axis) if varies else values

    def stress_of(self, rate: Array) -> Array:
        """Return the shear stress [Pa]."""
        return self.each(lambda curve, rate: (curve.stress_of(rate),), rate)[0]

    def rate_of(self, stress: Array) -> Array:
        """Return the shear rate [1/s]."""
        return self.each(lambda curve, stress: (curve.rate_of(stress),), stress)[0]

    def slope_of(self, rate: Array) -> Array:
        """Return the slope [-]."""
        return self.each(lambda curve, rate: (curve.slope_of(rate),), rate)[0]

    def viscosity_of(self, rate: Array) -> Array:
        """Return the apparent viscosity [Pa*s]."""
        return self.each(lambda curve, rate: (curve.viscosity_of(rate),), rate)[0]

    def scaled(self, factor: Floats) -> Self:
        """Return the same models with every stress multiplied."""
        times = array(factor)
        parts = [(entries, curve.scaled(self._of(entries, times))) for entries, curve in self.parts]
        return type(self)(tuple(parts), self.axes)


def together(
    curves: Sequence[FlowCurve], axes: int, of: NDArray[np.intp] | None = None
) -> FlowCurve:
    """Return the curves of many materials as one.

    Parameters
    ----------
    curves : Sequence
        Each with plain numbers for parameters. [-]
    axes : int
        Further axes that arrays are to broadcast over. [-]
    of : ndarray of int, optional
        Which curve each entry of the first axis has; each its own without it. [-]
    """
    of = np.arange(len(curves)) if of is None else of
    kinds: dict[type[FlowCurve], list[FlowCurve]] = {}
    within = []  # which of its model each one is
    for curve in curves:
        alike = kinds.setdefault(type(curve), [])
        within.append(len(alike))
        alike.append(curve)
    if len(kinds) == 1:
        return _alike(curves, axes, of)
    model = np.array([list(kinds).index(type(curve)) for curve in curves])[of]
    parts = []
    for number, alike in enumerate(kinds.values()):
        entries = np.flatnonzero(model == number)
        if entries.size:
            parts.append((entries, _alike(alike, axes, np.array(within)[of[entries]])))
    return parts[0][1] if len(parts) == 1 else ManyCurves(tuple(parts), axes)


def _alike(curves: Sequence[FlowCurve], axes: int, which: NDArray[np.intp]) -> FlowCurve:
    kind = type(curves[0])
    if issubclass(kind, MeasuredCurve):
        return kind.together([c for c in curves if isinstance(c, MeasuredCurve)], axes, which)
    shape = (len(which),) + (1,) * axes
    return kind(
        *(
            np.array([getattr(curve, name) for curve in curves], dtype=np.float64)[which].reshape(
                shape
            )
            for name in PARAMETERS[kind]
        )
    )


def each_model(
    curve: FlowCurve, work: Callable[..., tuple[Array, ...]], *given: Array
) -> tuple[Array, ...]:
    """Return what some work gives for a curve, model by model where it holds several.

    Parameters
    ----------
    curve : FlowCurve
        One material or many. [curve]
    work : Callable
        Takes a curve of one model and arrays, and returns arrays. [-]
    given : Array
        Broadcast with the curve. [-]
    """
    if isinstance(curve, ManyCurves):
        return curve.each(work, *given)
    return work(curve, *given)
