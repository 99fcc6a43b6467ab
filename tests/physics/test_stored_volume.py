"""Stored volume: what gives most, and the way back."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.stored_volume import (
    liquid_compliance,
    stored_volume,
    suck_back_angle,
    trapped_air_volume,
    wall_compliance,
)


def test_one_percent_of_air_stores_more_than_liquid_and_line_together() -> None:
    liquid = liquid_compliance(volume=10e-6, bulk_modulus=1.5e9)
    wall = wall_compliance(
        inner_radius=2e-3, outer_radius=3e-3, elastic_modulus=2e9, poisson_ratio=0.4
    )
    air = trapped_air_volume(volume=10e-6, air_share=0.01, pressure_low=1e5, pressure_high=10e5)
    solid = stored_volume(liquid=liquid, wall=wall, line_volume=10e-6, pressure=9e5, air=0.0)

    assert air > 2 * solid


def test_a_thin_wall_gives_as_the_boiler_formula_says() -> None:
    radius, wall = 10e-3, 0.01e-3
    thin = wall_compliance(
        inner_radius=radius, outer_radius=radius + wall, elastic_modulus=2e9, poisson_ratio=0.3
    )

    assert thin == pytest.approx(2 * radius / (wall * 2e9), rel=2e-3)


def test_air_under_its_own_pressure_gives_nothing_and_vacuum_takes() -> None:
    air = {"volume": 1e-6, "air_share": 0.02, "pressure_low": 1e5}

    assert trapped_air_volume(pressure_high=1e5, **air) == 0.0
    assert trapped_air_volume(pressure_high=0.5e5, **air) < 0.0


def test_a_wall_without_thickness_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="outer_radius"):
        wall_compliance(
            inner_radius=2e-3, outer_radius=2e-3, elastic_modulus=2e9, poisson_ratio=0.4
        )


def test_one_displacement_is_sucked_back_by_one_turn() -> None:
    assert suck_back_angle(stored_volume=0.4e-6, displacement=0.4e-6) == pytest.approx(2 * np.pi)
