"""The two principles side by side."""

import pytest

from configurator.physics.rheology import PowerLaw
from configurator.physics.time_pressure import (
    time_pressure_ratio,
    time_pressure_temperature_sensitivity,
    volumetric_ratio,
    volumetric_temperature_sensitivity,
)
from configurator.physics.tube_flow import flow_from_pressure


@pytest.mark.parametrize("index", [0.4, 0.7, 1.0])
def test_the_ratio_is_that_of_two_flows_through_one_tip(index: float) -> None:
    tip = {"bore": 0.5e-3, "length": 10e-3}
    before = flow_from_pressure(curve=PowerLaw(50.0, index), pressure_drop=4e5, **tip)
    after = flow_from_pressure(curve=PowerLaw(60.0, index), pressure_drop=4.2e5, **tip)

    assert time_pressure_ratio(pressure_ratio=1.05, viscosity_ratio=1.2, index=index) == (
        pytest.approx(float(after) / float(before), rel=1e-9)
    )


def test_a_metering_head_without_slip_feels_nothing() -> None:
    assert (
        volumetric_ratio(volumetric_efficiency=1.0, pressure_ratio=2.0, viscosity_ratio=0.5) == 1.0
    )
    assert (
        volumetric_temperature_sensitivity(
            volumetric_efficiency=1.0, activation_energy=50e3, temperature=298.15
        )
        == 0.0
    )


def test_the_sensitivity_is_the_slope_of_the_ratio() -> None:
    step = 1e-4
    slope = time_pressure_temperature_sensitivity(
        activation_energy=50e3, temperature=298.15, index=0.5
    )
    thinner = 1.0 - step * 50e3 / (8.31446261815324 * 298.15**2)

    change = time_pressure_ratio(pressure_ratio=1.0, viscosity_ratio=thinner, index=0.5)
    assert (float(change) - 1) / step == pytest.approx(slope, rel=1e-3)
