"""Particles and openings."""

import numpy as np
import pytest

from configurator.physics.clogging import (
    BRIDGING_RATIO,
    bore_to_particle_ratio,
    least_bore,
    required_ratio,
)


def test_no_particles_never_bridge() -> None:
    assert bore_to_particle_ratio(bore=1e-3, largest_particle=0.0) == np.inf
    assert least_bore(largest_particle=0.0, ratio=5.0) == 0.0


def test_the_least_bore_has_the_ratio_it_was_asked_for() -> None:
    bore = least_bore(largest_particle=90e-6, ratio=7.0)

    assert bore_to_particle_ratio(bore=bore, largest_particle=90e-6) == pytest.approx(7.0)


def test_loading_and_corners_ask_for_more_room_and_never_less_than_spheres_bridge() -> None:
    loads = np.linspace(0.0, 0.7, 15)
    for angular in (False, True):
        ratios = np.asarray(required_ratio(filler_fraction=loads, angular=angular))
        assert np.all(np.diff(ratios) >= 0)
        assert ratios.min() > BRIDGING_RATIO
        assert ratios.max() <= 15.0
    assert required_ratio(filler_fraction=0.3, angular=True) > required_ratio(
        filler_fraction=0.3, angular=False
    )
