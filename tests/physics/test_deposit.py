"""Deposits: shapes that must meet."""

import numpy as np
import pytest

from configurator.physics.deposit import (
    bead_area,
    bead_flow,
    corner_speed,
    corner_turndown,
    dot_height,
    dot_volume,
    potting_rise,
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


def test_a_slow_path_needs_no_turndown() -> None:
    assert corner_turndown(path_speed=0.05, corner_speed=0.1) == 1.0


def test_a_sharp_corner_stops_the_path_and_has_no_finite_turndown() -> None:
    stop = corner_speed(acceleration=5.0, radius=0.0)

    assert stop == 0.0
    with pytest.raises(PhysicsDomainError, match="corner_speed"):
        corner_turndown(path_speed=0.3, corner_speed=stop)


def test_a_standing_tip_lays_no_bead_and_a_stopped_flow_raises_no_level() -> None:
    assert bead_flow(area=1e-6, path_speed=0.0) == 0.0
    assert potting_rise(flow_rate=0.0, free_area=1e-3) == 0.0
