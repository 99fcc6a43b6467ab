"""Temperature shifts of a whole curve."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.rheology import HerschelBulkley
from configurator.physics.temperature import (
    activation_energy_from_points,
    arrhenius_factor,
)


def test_the_reference_temperature_changes_nothing() -> None:
    assert (
        arrhenius_factor(activation_energy=50e3, temperature=298.15, reference_temperature=298.15)
        == 1.0
    )


def test_a_range_of_temperatures_shifts_a_curve_into_a_range_of_curves() -> None:
    factors = arrhenius_factor(
        activation_energy=50e3, temperature=np.array([291.15, 301.15]), reference_temperature=296.15
    )
    stresses = HerschelBulkley(100.0, 50.0, 0.5).scaled(factors).stress(10.0)

    assert np.asarray(stresses)[0] > np.asarray(stresses)[1]


def test_temperatures_that_tell_nothing_are_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="two different"):
        activation_energy_from_points(
            viscosity_1=1.0, temperature_1=300.0, viscosity_2=2.0, temperature_2=300.0
        )
