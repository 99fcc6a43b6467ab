"""Static mixing: edges and refusals."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.mixing import (
    MIXER_FORMS,
    elements_needed,
    layers,
    length_for_variation,
    minor_share,
    mixer_pressure_drop,
    tube_mixer_volume,
    variation_after,
    viscosity_ratio,
)


def test_a_ratio_and_its_reverse_have_the_same_minor_share() -> None:
    assert minor_share(ratio=10.0) == pytest.approx(float(minor_share(ratio=0.1)))
    assert minor_share(ratio=1.0) == 0.5


def test_a_hair_above_a_whole_number_asks_for_one_element_more() -> None:
    needed = elements_needed(
        length_over_diameter=np.array([24.0, 24.000001, 23.9]), element_over_diameter=1.5
    )

    assert np.asarray(needed).tolist() == [16.0, 17.0, 16.0]


def test_components_that_are_even_enough_need_no_mixer() -> None:
    assert length_for_variation(share=0.5, variation_base=0.87, variation=1.5) == 0.0


def test_each_form_mixes_and_costs_pressure() -> None:
    for form in MIXER_FORMS.values():
        assert form.loss_multiplier > 1.0
        assert (
            variation_after(
                share=0.5, variation_base=form.variation_base, length_over_diameter=30.0
            )
            < 0.05
        )


def test_crossed_bars_mix_in_less_length_but_not_for_less_pressure() -> None:
    ribbon, bars = (
        MIXER_FORMS[name] for name in ("alternating twisted ribbon", "crossed bars 45 degrees")
    )
    lengths = [
        float(length_for_variation(share=0.5, variation_base=form.variation_base, variation=0.05))
        for form in (ribbon, bars)
    ]

    assert lengths[1] < lengths[0] / 3
    assert lengths[1] * bars.loss_multiplier > lengths[0] * ribbon.loss_multiplier


def test_elements_cannot_make_an_empty_tube_easier() -> None:
    with pytest.raises(PhysicsDomainError, match="at least 1"):
        mixer_pressure_drop(empty_tube_loss=1.0, loss_multiplier=0.5)


def test_elements_take_room_and_cannot_add_any() -> None:
    assert tube_mixer_volume(bore=6e-3, length=0.1, free_share=0.75) == pytest.approx(
        0.75 * float(tube_mixer_volume(bore=6e-3, length=0.1))
    )
    with pytest.raises(PhysicsDomainError, match="free_share"):
        tube_mixer_volume(bore=6e-3, length=0.1, free_share=1.1)


def test_layers_double_and_the_viscosity_ratio_has_no_direction() -> None:
    assert layers(elements=5.0) == 2 * layers(elements=4.0)
    assert (
        viscosity_ratio(viscosity_a=2.0, viscosity_b=8.0)
        == viscosity_ratio(viscosity_a=8.0, viscosity_b=2.0)
        == 4.0
    )
