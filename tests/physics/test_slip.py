"""Slip: one model reduces to the other, and the bounds say what is not known."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.rheology import (
    Carreau,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)
from configurator.physics.slip import newtonian_leakage, slit_leakage
from configurator.physics.slip_calibration import (
    gap_from_rated_point,
    opening_from_rated_point,
)

SEAL = {
    "density": 1000.0,
    "width": 30e-3,
    "gap": 50e-6,
    "land_length": 2e-3,
    "pressure_per_stage": 3e5,
}


@pytest.mark.parametrize("viscosity", [1e-3, 0.1, 10.0])
@pytest.mark.parametrize("sliding", [0.0, 0.05])
def test_a_power_law_of_index_one_leaks_like_the_newtonian_fluid_with_inertia(
    viscosity: float, sliding: float
) -> None:
    expected = newtonian_leakage(viscosity=viscosity, **SEAL)

    for curve in (PowerLaw(viscosity, 1.0), Carreau(viscosity, viscosity, 1.0, 0.5)):
        leakage = slit_leakage(curve=curve, sliding_speed=sliding, **SEAL)
        assert leakage.low == pytest.approx(expected, rel=1e-9)
        assert leakage.high == pytest.approx(expected, rel=1e-9)


def test_a_newtonian_fluid_has_one_leakage_whatever_the_sliding() -> None:
    leakage = slit_leakage(curve=Newtonian(0.1), sliding_speed=0.3, **SEAL)

    assert leakage.low == leakage.high == newtonian_leakage(viscosity=0.1, **SEAL)


def test_scaling_a_water_point_by_the_viscosity_alone_would_be_wrong_by_half() -> None:
    water = newtonian_leakage(viscosity=1e-3, **SEAL)
    thick = newtonian_leakage(viscosity=0.1, **SEAL)

    assert water / 100 == pytest.approx(0.219e-6, rel=0.001)
    assert thick / (water / 100) == pytest.approx(2.14, abs=0.01)


def test_below_the_yield_threshold_the_rotor_at_rest_holds_and_the_moving_one_does_not() -> None:
    paste = HerschelBulkley(100.0, 50.0, 0.5)
    below = {**SEAL, "pressure_per_stage": 7.9e3}

    assert slit_leakage(curve=paste, sliding_speed=0.0, **below).high == 0.0
    moving = slit_leakage(curve=paste, sliding_speed=0.03, **below)
    assert moving.low == 0.0
    # Where sliding dominates the film is as thin as the viscosity at speed / gap.
    at_sliding = newtonian_leakage(viscosity=paste.viscosity(0.03 / 50e-6), **below)
    assert at_sliding < moving.high < 1.05 * at_sliding


def test_the_high_bound_takes_the_rate_of_the_leakage_into_account() -> None:
    paste = HerschelBulkley(100.0, 50.0, 0.5)
    slow = slit_leakage(curve=paste, sliding_speed=1e-6, **SEAL)
    # The film rate that belongs to this leakage gives back this leakage.
    rate = 1e-6 / 50e-6 + 6.0 * float(slow.high) / (30e-3 * 50e-6**2)

    assert newtonian_leakage(viscosity=paste.viscosity(rate), **SEAL) == pytest.approx(
        slow.high, rel=1e-4
    )
    assert slow.high > slow.low


@pytest.mark.parametrize("curve", [HerschelBulkley(60.0, 49.0, 0.5), Carreau(25.0, 0.0, 1.0, 0.35)])
def test_a_seal_line_blown_wide_open_loses_what_inertia_lets_through(curve: FlowCurve) -> None:
    # A soft stator far above its opening pressure. Ki rho / 2 (q / (b h))^2 = dp, by hand.
    blown = {**SEAL, "gap": 200.0, "pressure_per_stage": 3e13}
    expected = 30e-3 * 200.0 * np.sqrt(2.0 * 3e13 / (1.5 * 1000.0))

    leakage = slit_leakage(curve=curve, sliding_speed=0.01, **blown)

    assert (leakage.low, leakage.high) == pytest.approx((expected, expected), rel=1e-3)


def test_closed_and_unloaded_lines_do_not_leak_and_unknown_ones_are_unknown() -> None:
    gaps = np.array([0.0, 50e-6, np.nan])
    for curve in (Newtonian(1.0), PowerLaw(50.0, 0.5), HerschelBulkley(100.0, 50.0, 0.5)):
        leakage = slit_leakage(curve=curve, sliding_speed=0.03, **{**SEAL, "gap": gaps})
        low, high = np.asarray(leakage.low), np.asarray(leakage.high)
        assert low[0] == high[0] == 0.0
        assert 0.0 < low[1] <= high[1]
        assert np.isnan(low[2])
        assert np.isnan(high[2])
        unloaded = slit_leakage(
            curve=curve, sliding_speed=0.03, **{**SEAL, "pressure_per_stage": 0.0}
        )
        assert unloaded.low == unloaded.high == 0.0


@pytest.mark.parametrize("curve", [HerschelBulkley(100.0, 50.0, 0.5), PowerLaw(2.0, 1.3)])
def test_at_rest_nothing_is_left_to_bound(curve: FlowCurve) -> None:
    leakage = slit_leakage(curve=curve, sliding_speed=0.0, **SEAL)
    crept = slit_leakage(curve=curve, sliding_speed=1e-12, **SEAL)

    assert leakage.low == leakage.high > 0.0
    assert leakage.low in (
        pytest.approx(crept.low, rel=1e-6),
        pytest.approx(crept.high, rel=1e-6),
    )


def test_an_unknown_sliding_speed_leaves_the_leakage_unknown() -> None:
    leakage = slit_leakage(curve=PowerLaw(50.0, 0.5), sliding_speed=float("nan"), **SEAL)

    assert np.isnan(leakage.low)
    assert np.isnan(leakage.high)


def test_measured_points_leak_between_bounds_as_well() -> None:
    points = MeasuredCurve((0.1, 10.0, 1e3, 1e5), (30.0, 150.0, 900.0, 6000.0))
    leakage = slit_leakage(curve=points, sliding_speed=0.03, **SEAL)

    assert 0.0 < leakage.low <= leakage.high


def test_a_head_without_a_rated_leakage_has_no_gap() -> None:
    assert (
        gap_from_rated_point(
            viscosity=1e-3,
            density=998.0,
            width=30e-3,
            land_length=2e-3,
            pressure_per_stage=3e5,
            leakage=0.0,
        )
        == 0.0
    )


def test_an_opening_pressure_at_the_rated_pressure_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="exceed the opening pressure"):
        opening_from_rated_point(
            viscosity=1e-3,
            density=998.0,
            width=30e-3,
            land_length=2e-3,
            pressure_per_stage=2e5,
            opening_pressure=2e5,
            leakage=1e-8,
        )
