"""A component at the ends of its stated temperatures and batches: thin, nominal, thick."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from configurator.physics import rheology
from configurator.physics.domain import Floats, PhysicsDomainError
from configurator.physics.fitting import Points, fit_flow_curves
from configurator.physics.temperature import (
    activation_energy_from_points,
    arrhenius_factor,
)
from configurator.request.flow_bounds import FlowBounds, flow_bounds, parameter_corners
from configurator.request.material import MODEL_KEYS, Component, Flow, FlowPoint
from configurator.units.display import show_value
from configurator.units.interval import Interval
from configurator.units.kinds import TEMPERATURE

SAME_MOVE = 1e-9
"""Relative difference up to which all points count as moved by one factor."""

LEAST_RISE = 1e-9
"""By which the stress rises, relative, from point to point where the measured one does not."""

PRACTICE_RATE = 10.0
"""Shear rate at which a rule of thumb means `viscosity`, 1/s (common practice, no source)."""

MODELS: dict[str, Callable[..., rheology.FlowCurve]] = {
    "newtonian": rheology.Newtonian,
    "power law": rheology.PowerLaw,
    "bingham": rheology.Bingham,
    "casson": rheology.Casson,
    "herschel-bulkley": rheology.HerschelBulkley,
    "carreau": rheology.Carreau,
}
"""Flow curve of each model; its arguments stand in the order of `MODEL_KEYS`."""

Curves = tuple[rheology.FlowCurve, rheology.FlowCurve, rheology.FlowCurve]

AMBIENT_PRESSURE = 101_325.0
"""Standard atmosphere, Pa."""


@dataclass(frozen=True)
class Fluid:
    """Flow behaviour over the stated range."""

    curves: tuple[rheology.FlowCurve, rheology.FlowCurve, rheology.FlowCurve]
    """Thin (warm, thin batch), nominal, thick (cold, thick batch)."""
    reference: rheology.FlowCurve
    """As stated, at the temperature at which it was stated."""
    warm: tuple[rheology.FlowCurve, rheology.FlowCurve]
    cold: tuple[rheology.FlowCurve, rheology.FlowCurve]
    """At one end of the temperature: thin batch, thick batch."""
    corners: tuple[rheology.FlowCurve, ...]
    """Curves that one batch can have at once, each parameter at an end: a thin curve in a tip
    and a thick one in a gap would be two materials. Thin and thick where one factor tells all."""
    by_heat: tuple[tuple[float, float], tuple[float, float]]
    """By what it is thicker than stated where it is warmest, and where coldest: least, most. [-]"""
    density: Floats
    """Nominal; NaN if unknown. [kg/m^3]"""
    density_ends: tuple[Floats, Floats]
    """Lowest and highest. [kg/m^3]"""
    lowest_rate: Floats
    """Lowest measured shear rate; 0 where no curve was measured. [1/s]"""
    highest_rate: Floats
    """Highest measured shear rate; infinite where no curve was measured. [1/s]"""
    estimated: bool | NDArray[np.bool_]
    """True if the spread rests on an estimate and not on the stated range alone."""
    thin_words: str
    thick_words: str
    """The ends in words, with their temperature."""

    @property
    def nominal(self) -> rheology.FlowCurve:
        """As stated, at the middle of the temperature range."""
        return self.curves[1]

    @property
    def batches(self) -> bool:
        """Whether it may be thinner or thicker at one temperature."""
        return any(thin is not thick for thin, thick in (self.warm, self.cold))

    def viscosity(self, rate: float = PRACTICE_RATE) -> tuple[float, float, float]:
        """Apparent viscosity thin, nominal and thick. [Pa*s]"""
        low, middle, high = map(float, self.apparent(rate))
        return low, middle, high

    def apparent(self, rate: float = PRACTICE_RATE) -> tuple[Floats, Floats, Floats]:
        """The same for curves that hold many materials at once. [Pa*s]"""
        low, middle, high = (curve.viscosity(rate) for curve in self.curves)
        return low, middle, high


def fluid_of(component: Component, temperature: Interval, fitted: Curves | None = None) -> Fluid:
    """Work out the ends of a component's flow, its gaps filled, over process temperatures. [K]

    Curves through its measured points, thin to thick, are taken over where they are known already.
    """
    flow = component.flow
    bounds = flow_bounds(flow)
    if fitted is None:
        measured = flow.points is not None
        fitted = _through_points(_Measured.of(bounds)) if measured else _stated(bounds)
    thin, nominal, thick = fitted
    thinner, usual, thicker = _temperature_factors(flow, temperature)
    guessed = flow.activation_energy is not None and flow.activation_energy.estimated
    warm = _batches(thin.scaled(min(thinner)), thick.scaled(max(thinner)))
    cold = _batches(thin.scaled(min(thicker)), thick.scaled(max(thicker)))
    density = component.density
    return Fluid(
        curves=(warm[0], nominal.scaled(usual), cold[1]),
        reference=nominal,
        warm=warm,
        cold=cold,
        corners=_corners(flow, min(thinner), max(thicker)) or (warm[0], cold[1]),
        by_heat=((min(thinner), max(thinner)), (min(thicker), max(thicker))),
        density=math.nan if density is None else density.nominal,
        density_ends=(math.nan, math.nan) if density is None else (density.low, density.high),
        lowest_rate=0.0 if flow.points is None else min(_rates(flow.points)),
        highest_rate=math.inf if flow.points is None else max(_rates(flow.points)),
        estimated=bounds.estimated or guessed,
        thin_words=_at_words("thinnest", temperature.high),
        thick_words=_at_words("thickest", temperature.low),
    )


def fluids_of(components: Sequence[Component], temperature: Interval) -> list[Fluid | None]:
    """Work out many components at once: their measured points are fitted together.

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


