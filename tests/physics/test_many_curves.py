"""Curves of many materials at once answer as each does alone."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from configurator.physics.domain import Array, entries
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import ManyCurves, together
from configurator.physics.rabinowitsch import SLIT, newtonian_rate_ratio
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)
from configurator.physics.short_tube import taper_pressure_drop
from configurator.physics.slip import slit_leakage
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate

POINTS = MeasuredCurve((0.01, 1.0, 30.0, 4e3), (20.0, 60.0, 250.0, 3e3))
CURVES: tuple[FlowCurve, ...] = (
    Newtonian(0.1),
    POINTS,
    HerschelBulkley(100.0, 50.0, 0.5),
    Newtonian(40.0),
    MeasuredCurve(np.logspace(-3, 6, 37).tolist(), (7.0 * np.logspace(-3, 6, 37) ** 0.8).tolist()),
    Carreau(300.0, 1.0, 2.0, 0.3),
    PowerLaw(50.0, 0.4),
    Bingham(20.0, 3.0),
    POINTS.scaled(1.7),
    Casson(9.0, 2.0),
    HerschelBulkley(0.0, 5.0, 0.5),
    MeasuredCurve((0.1, 10.0), (2.0, 190.0)),
)
MIXES = {
    "all models": CURVES,
    "one model": (CURVES[2], CURVES[10]),
    "points": (CURVES[1], CURVES[4], CURVES[8], CURVES[11]),
    "one material": CURVES[5:6],
}
RATES = np.geomspace(1e-6, 1e7, 60).reshape(1, 5, 12)
BORES = np.array([0.2e-3, 0.84e-3, 2e-3]).reshape(1, 1, 3)
FLOWS = np.array([1e-9, 1e-7]).reshape(1, 2, 1)
SEAL = {
    "density": 1000.0,
    "width": np.array([20e-3, 30e-3]).reshape(1, 2, 1),
    "land_length": 2e-3,
    "pressure_per_stage": np.array([0.0, 2e4, 5e5, 2e6]).reshape(1, 1, 4),
    "sliding_speed": np.array([0.02, 0.1]).reshape(1, 2, 1),
}
WORK: dict[str, Callable[[FlowCurve], Any]] = {
    "stress": lambda curve: curve.stress(RATES),
    "rate": lambda curve: curve.rate(np.geomspace(1.0, 1e6, 24).reshape(1, 1, 24)),
    "slope": lambda curve: curve.slope(RATES),
    "viscosity": lambda curve: curve.viscosity(10.0),
    "scaled": lambda curve: curve.scaled(1.3).stress(RATES),
    "slit": lambda curve: newtonian_rate_ratio(curve=curve, wall_rate=RATES, power=SLIT),
    "wall rate": lambda curve: wall_shear_rate(curve=curve, flow_rate=FLOWS, bore=BORES),
    "tube": lambda curve: tube_pressure_drop(
        curve=curve, flow_rate=FLOWS, bore=BORES, length=12.7e-3
    ),
    "cone": lambda curve: taper_pressure_drop(
        curve=curve, flow_rate=FLOWS, bore_in=3e-3, bore_out=BORES, length=12.7e-3
    ),
    "low leakage": lambda curve: slit_leakage(curve=curve, gap=50e-6, **SEAL).low,
    "high leakage": lambda curve: slit_leakage(curve=curve, gap=50e-6, **SEAL).high,
}


@pytest.mark.parametrize("work", WORK)
@pytest.mark.parametrize("mix", MIXES)
def test_each_curve_answers_as_it_does_alone(mix: str, work: str) -> None:
    curves = MIXES[mix]
    many = WORK[work](together(curves, 2))
    for entry, curve in enumerate(curves):
        alone = np.broadcast_to(WORK[work](curve), (1, *many.shape[1:]))
        np.testing.assert_allclose(many[entry], alone[0], rtol=2e-14, atol=0.0)


def test_the_first_axis_of_given_arrays_is_that_of_the_curves() -> None:
    factors = np.linspace(0.5, 2.0, len(CURVES)).reshape(-1, 1, 1)
    many = together(CURVES, 2).scaled(factors)
    assert isinstance(many, ManyCurves)
    assert many.size == len(CURVES)
    stresses = many.stress(np.broadcast_to(RATES, (len(CURVES), 5, 12)))
    for entry, curve in enumerate(CURVES):
        alone = curve.scaled(float(factors[entry, 0, 0])).stress(RATES)
        np.testing.assert_allclose(stresses[entry : entry + 1], alone, rtol=1e-14)


def test_an_axis_in_front_of_the_curves_is_not_taken_for_theirs() -> None:
    rates = np.geomspace(1e-3, 1e3, 2 * len(CURVES)).reshape(2, len(CURVES), 1)
    stresses = together(CURVES, 1).stress(rates)
    assert np.shape(stresses) == (2, len(CURVES), 1)
    for entry, curve in enumerate(CURVES):
        alone = curve.stress(rates[:, entry])
        np.testing.assert_allclose(stresses[:, entry], alone, rtol=1e-14)


@pytest.mark.parametrize(
    "own", [(1, 1, 1), (3, 1, 1), (1, 4, 1), (1, 1, 5), (3, 1, 5), (3, 4, 1), (3, 4, 5), (5,), (1,)]
)
def test_entries_are_those_of_the_array_that_values_broadcast_to(own: tuple[int, ...]) -> None:
    values: Array = np.random.default_rng(3).random(own)
    places = np.array([0, 7, 59, 31, 31, 12])
    expected = np.broadcast_to(values, (3, 4, 5)).reshape(-1)[places]
    assert entries(values, (3, 4, 5), places).tolist() == expected.tolist()


def test_each_curve_keeps_its_yield_stress() -> None:
    many = np.asarray(together(CURVES, 2).yield_stress)
    assert many.shape == (len(CURVES), 1, 1)
    np.testing.assert_array_equal(many.reshape(-1), [curve.yield_stress for curve in CURVES])
    assert np.nanmax(many) > 0.0
