"""Components at their ends: many at once as each is alone."""

from __future__ import annotations

import numpy as np

from configurator.physics.rheology import MeasuredCurve
from configurator.request.intake import fill_gaps
from configurator.request.load import material_from
from configurator.request.material import Component
from configurator.rules.fluid import fluid_of, fluids_of
from configurator.units.interval import Interval

TEMPERATURE = Interval(288.15, 296.15, 303.15)


def component(flow: dict[str, object]) -> Component:
    tables = {
        "schema": 1,
        "name": "paste",
        "title": "A paste",
        "trigger": "none",
        "component": {"density": "1.1 g/cm^3", "flow": {"at": "23 degC", **flow}},
    }
    return fill_gaps(material_from(tables, "test")).material.components[0][1]


def points(seed: int) -> dict[str, object]:
    """Points of a paste; every third has a tolerance on some of them, every fifth scatters."""
    draw = np.random.default_rng(seed)
    rates = np.geomspace(0.1, 1000.0, 4 + seed % 5)
    scatter = 0.5 if seed % 5 == 0 else 0.01
    stresses = np.sort((80.0 + 20.0 * rates**0.6) * np.exp(scatter * draw.random(rates.size)))
    off = [" +/- 2 %" if seed % 3 == 0 and place % 2 else "" for place in range(rates.size)]
    return {
        "model": "points",
        "points": [
            {"rate": f"{rate:.6g} 1/s", "stress": f"{stress:.6g} Pa{extra}"}
            for rate, stress, extra in zip(rates, stresses, off, strict=True)
        ],
        "batch_spread": f"{seed % 4} %",
    }


def test_many_components_flow_as_each_does_alone() -> None:
    flows = [points(seed) for seed in range(24)]
    flows.insert(3, {"model": "newtonian", "viscosity": "5 Pa*s"})
    every = [component(flow) for flow in flows]
    alone = [fluid_of(each, TEMPERATURE) for each in every]
    assert fluids_of(every, TEMPERATURE) == alone
    kinds = {type(curve) for fluid in alone for curve in fluid.curves}
    assert len(kinds) > 2
    assert fluids_of([], TEMPERATURE) == []


def test_points_that_no_model_describes_stand_for_themselves() -> None:
    rates, stresses = (0.1, 0.5, 10.0, 300.0, 1000.0), (1.0, 90.0, 91.0, 92.0, 4000.0)
    odd = component(
        {
            "model": "points",
            "points": [
                {"rate": f"{rate} 1/s", "stress": f"{stress} Pa"}
                for rate, stress in zip(rates, stresses, strict=True)
            ],
        }
    )
    fluid = fluid_of(odd, TEMPERATURE)
    assert all(isinstance(curve, MeasuredCurve) for curve in fluid.curves)
    assert fluids_of([odd, odd], TEMPERATURE) == [fluid, fluid]


def test_what_a_fit_misses_lies_between_the_ends() -> None:
    rates = np.geomspace(0.1, 1000.0, 9)
    measured = (80.0 + 20.0 * rates**0.6) * np.where(np.arange(9) % 2, 1.04, 0.96)
    flow = {
        "model": "points",
        "points": [
            {"rate": f"{rate!r} 1/s", "stress": f"{stress!r} Pa"}
            for rate, stress in zip(rates.tolist(), measured.tolist(), strict=True)
        ],
    }
    fluid = fluid_of(component(flow), Interval.exact(296.15))
    thin, nominal, thick = (np.asarray(curve.stress(rates)) for curve in fluid.curves)

    assert np.abs(nominal / measured - 1.0).max() > 0.02, "the fit has to miss something"
    assert (thin <= measured * (1 + 1e-9)).all()
    assert (measured <= thick * (1 + 1e-9)).all()


def test_points_that_fall_are_taken_with_what_falls_between_the_ends() -> None:
    falling = [("0.1 1/s", 80.0), ("1 1/s", 200.0), ("10 1/s", 120.0), ("100 1/s", 900.0)]
    flow = {
        "model": "points",
        "points": [{"rate": rate, "stress": f"{stress} Pa"} for rate, stress in falling],
    }
    thin, nominal, thick = fluid_of(component(flow), Interval.exact(296.15)).curves
    at = np.array([0.1, 1.0, 10.0, 100.0])

    assert np.allclose(thin.stress(at), [80.0, 120.0, 120.0, 900.0])
    assert np.allclose(nominal.stress(at), [80.0, 24000.0**0.5, 24000.0**0.5, 900.0])
    assert np.allclose(thick.stress(at), [80.0, 200.0, 200.0, 900.0])


def test_each_parameter_of_a_curve_is_at_an_end_of_its_own() -> None:
    flow = {
        "model": "bingham",
        "yield_stress": "100 Pa +/- 20 %",
        "plastic_viscosity": "10 Pa*s +/- 10 %",
    }
    corners = fluid_of(component(flow), Interval.exact(296.15)).corners
    stresses = sorted(float(curve.stress(1.0)) for curve in corners)

    assert np.allclose(stresses, [80 + 9, 80 + 11, 120 + 9, 120 + 11])
