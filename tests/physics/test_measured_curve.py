"""Measured points: what they say between, outside, and what they leave open."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.measured_curve import MeasuredCurve
from configurator.physics.rheology import PowerLaw
from configurator.physics.tube_flow import wall_shear_rate

POINTS = MeasuredCurve(rates=(0.1, 1.0, 10.0), stresses=(20.0, 40.0, 160.0))


def test_it_goes_through_its_points_and_straight_in_logarithms_between() -> None:
    assert POINTS.stress(np.array([0.1, 1.0, 10.0])) == pytest.approx([20.0, 40.0, 160.0])
    assert POINTS.stress(np.sqrt(10.0)) == pytest.approx(80.0)
    assert POINTS.rate(80.0) == pytest.approx(np.sqrt(10.0))


def test_its_end_lines_go_on() -> None:
    assert POINTS.stress(100.0) == pytest.approx(640.0)
    assert POINTS.stress(0.01) == pytest.approx(10.0)
    assert POINTS.stress(0.0) == 0.0


@pytest.mark.parametrize(
    ("rates", "stresses"),
    [
        ((1.0,), (1.0,)),
        ((1.0, 2.0), (1.0,)),
        ((2.0, 1.0), (1.0, 2.0)),
        ((1.0, 2.0), (2.0, 2.0)),
        ((0.0, 1.0), (1.0, 2.0)),
        ((1.0, 2.0, 3.0), (1.0, 3.0, 2.0)),
    ],
)
def test_points_that_do_not_rise_are_refused(
    rates: tuple[float, ...], stresses: tuple[float, ...]
) -> None:
    with pytest.raises(PhysicsDomainError):
        MeasuredCurve(rates=rates, stresses=stresses)


def test_the_yield_stress_of_points_is_unknown() -> None:
    assert np.isnan(POINTS.yield_stress)


def test_points_of_a_nearly_newtonian_fluid_have_no_yield_stress() -> None:
    rates = np.geomspace(0.1, 10, 4)
    assert MeasuredCurve(rates.tolist(), (3 * rates**0.95).tolist()).yield_stress == 0.0


def test_the_mean_power_is_the_integral_added_up_finely() -> None:
    shares = (np.arange(200_000) + 0.5) / 200_000
    for wall in (0.05, 0.7, 8.0, 50.0):
        ratio = np.asarray(POINTS.stress(wall * shares)) / float(POINTS.stress(wall))
        for power in (2, 3):
            assert POINTS.mean_power(np.array(wall), power) == pytest.approx(
                np.mean(ratio**power), rel=1e-6
            )


def test_shifting_twice_multiplies() -> None:
    assert POINTS.scaled(2.0).scaled(3.0).stress(1.0) == pytest.approx(240.0)
    assert POINTS.scaled(2.0).slope(5.0) == POINTS.slope(5.0)


def test_its_points_are_equal_to_points_given_as_arrays() -> None:
    same = MeasuredCurve(np.array([0.1, 1.0, 10.0]), np.array([20.0, 40.0, 160.0]))

    assert same == POINTS
    assert PowerLaw(1.0, 1.0) != POINTS


def test_far_below_its_first_point_a_flow_is_that_of_the_first_line() -> None:
    points = MeasuredCurve(rates=(1.0, 4.0, 16.0), stresses=(3.0, 6.0, 18.0))
    line = PowerLaw(consistency=3.0, index=0.5)
    for flow in (1e-14, 1e-11, 1e-8):
        tube = {"flow_rate": flow, "bore": 0.02}
        wanted = wall_shear_rate(curve=line, **tube)
        assert wall_shear_rate(curve=points, **tube) == pytest.approx(wanted, rel=1e-12)
