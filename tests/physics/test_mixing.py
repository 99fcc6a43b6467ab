"""Mixing: edges and refusals."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.mixing import (
    chamber_residence,
    oldest_at_tip,
    tube_mixer_volume,
    variation_after,
)


@pytest.mark.parametrize("base", [0.87, 0.63, 0.85, 0.83])
def test_thirty_diameters_of_any_form_mix_equal_shares(base: float) -> None:
    assert variation_after(share=0.5, variation_base=base, length_over_diameter=30.0) < 0.05


def test_elements_take_room_and_cannot_add_any() -> None:
    assert tube_mixer_volume(bore=6e-3, length=0.1, free_share=0.75) == pytest.approx(
        0.75 * float(tube_mixer_volume(bore=6e-3, length=0.1))
    )
    with pytest.raises(PhysicsDomainError, match="free_share"):
        tube_mixer_volume(bore=6e-3, length=0.1, free_share=1.1)


@pytest.mark.parametrize("held", [0.1, 0.5, 1.0, 1.7, 2.5, 3.0])
@pytest.mark.parametrize("shot_time", [0.0, 1.0, 30.0, 60.0])
def test_the_oldest_of_a_shot_is_that_of_a_tube_followed_step_by_step(
    held: float, shot_time: float
) -> None:
    """Each slice of a shot is pushed on until the tube's volume has followed it."""
    cycle = 60.0
    entered = np.linspace(0.0, 1.0, 4001)[:-1]
    left = entered + held

    def clock(shots: np.ndarray) -> np.ndarray:
        return np.floor(shots) * cycle + (shots % 1.0) * shot_time

    ages = clock(left) - clock(entered)
    oldest = oldest_at_tip(shots_held=held, cycle_time=cycle, shot_time=shot_time)
    mean = chamber_residence(chamber_volume=held, shot_volume=1.0, cycle_time=cycle)
    assert ages.max() == pytest.approx(float(oldest), rel=1e-3)
    assert ages.mean() == pytest.approx(float(mean), rel=1e-3)
