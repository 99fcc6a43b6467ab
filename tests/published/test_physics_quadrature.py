"""Tube, cone and slit flow against scipy: quadrature, root finding, and a boundary-value solver.

Three ways that share nothing with the package: the Rabinowitsch integral over the stress (the
package integrates over the rate), brentq for the inverse, and the velocity profile itself.
"""

from collections.abc import Callable
from itertools import pairwise
from math import inf, log, pi

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp
from scipy.optimize import brentq

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
from configurator.physics.short_tube import taper_pressure_drop
from configurator.physics.slip import newtonian_leakage, slit_leakage
from configurator.physics.slip_calibration import gap_from_rated_point
from configurator.physics.tube_flow import (
    flow_from_pressure,
    tube_pressure_drop,
    wall_stress,
)

RADIUS, LENGTH = 0.42e-3, 12.7e-3
RATES = np.geomspace(1e-3, 1e3, 13)

# Written again from the definitions, so that a slip in the classes does not hide here.
RATE_OF_STRESS: dict[str, tuple[FlowCurve, Callable[[float], float]]] = {
    "Newtonian": (Newtonian(10.0), lambda tau: tau / 10.0),
    "power law": (PowerLaw(50.0, 0.5), lambda tau: (tau / 50.0) ** 2),
    "strongly thinning": (PowerLaw(300.0, 0.2), lambda tau: (tau / 300.0) ** 5),
    "thickening": (PowerLaw(5.0, 1.3), lambda tau: (tau / 5.0) ** (1 / 1.3)),
    "Bingham": (Bingham(100.0, 10.0), lambda tau: max(tau - 100.0, 0.0) / 10.0),
    "Casson": (
        Casson(100.0, 10.0),
        lambda tau: max(tau**0.5 - 10.0, 0.0) ** 2 / 10.0,
    ),
    "Herschel-Bulkley": (
        HerschelBulkley(100.0, 50.0, 0.5),
        lambda tau: (max(tau - 100.0, 0.0) / 50.0) ** 2,
    ),
    "Carreau": (
        Carreau(100.0, 1.0, 1.0, 0.4),
        lambda tau: (
            brentq(
                lambda g: (1.0 + 99.0 * (1.0 + g * g) ** -0.3) * g - tau,
                0.0,
                tau,
                xtol=1e-300,
                rtol=1e-15,
            )
            if tau > 0
            else 0.0
        ),
    ),
    "points on a power law with a bend": (
        MeasuredCurve(rates=(0.1, 10.0, 1000.0), stresses=(30.0, 300.0, 1500.0)),
        lambda tau: 10.0 * (tau / 300.0) ** (2.0 if tau < 300.0 else np.log(100) / np.log(5)),
    ),
}
MODELS = pytest.mark.parametrize("name", list(RATE_OF_STRESS))


def flow_by_stress(rate: Callable[[float], float], wall: float, yield_stress: float) -> float:
    """Return Q = pi R^3 / tau_w^3 * integral of tau^2 rate(tau), by scipy."""
    breaks = [b for b in (yield_stress, 300.0) if 0.0 < b < wall]
    edges = [yield_stress, *[b for b in breaks if b > yield_stress], wall]
    total = sum(
        quad(lambda tau: tau**2 * rate(tau), low, high, epsabs=0.0, epsrel=1e-10, limit=200)[0]
        for low, high in pairwise(edges)
    )
    return pi * RADIUS**3 / wall**3 * total


@MODELS
@pytest.mark.parametrize("wall", [130.0, 500.0, 4000.0])
def test_the_flow_equals_the_integral_over_the_stress(name: str, wall: float) -> None:
    curve, rate = RATE_OF_STRESS[name]
    yields = 0.0 if np.isnan(curve.yield_stress) else float(curve.yield_stress)

    flow = flow_from_pressure(
        curve=curve, pressure_drop=2 * LENGTH * wall / RADIUS, bore=2 * RADIUS, length=LENGTH
    )

    assert flow == pytest.approx(flow_by_stress(rate, wall, yields), rel=2e-9)


