"""Mixing: edges and refusals."""

import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.mixing import (
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
