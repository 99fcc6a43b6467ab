"""Torque and power balance."""

import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.drive import (
    BREAKAWAY_FACTOR_HIGH,
    BREAKAWAY_FACTOR_LOW,
    breakaway_torque,
    hydraulic_torque,
    pressure_from_torque,
    running_torque,
    shaft_power,
    torque_at_head,
    viscous_torque,
)


def test_the_power_of_the_shaft_is_the_power_of_the_flow() -> None:
    torque = hydraulic_torque(displacement=0.4e-6, pressure_difference=20e5)

    assert shaft_power(torque=torque, speed=2.0) == pytest.approx(20e5 * 0.4e-6 * 2.0)


def test_no_pressure_is_held_when_friction_takes_all_torque() -> None:
    assert pressure_from_torque(displacement=0.4e-6, available_torque=0.1, other_torque=0.2) == 0.0


def test_breakaway_is_never_below_running_friction() -> None:
    for factor in (BREAKAWAY_FACTOR_LOW, BREAKAWAY_FACTOR_HIGH):
        assert breakaway_torque(friction=0.2, factor=factor) > running_torque(
            hydraulic=0.0, friction=0.2, viscous=0.0
        )
    with pytest.raises(PhysicsDomainError, match="at least 1"):
        breakaway_torque(friction=0.2, factor=0.9)


def test_a_residual_pressure_adds_to_the_breakaway() -> None:
    assert breakaway_torque(friction=0.2, factor=2.0, hydraulic=0.1) == pytest.approx(0.5)


def test_a_gear_cannot_give_more_than_it_takes() -> None:
    with pytest.raises(PhysicsDomainError, match="gear_efficiency"):
        torque_at_head(motor_torque=0.1, gear_ratio=10.0, gear_efficiency=1.2)


def test_the_viscous_torque_is_the_shear_stress_on_the_cylinder() -> None:
    # Stress mu * surface speed / gap, on the area 2 pi R L, at the arm R.
    omega, radius = 2 * 3.141592653589793 * 1.5, 4e-3
    expected = 20.0 * omega * radius / 1e-3 * 2 * 3.141592653589793 * radius * 0.05 * radius

    assert viscous_torque(
        viscosity=20.0, speed=1.5, rotor_diameter=8e-3, stator_length=0.05, gap=1e-3
    ) == pytest.approx(expected)