def _rates(points: Sequence[FlowPoint]) -> list[float]:
    return [point.rate.nominal for point in points]


def _temperature_factors(
    flow: Flow, temperature: Interval
) -> tuple[list[float], float, list[float]]:
    """How much thinner or thicker than at the reference temperature: warmest, usual, coldest. [-]

    The change with temperature has ends of its own, so that warmest and coldest may have two.
    """
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
        return [1.0], 1.0, [1.0]

    def factor(energy: float, kelvin: float) -> float:
        return float(
            arrhenius_factor(
                activation_energy=energy, temperature=kelvin, reference_temperature=reference
            )
        )

    return (
        [factor(energy, temperature.high) for energy in energies],
        factor(nominal_energy, temperature.nominal),
        [factor(energy, temperature.low) for energy in energies],
    )


def _batches(
    thin: rheology.FlowCurve, thick: rheology.FlowCurve
) -> tuple[rheology.FlowCurve, rheology.FlowCurve]:
    """Two ends, the same object where there is nothing between them."""
    return (thin, thin) if thin == thick else (thin, thick)


def _corners(flow: Flow, thinnest: float, thickest: float) -> tuple[rheology.FlowCurve, ...]:
    """Curves with each parameter at an end; none where all of them move by one factor. [-]"""
    corners = parameter_corners(flow, (thinnest, thickest))
    return tuple(
        MODELS[each.model](*(each.values[key] for key in MODEL_KEYS[each.model]))
        for each in corners
    )


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

    def over(self, curve: rheology.FlowCurve, stresses: tuple[float, ...]) -> list[float]:
        """Measured stresses over those of a curve. [-]"""
        over: list[float] = (np.array(stresses) / curve.stress(np.array(self.rates))).tolist()
        return over

    def rising(self) -> Curves:
        """The points themselves, with what falls smoothed out: below it thin, above it thick."""
        step = 1.0 + LEAST_RISE * np.arange(len(self.rates))
        low = np.minimum.accumulate(np.array(self.thin)[::-1])[::-1] * step
        high = np.maximum.accumulate(self.thick) * step
        middle = np.array(self.nominal)
        middle = step * np.sqrt(
            np.minimum.accumulate(middle[::-1])[::-1] * np.maximum.accumulate(middle)
        )
        return (
            rheology.MeasuredCurve(self.rates, low.tolist()),
            rheology.MeasuredCurve(self.rates, middle.tolist()),
            rheology.MeasuredCurve(self.rates, high.tolist()),
        )

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

    def fitted(place: int, end: tuple[float, ...]) -> rheology.FlowCurve:
        moved = measured[place].moved(end)
        return refitted[place, end].curve if moved is None else fits[place].curve.scaled(moved)

    found: list[Curves] = []
    for place, (each, fit) in enumerate(zip(measured, fits, strict=True)):
        if fit.accepted:
            thin, thick = fitted(place, each.thin), fitted(place, each.thick)
            # What the fit misses counts as a spread: no point lies beyond the ends.
            found.append(
                (
                    thin.scaled(min(1.0, *each.over(thin, each.thin))),
                    fit.curve,
                    thick.scaled(max(1.0, *each.over(thick, each.thick))),
                )
            )
        else:
            thin_end, nominal, thick_end = each.rising()
            found.append((thin_end, nominal, thick_end))
    return found