@pytest.mark.parametrize(
    "name", ["Herschel-Bulkley", "Casson", "Bingham", "Carreau", "strongly thinning"]
)
@pytest.mark.parametrize("flow", [1e-10, 1e-8, 1e-7])
def test_the_pressure_equals_the_root_found_by_brentq(name: str, flow: float) -> None:
    curve, rate = RATE_OF_STRESS[name]
    yields = float(curve.yield_stress)

    wall = brentq(
        lambda tau: flow_by_stress(rate, tau, yields) / flow - 1.0,
        max(yields, 1e-3) * (1 + 1e-4),
        1e6,
        rtol=1e-12,
    )

    pressure = tube_pressure_drop(curve=curve, flow_rate=flow, bore=2 * RADIUS, length=LENGTH)
    assert pressure == pytest.approx(2 * LENGTH * wall / RADIUS, rel=1e-8)


@pytest.mark.parametrize("name", ["Newtonian", "power law", "Carreau"])
def test_the_flow_equals_the_velocity_profile_of_a_boundary_value_solver(name: str) -> None:
    curve, rate = RATE_OF_STRESS[name]
    wall = 500.0

    # v' = -rate(tau_w r/R), (flow)' = 2 pi r v, with no slip at the wall.
    def profile(r: np.ndarray, state: np.ndarray) -> np.ndarray:
        return np.vstack([[-rate(wall * x) * RADIUS for x in r], 2 * pi * RADIUS**2 * r * state[0]])

    solved = solve_bvp(
        profile,
        lambda a, b: np.array([b[0], a[1]]),
        np.linspace(0, 1, 41),
        np.zeros((2, 41)),
        tol=1e-8,
        max_nodes=4000,
    )

    flow = flow_from_pressure(
        curve=curve, pressure_drop=2 * LENGTH * wall / RADIUS, bore=2 * RADIUS, length=LENGTH
    )
    assert solved.success
    assert flow == pytest.approx(solved.sol(1.0)[1], rel=1e-5)


@pytest.mark.parametrize("name", ["Newtonian", "power law", "Herschel-Bulkley", "Carreau"])
@pytest.mark.parametrize(
    ("bore_in", "bore_out"), [(4e-3, 0.84e-3), (1.0e-3, 0.99e-3), (1e-3, 3e-3)]
)
def test_the_cone_equals_short_tubes_added_up_by_quadrature(
    name: str, bore_in: float, bore_out: float
) -> None:
    curve, _ = RATE_OF_STRESS[name]

    def slope(z: float) -> float:
        bore = bore_in + (bore_out - bore_in) * z / 25e-3
        return 4.0 / bore * float(wall_stress(curve=curve, flow_rate=1e-8, bore=bore))

    expected = quad(slope, 0.0, 25e-3, epsrel=1e-10)[0]

    cone = taper_pressure_drop(
        curve=curve, flow_rate=1e-8, bore_in=bore_in, bore_out=bore_out, length=25e-3
    )
    assert cone == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize(
    "name", ["Newtonian", "power law", "Bingham", "Casson", "Carreau", "Herschel-Bulkley"]
)
@pytest.mark.parametrize("pressure", [1e4, 3e5])
def test_the_slit_equals_the_integral_over_the_stress(name: str, pressure: float) -> None:
    curve, rate = RATE_OF_STRESS[name]
    width, gap, land = 30e-3, 50e-6, 2e-3
    wall = gap * pressure / (2 * land)
    integral = (
        quad(
            lambda tau: tau * rate(tau), float(curve.yield_stress), wall, epsrel=1e-12, epsabs=0.0
        )[0]
        if wall > curve.yield_stress
        else 0.0
    )

    weightless = slit_leakage(
        curve=curve,
        density=1e-12,
        width=width,
        gap=gap,
        land_length=land,
        pressure_per_stage=pressure,
        sliding_speed=0.0,
    )

    assert weightless.low == pytest.approx(width * gap**2 / (2 * wall**2) * integral, rel=1e-8)


