"""Torque and power balance."""

import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.drive import (
    breakaway_torque,
    running_torque,
    viscous_torque,
)


def test_breakaway_is_never_below_running_friction() -> None:
    for factor in (1.5, 3.0):
        assert breakaway_torque(friction=0.2, factor=factor) > running_torque(
            hydraulic=0.0, friction=0.2, viscous=0.0
        )
    with pytest.raises(PhysicsDomainError, match="at least 1"):
        breakaway_torque(friction=0.2, factor=0.9)


def test_a_residual_pressure_adds_to_the_breakaway() -> None:
    assert breakaway_torque(friction=0.2, factor=2.0, hydraulic=0.1) == pytest.approx(0.5)


def test_the_viscous_torque_is_the_shear_stress_on_the_cylinder() -> None:
    # Stress mu * surface speed / gap, on the area 2 pi R L, at the arm R.
    omega, radius = 2 * 3.141592653589793 * 1.5, 4e-3
    expected = 20.0 * omega * radius / 1e-3 * 2 * 3.141592653589793 * radius * 0.05 * radius

    assert viscous_torque(
        viscosity=20.0, speed=1.5, rotor_diameter=8e-3, stator_length=0.05, gap=1e-3
    ) == pytest.approx(expected)
