"""Deposits: shapes that must meet."""

import numpy as np
import pytest

from configurator.physics.deposit import (
    bead_area,
    corner_speed,
    dot_height,
    dot_volume,
)
from configurator.physics.domain import PhysicsDomainError


def test_a_right_angle_makes_a_hemisphere_and_a_half_circle() -> None:
    assert dot_height(diameter=2.0, contact_angle=np.pi / 2) == pytest.approx(1.0)
    assert dot_volume(diameter=2.0, height=1.0) == pytest.approx(2 * np.pi / 3)
    assert bead_area(width=2.0, contact_angle=np.pi / 2) == pytest.approx(np.pi / 2)


@pytest.mark.parametrize("angle", [0.0, np.pi, -0.1, 4.0])
def test_an_angle_that_makes_no_shape_is_refused(angle: float) -> None:
    with pytest.raises(PhysicsDomainError, match="contact_angle"):
        bead_area(width=1e-3, contact_angle=angle)


def test_a_sharp_corner_stops_the_path() -> None:
    assert corner_speed(acceleration=5.0, radius=0.0) == 0.0
