"""Cavities: the exact volume of a turn, against a count of points in the free section."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.inlet import (
    flow_area,
    hydraulic_diameter,
)


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


def test_the_hydraulic_diameter_is_smaller_than_the_slot_is_wide() -> None:
    assert hydraulic_diameter(eccentricity=1e-3, rotor_diameter=5e-3) < 4e-3


def test_a_rotor_without_eccentricity_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="eccentricity"):
        flow_area(eccentricity=0.0, rotor_diameter=5e-3)
