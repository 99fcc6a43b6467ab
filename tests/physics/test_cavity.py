"""Cavities: the exact volume of a turn, against a count of points in the free section."""

import numpy as np
import pytest

from configurator.physics.cavity import (
    axial_speed,
    closed_cavities,
    displacement,
    flow_area,
    hydraulic_diameter,
    ideal_flow,
    speed_for_flow,
)
from configurator.physics.domain import PhysicsDomainError


@pytest.mark.parametrize("turn", [0.0, 0.7, 1.9, 3.1])
def test_the_free_section_is_stadium_minus_circle_at_every_angle(turn: float) -> None:
    e, diameter = 1.0, 5.0
    x, y = np.meshgrid(np.linspace(-5, 5, 2001), np.linspace(-3, 3, 1201))
    cell = (10 / 2000) * (6 / 1200)
    across = np.maximum(np.abs(x) - 2 * e, 0.0)
    stadium = across**2 + y**2 <= (diameter / 2) ** 2
    rotor = (x - 2 * e * np.cos(turn)) ** 2 + y**2 <= (diameter / 2) ** 2

    free = np.count_nonzero(stadium & ~rotor) * cell

    assert flow_area(eccentricity=e, rotor_diameter=diameter) == pytest.approx(free, rel=2e-3)


def test_a_speed_gives_the_flow_it_was_made_for() -> None:
    volume = displacement(eccentricity=1e-3, rotor_diameter=5e-3, stator_pitch=20e-3)
    speed = speed_for_flow(displacement=volume, flow_rate=0.3e-6, leakage=0.05e-6)

    assert float(ideal_flow(displacement=volume, speed=speed)) - 0.05e-6 == pytest.approx(0.3e-6)


def test_flow_is_area_times_axial_speed() -> None:
    geometry = {"eccentricity": 1e-3, "rotor_diameter": 5e-3}
    flow = ideal_flow(displacement=displacement(stator_pitch=20e-3, **geometry), speed=3.0)

    assert flow == pytest.approx(flow_area(**geometry) * axial_speed(stator_pitch=20e-3, speed=3.0))


def test_the_hydraulic_diameter_is_smaller_than_the_slot_is_wide() -> None:
    assert hydraulic_diameter(eccentricity=1e-3, rotor_diameter=5e-3) < 4e-3


def test_half_a_pitch_of_stator_closes_no_cavity() -> None:
    assert closed_cavities(stator_length=10e-3, stator_pitch=20e-3) == 0.0


def test_a_rotor_without_eccentricity_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="eccentricity"):
        displacement(eccentricity=0.0, rotor_diameter=5e-3, stator_pitch=20e-3)
