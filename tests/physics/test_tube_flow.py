"""Tubes: refusals, limits, and the time a whole table of tips may take."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
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
from configurator.physics.tube_flow import (
    flow_from_pressure,
    reynolds_metzner_reed,
    tube_pressure_drop,
    wall_shear_rate,
)

TABLE = np.linspace(0.1e-3, 3e-3, 100)
MODELS: list[FlowCurve] = [
    Newtonian(10.0),
    PowerLaw(50.0, 0.5),
    Bingham(100.0, 10.0),
    Casson(100.0, 10.0),
    HerschelBulkley(100.0, 50.0, 0.5),
    Carreau(100.0, 1.0, 1.0, 0.4),
    MeasuredCurve(np.geomspace(0.01, 1e3, 20), 30 * np.geomspace(0.01, 1e3, 20) ** 0.5),
]


@pytest.mark.parametrize(
    "wrong",
    [
        {"bore": 0.0},
        {"bore": -1e-3},
        {"flow_rate": -1e-9},
        {"length": -1.0},
        {"length": np.inf},
        {"bore": np.array([1e-3, 0.0])},
    ],
)
def test_an_impossible_tube_is_refused(wrong: dict[str, float]) -> None:
    tube = {"flow_rate": 1e-8, "bore": 1e-3, "length": 1e-2, **wrong}
    with pytest.raises(PhysicsDomainError):
        tube_pressure_drop(curve=Newtonian(1.0), **tube)


def test_no_flow_costs_nothing_unless_the_material_yields() -> None:
    tube = {"flow_rate": 0.0, "bore": 1e-3, "length": 1e-2}
    for curve in MODELS:
        loss = tube_pressure_drop(curve=curve, **tube)
        yields = np.nan_to_num(curve.yield_stress)
        assert loss == pytest.approx(4 * yields * 1e-2 / 1e-3)


def test_no_pressure_makes_no_flow() -> None:
    for curve in MODELS:
        assert flow_from_pressure(curve=curve, pressure_drop=0.0, bore=1e-3, length=1.0) == 0.0


def test_a_flow_of_zero_in_a_table_leaves_the_other_flows_alone() -> None:
    flows = np.array([0.0, 1e-8, np.nan])
    rates = np.asarray(
        wall_shear_rate(curve=HerschelBulkley(100.0, 50.0, 0.5), flow_rate=flows, bore=1e-3)
    )

    assert rates[0] == 0.0
    assert rates[1] == wall_shear_rate(
        curve=HerschelBulkley(100.0, 50.0, 0.5), flow_rate=1e-8, bore=1e-3
    )
    assert np.isnan(rates[2])


def test_an_extreme_yield_stress_still_converges() -> None:
    curve = HerschelBulkley(1e5, 1e-3, 0.3)
    tube = {"bore": 0.2e-3, "length": 1e-2}
    pressure = tube_pressure_drop(curve=curve, flow_rate=1e-12, **tube)

    assert pressure == pytest.approx(4 * 1e5 * 1e-2 / 0.2e-3, rel=1e-3)


def test_a_material_at_rest_has_no_reynolds_number() -> None:
    with pytest.raises(PhysicsDomainError, match="flow_rate"):
        reynolds_metzner_reed(curve=Newtonian(1.0), density=1e3, flow_rate=0.0, bore=1e-3)
