"""Temperature shifts of a whole curve."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.rheology import HerschelBulkley
from configurator.physics.temperature import (
    activation_energy_from_points,
    arrhenius_factor,
    arrhenius_sensitivity,
    batch_range,
    equivalent_temperature_error,
    vft_factor,
)


def test_the_reference_temperature_changes_nothing() -> None:
    assert (
        arrhenius_factor(activation_energy=50e3, temperature=298.15, reference_temperature=298.15)
        == 1.0
    )
    assert (
        vft_factor(
            strength=1e3, vogel_temperature=200.0, temperature=298.15, reference_temperature=298.15
        )
        == 1.0
    )


def test_a_range_of_temperatures_shifts_a_curve_into_a_range_of_curves() -> None:
    factors = arrhenius_factor(
        activation_energy=50e3, temperature=np.array([291.15, 301.15]), reference_temperature=296.15
    )
    stresses = HerschelBulkley(100.0, 50.0, 0.5).scaled(factors).stress(10.0)

    assert np.asarray(stresses)[0] > np.asarray(stresses)[1]


def test_the_sensitivity_is_the_slope_of_the_factor() -> None:
    step = 1e-3
    ahead, behind = (
        float(
            arrhenius_factor(
                activation_energy=50e3, temperature=298.15 + change, reference_temperature=298.15
            )
        )
        for change in (step, -step)
    )

    assert -(ahead - behind) / (2 * step) == pytest.approx(
        arrhenius_sensitivity(activation_energy=50e3, temperature=298.15), rel=1e-6
    )


def test_near_the_glass_the_same_cooling_thickens_more() -> None:
    def factor(vogel: float) -> float:
        return float(
            vft_factor(
                strength=1000.0,
                vogel_temperature=vogel,
                temperature=290.0,
                reference_temperature=300.0,
            )
        )

    assert factor(0.0) < factor(200.0) < factor(270.0)


def test_temperatures_that_tell_nothing_are_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="two different"):
        activation_energy_from_points(
            viscosity_1=1.0, temperature_1=300.0, viscosity_2=2.0, temperature_2=300.0
        )
    with pytest.raises(PhysicsDomainError, match="Vogel"):
        vft_factor(
            strength=1e3, vogel_temperature=300.0, temperature=300.0, reference_temperature=310.0
        )


def test_a_batch_off_by_all_of_its_viscosity_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="below 1"):
        batch_range(tolerance=1.0)


def test_a_thick_batch_is_like_a_cold_one() -> None:
    cooling = float(
        equivalent_temperature_error(
            viscosity_share=0.2, activation_energy=50e3, temperature=298.15
        )
    )

    assert arrhenius_factor(
        activation_energy=50e3, temperature=298.15 - cooling, reference_temperature=298.15
    ) == pytest.approx(1.2)
    with pytest.raises(PhysicsDomainError, match="above -1"):
        equivalent_temperature_error(
            viscosity_share=-1.0, activation_energy=50e3, temperature=298.15
        )