def test_the_inertial_root_equals_brentq() -> None:
    viscous = 12 * 2e-3 * 1e-3 / (30e-3 * 50e-6**3)
    inertial = 1.5 * 1000.0 / (2 * (30e-3 * 50e-6) ** 2)
    expected = brentq(lambda q: viscous * q + inertial * q * q - 3e5, 0, 1, xtol=1e-22)

    leakage = newtonian_leakage(
        viscosity=1e-3,
        density=1000.0,
        width=30e-3,
        gap=50e-6,
        land_length=2e-3,
        pressure_per_stage=3e5,
    )

    assert leakage == pytest.approx(expected, rel=1e-12)


def test_the_calibrated_gap_equals_brentq() -> None:
    seal = {
        "viscosity": 1e-3,
        "density": 998.0,
        "width": 30e-3,
        "land_length": 2e-3,
        "pressure_per_stage": 3e5,
    }
    expected = brentq(
        lambda gap: newtonian_leakage(gap=gap, **seal) - 0.32e-6, 1e-7, 1e-3, xtol=1e-18
    )

    assert gap_from_rated_point(leakage=0.32e-6, **seal) == pytest.approx(expected, rel=1e-10)


def test_no_yielding_material_moves_below_its_start_pressure_and_all_do_above() -> None:
    tube = {"bore": 0.84e-3, "length": 12.7e-3}
    start = 4.0 * 100.0 * tube["length"] / tube["bore"]  # force balance on the plug
    for curve in (Bingham(100.0, 10.0), Casson(100.0, 10.0), HerschelBulkley(100.0, 50.0, 0.5)):
        assert flow_from_pressure(curve=curve, pressure_drop=start * (1 - 1e-9), **tube) == 0.0
        assert 0.0 < flow_from_pressure(curve=curve, pressure_drop=1.001 * start, **tube) < inf
        slow = tube_pressure_drop(curve=curve, flow_rate=1e-18, **tube)
        assert slow == pytest.approx(start, rel=0.01)
        assert tube_pressure_drop(curve=curve, flow_rate=0.0, **tube) == pytest.approx(start)


def test_a_cone_starts_at_the_pressure_of_its_yield_stress() -> None:
    cone = {"bore_in": 4e-3, "bore_out": 0.84e-3, "length": 25e-3}
    slow = taper_pressure_drop(curve=HerschelBulkley(100.0, 50.0, 0.5), flow_rate=0.0, **cone)

    plugs = 2.0 * 100.0 * 25e-3 / (2e-3 - 0.42e-3) * log(2e-3 / 0.42e-3)  # short ones, summed
    assert slow == pytest.approx(plugs, rel=1e-9)


@pytest.mark.parametrize("index", [0.1, 0.4, 0.9])
@pytest.mark.parametrize("relaxation", [1e-3, 1.0, 1e3])
def test_the_carreau_quadrature_holds_over_six_decades(index: float, relaxation: float) -> None:
    curve = Carreau(100.0, 0.0, relaxation, index)
    for rate in (1e-2, 1.0, 1e3):
        wall = float(curve.stress(rate))

        def integrand(x: float, rate: float = rate, wall: float = wall) -> float:
            return (float(curve.stress(rate * np.exp(-x))) / wall) ** 3 * np.exp(-x)

        mean = quad(integrand, 0, 5, epsrel=1e-12)[0] + quad(integrand, 5, 60, epsrel=1e-10)[0]
        flow = flow_from_pressure(
            curve=curve, pressure_drop=2 * wall / RADIUS, bore=2 * RADIUS, length=1.0
        )
        expected = pi * RADIUS**3 / 3 * rate * (1 - mean)
        assert flow == pytest.approx(expected, rel=1e-8)
