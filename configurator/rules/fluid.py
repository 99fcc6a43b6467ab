"""A component at the ends of its stated temperatures and batches: thin, nominal, thick."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats
from configurator.physics.fitting import Fit, fit_flow_curve
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
from configurator.request.flow_bounds import FlowBounds, FlowParameters, flow_bounds
from configurator.request.material import MODEL_KEYS, Component, Flow
from configurator.units.display import show_value
from configurator.units.interval import Basis, Interval
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

AMBIENT_PRESSURE = 101_325.0
"""Standard atmosphere, Pa."""


@dataclass(frozen=True)
class Fluid:
    """Flow behaviour over the stated range.

    Attributes
    ----------
    curves : tuple of FlowCurve
        Thin (warm, thin batch), nominal, thick (cold, thick batch).
    density : float or ndarray
        Nominal; NaN if unknown. [kg/m^3]
    highest_rate : float or ndarray
        Highest measured shear rate; infinite where no curve was measured. [1/s]
    estimated : bool or ndarray of bool
        True if the spread rests on an estimate and not on the stated range alone.
    thin_words, thick_words : str
        The ends in words, with their temperature.
    """

    curves: tuple[FlowCurve, FlowCurve, FlowCurve]
    density: Floats
    highest_rate: Floats
    estimated: bool | NDArray[np.bool_]
    thin_words: str
    thick_words: str

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


def fluid_of(component: Component, temperature: Interval) -> Fluid:
    """Work out the ends of a component's flow over the process temperatures.

    Parameters
    ----------
    component : Component
        With the gaps filled.
    temperature : Interval
        Of the process. [K]
    """
    flow = component.flow
    bounds = flow_bounds(flow)
    factors = _temperature_factors(flow, temperature)
    measured = flow.points is not None
    thin, nominal, thick = _measured(bounds) if measured else _stated(bounds)
    curves = (
        thin.scaled(factors.low),
        nominal.scaled(factors.nominal),
        thick.scaled(factors.high),
    )
    guessed = flow.activation_energy is not None and (
        flow.activation_energy.basis is Basis.ESTIMATED
    )
    return Fluid(
        curves=curves,
        density=math.nan if component.density is None else component.density.nominal,
        highest_rate=_highest_rate(flow) if measured else math.inf,
        estimated=bounds.estimated or guessed,
        thin_words=_at_words("thinnest", temperature.high),
        thick_words=_at_words("thickest", temperature.low),
    )


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


Curves = tuple[FlowCurve, FlowCurve, FlowCurve]


def _stated(bounds: FlowBounds) -> Curves:
    """Thin, nominal and thick curve of stated parameters."""
    thin, nominal, thick = (
        MODELS[end.model](*(end.values[key] for key in MODEL_KEYS[end.model]))
        for end in (bounds.thin, bounds.nominal, bounds.thick)
    )
    return thin, nominal, thick


def _measured(bounds: FlowBounds) -> Curves:
    """Thin, nominal and thick curve of measured points.

    The model that describes the nominal points serves the ends too: moved as a whole where
    they are, else fitted again. Points that no model describes stand for themselves.
    """
    stated = bounds.nominal
    fit = _fit(stated.rates, stated.stresses, None)
    if not fit.accepted:
        thin, nominal, thick = (
            MeasuredCurve(end.rates, end.stresses) for end in (bounds.thin, stated, bounds.thick)
        )
        return thin, nominal, thick

    def end_curve(end: FlowParameters) -> FlowCurve:
        moved = [a / b for a, b in zip(end.stresses, stated.stresses, strict=True)]
        if max(moved) - min(moved) < SAME_MOVE * max(moved):
            return fit.curve.scaled(moved[0])
        return _fit(end.rates, end.stresses, fit.curve.name).curve

    return end_curve(bounds.thin), fit.curve, end_curve(bounds.thick)


@lru_cache(maxsize=64)  # an explanation asks for the same material hundreds of times
def _fit(rates: tuple[float, ...], stresses: tuple[float, ...], model: str | None) -> Fit:
    return fit_flow_curve(rates=rates, stresses=stresses, model=model)
