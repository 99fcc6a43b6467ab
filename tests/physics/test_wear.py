"""Wear: an order of materials and loads, in a band a decade wide."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.wear import decade_band, filler_factor, life_hours, life_revolutions

GENTLE = {
    "filler_factor": 1.0,
    "filler_fraction": 0.0,
    "rubbing_speed": 0.05,
    "rubbing_limit": 0.1,
    "pressure_per_stage": 1e5,
    "rotor_factor": 1.0,
}


def test_harder_grains_never_last_longer() -> None:
    factors = np.asarray(filler_factor(mohs_hardness=np.linspace(0.0, 10.0, 101)))

    assert np.all(np.diff(factors) <= 0)
    assert np.asarray(filler_factor(mohs_hardness=np.array([3.0, 6.0, 7.0, 8.0]))).tolist() == [
        0.6,
        0.3,
        0.12,
        0.04,
    ]


@pytest.mark.parametrize(
    ("change", "factor"),
    [
        ({"rubbing_speed": 0.2}, 0.5),
        ({"pressure_per_stage": 8e5}, 0.25),
        ({"filler_fraction": 0.375}, 0.5),
        ({"filler_factor": 0.12}, 0.12),
        ({"rotor_factor": 3.0}, 3.0),
        ({"rubbing_speed": 0.0}, 1.0),
        ({"pressure_per_stage": 0.0}, 1.0),
    ],
)
def test_each_load_shortens_life_by_its_own_factor(change: dict[str, float], factor: float) -> None:
    base = float(life_revolutions(**GENTLE))

    assert life_revolutions(**{**GENTLE, **change}) == pytest.approx(factor * base)


def test_a_packing_as_dense_as_it_gets_leaves_nothing_and_a_denser_one_is_refused() -> None:
    assert life_revolutions(**{**GENTLE, "filler_fraction": 0.75}) == 0.0
    with pytest.raises(PhysicsDomainError, match="filler_fraction"):
        life_revolutions(**{**GENTLE, "filler_fraction": 0.8})


def test_the_band_is_one_decade_wide_about_its_middle() -> None:
    low, high = decade_band(middle=500.0)

    assert float(high) / float(low) == pytest.approx(10.0)
    assert float(high) * float(low) == pytest.approx(500.0**2)


def test_a_slower_head_lasts_more_hours() -> None:
    assert life_hours(revolutions=7.2e4, speed=0.5) == 40.0
