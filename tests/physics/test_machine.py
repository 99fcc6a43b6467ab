"""The guard distance at its switches."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.machine import light_curtain_distance


def test_the_distance_rests_at_half_a_metre_between_the_two_speeds() -> None:
    times = np.array([0.25, 0.2501, 0.3124, 0.3126])
    distances = np.asarray(light_curtain_distance(stopping_time=times, resolution=0.014))

    assert distances == pytest.approx([0.5, 0.5, 0.5, 0.50016])


def test_a_finer_curtain_than_fourteen_millimetres_gains_nothing() -> None:
    assert light_curtain_distance(stopping_time=0.2, resolution=0.005) == pytest.approx(0.4)


def test_a_quick_stop_does_not_bring_the_curtain_to_the_tool() -> None:
    assert light_curtain_distance(stopping_time=0.01, resolution=0.014) == 0.1


def test_a_curtain_that_misses_a_hand_is_not_covered() -> None:
    with pytest.raises(PhysicsDomainError, match="resolution"):
        light_curtain_distance(stopping_time=0.2, resolution=0.05)
