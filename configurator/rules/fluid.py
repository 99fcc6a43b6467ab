"""A component at the ends of its stated temperatures and batches: thin, nominal, thick."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats, PhysicsDomainError
from configurator.physics.fitting import Points, fit_flow_curves
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    FlowCurve,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)
from configurator.physics.temperature import (
    activation_energy_from_points,
    arrhenius_factor,
)
from configurator.request.flow_bounds import FlowBounds, flow_bounds
from configurator.request.material import MODEL_KEYS, Component, Flow
from configurator.units.display import show_value
from configurator.units.interval import Interval
from configurator.units.kinds import TEMPERATURE

SAME_MOVE = 1e-9
"""Relative difference up to which all points count as moved by one factor."""

PRACTICE_RATE = 10.0
"""Shear rate at which a rule of thumb means `viscosity`, 1/s (common practice, no source)."""

MODELS: dict[str, Callable[..., FlowCurve]] = {
    "newtonian": Newtonian,
    "power law": PowerLaw,
    "bingham": Bingham,
    "casson": Casson,
    "herschel-bulkley": HerschelBulkley,
    "carreau": Carreau,
}
"""Flow curve of each model; its arguments stand in the order of `MODEL_KEYS`."""

Curves = tuple[FlowCurve, FlowCurve, FlowCurve]

AMBIENT_PRESSURE = 101_325.0
"""Standard atmosphere, Pa."""


@dataclass(frozen=True)
class Fluid:
    """Flow behaviour over the stated range."""

    curves: tuple[FlowCurve, FlowCurve, FlowCurve]
    """Thin (warm, thin batch), nominal, thick (cold, thick batch)."""
    density: Floats
    """Nominal; NaN if unknown. [kg/m^3]"""
    highest_rate: Floats
    """Highest measured shear rate; infinite where no curve was measured. [1/s]"""
    estimated: bool | NDArray[np.bool_]
    """True if the spread rests on an estimate and not on the stated range alone."""
    thin_words: str
    thick_words: str
    """The ends in words, with their temperature."""

    @property
    def nominal(self) -> FlowCurve:
        """As stated, at the middle of the temperature range."""
        return self.curves[1]

    def viscosity(self, rate: float = PRACTICE_RATE) -> tuple[float, float, float]:
        """Apparent viscosity thin, nominal and thick. [Pa*s]"""
        low, middle, high = map(float, self.apparent(rate))
        return low, middle, high

    def apparent(self, rate: float = PRACTICE_RATE) -> tuple[Floats, Floats, Floats]:
        """The same for curves that hold many materials at once. [Pa*s]"""
        low, middle, high = (curve.viscosity(rate) for curve in self.curves)
        return low, middle, high


def fluid_of(component: Component, temperature: Interval, fitted: Curves | None = None) -> Fluid:
    """Work out the ends of a component's flow over the process temperatures.

    Parameters
    ----------
    component : Component
        With the gaps filled.
    temperature : Interval
        Of the process. [K]
    fitted : tuple of FlowCurve, optional
        Through its measured points, thin to thick, where they are known already.
    """
    flow = component.flow
    bounds = flow_bounds(flow)
    if fitted is None:
        measured = flow.points is not None
        fitted = _through_points(_Measured.of(bounds)) if measured else _stated(bounds)
    thin, nominal, thick = fitted
    factors = _temperature_factors(flow, temperature)
    guessed = flow.activation_energy is not None and flow.activation_energy.estimated
    return Fluid(
        curves=(
            thin.scaled(factors.low),
            nominal.scaled(factors.nominal),
            thick.scaled(factors.high),
        ),
        density=math.nan if component.density is None else component.density.nominal,
        highest_rate=math.inf if flow.points is None else _highest_rate(flow),
        estimated=bounds.estimated or guessed,
        thin_words=_at_words("thinnest", temperature.high),
        thick_words=_at_words("thickest", temperature.low),
    )


def fluids_of(components: Sequence[Component], temperature: Interval) -> list[Fluid | None]:
    """Work out many components at once: their measured points are fitted together.

    Parameters
    ----------
    components : sequence of Component
        With the gaps filled.
    temperature : Interval
        Of the process. [K]

    Returns
    -------
    list of Fluid or None
        None for a component whose figures are beyond the formulas; `fluid_of` says why.
    """
    points = {
        place: _Measured.of(flow_bounds(component.flow))
        for place, component in enumerate(components)
        if component.flow.points is not None
    }
    try:
        through = dict(zip(points, _curves_of(list(points.values())), strict=True))
    except PhysicsDomainError:
        through = {}  # some points cannot be fitted: each by itself
    found: list[Fluid | None] = []
    for place, component in enumerate(components):
        try:
            found.append(fluid_of(component, temperature, through.get(place)))
        except PhysicsDomainError:
            found.append(None)
    return found


@lru_cache(maxsize=64)  # thousands of materials share the temperatures of one process
def _at_words(end: str, kelvin: float) -> str:
    return f"{end} at {show_value(kelvin, TEMPERATURE)}"


def _highest_rate(flow: Flow) -> float:
    assert flow.points is not None  # asked only where a curve was measured
    return max(point.rate.nominal for point in flow.points)


def _temperature_factors(flow: Flow, temperature: Interval) -> Interval:
    """How much thinner and thicker than at the reference temperature. [-]"""
    reference = flow.at.nominal
    if flow.activation_energy is not None:
        energies = {flow.activation_energy.low, flow.activation_energy.high}
        nominal_energy = flow.activation_energy.nominal
    elif flow.warm is not None and flow.viscosity is not None:
        nominal_energy = float(
            activation_energy_from_points(
                viscosity_1=flow.viscosity.nominal,
                temperature_1=reference,
                viscosity_2=flow.warm.viscosity.nominal,
                temperature_2=flow.warm.at.nominal,
            )
        )
        energies = {nominal_energy}
    else:
        return Interval.exact(1.0)

    def factor(energy: float, kelvin: float) -> float:
        return float(
            arrhenius_factor(
                activation_energy=energy, temperature=kelvin, reference_temperature=reference
            )
        )

    nominal = factor(nominal_energy, temperature.nominal)
    ends = [factor(e, t) for e in energies for t in (temperature.low, temperature.high)]
    return Interval(min(*ends, nominal), nominal, max(*ends, nominal))


def _stated(bounds: FlowBounds) -> Curves:
    """Thin, nominal and thick curve of stated parameters."""
    thin, nominal, thick = (
        MODELS[end.model](*(end.values[key] for key in MODEL_KEYS[end.model]))
        for end in (bounds.thin, bounds.nominal, bounds.thick)
    )
    return thin, nominal, thick


class _Measured(NamedTuple):
    """Measured rates, and the stresses of the thin, the nominal and the thick end."""

    rates: tuple[float, ...]
    thin: tuple[float, ...]
    nominal: tuple[float, ...]
    thick: tuple[float, ...]

    @classmethod
    def of(cls, bounds: FlowBounds) -> _Measured:
        ends = (bounds.thin, bounds.nominal, bounds.thick)
        return cls(bounds.nominal.rates, *(end.stresses for end in ends))

    def moved(self, end: tuple[float, ...]) -> float | None:
        """The factor between an end and the nominal stresses, if it is one for all of them."""
        factors = [a / b for a, b in zip(end, self.nominal, strict=True)]
        alike = max(factors) - min(factors) < SAME_MOVE * max(factors)
        return factors[0] if alike else None


@lru_cache(maxsize=64)  # an explanation asks for the same material hundreds of times
def _through_points(measured: _Measured) -> Curves:
    return _curves_of([measured])[0]


def _curves_of(measured: Sequence[_Measured]) -> list[Curves]:
    """Thin, nominal and thick curve of measured points.

    The model that describes the nominal points serves the ends too: moved as a whole where
    they are, else fitted again. Points that no model describes stand for themselves.
    """
    fits = fit_flow_curves(points=[Points(each.rates, each.nominal) for each in measured])
    again = {
        (place, end): Points(each.rates, end, fit.curve.name)
        for place, (each, fit) in enumerate(zip(measured, fits, strict=True))
        if fit.accepted
        for end in (each.thin, each.thick)
        if each.moved(end) is None
    }
    refitted = dict(zip(again, fit_flow_curves(points=list(again.values())), strict=True))

    def end_curve(place: int, end: tuple[float, ...]) -> FlowCurve:
        fit, moved = fits[place], measured[place].moved(end)
        if not fit.accepted:
            return MeasuredCurve(measured[place].rates, end)
        if moved is None:
            return refitted[place, end].curve
        return fit.curve if end is measured[place].nominal else fit.curve.scaled(moved)

    return [
        (end_curve(place, each.thin), end_curve(place, each.nominal), end_curve(place, each.thick))
        for place, each in enumerate(measured)
    ]
