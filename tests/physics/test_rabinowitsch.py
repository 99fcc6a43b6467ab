"""The integral of the profile: closed forms against the fallback for any curve."""

from dataclasses import dataclass
from typing import ClassVar, Self

import numpy as np
import pytest

from configurator.physics.domain import Array, Floats, array, plain, weighted_sum
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.rabinowitsch import SLIT, TUBE, newtonian_rate_ratio
from configurator.physics.rheology import Casson, HerschelBulkley, MeasuredCurve, PowerLaw
from configurator.physics.tube_flow import tube_pressure_drop


@dataclass(frozen=True)
class SameAs(FlowCurve):
    """A curve that the package does not know, so that its quadrature must do."""

    name: ClassVar[str] = "unknown to the package"
    inner: FlowCurve

    def stress_of(self, rate: Array) -> Array:
        return self.inner.stress_of(rate)

    def rate_of(self, stress: Array) -> Array:
        return self.inner.rate_of(stress)

    def slope_of(self, rate: Array) -> Array:
        return self.inner.slope_of(rate)

    def scaled(self, factor: Floats) -> Self:
        return type(self)(self.inner.scaled(factor))


@pytest.mark.parametrize("power", [TUBE, SLIT])
@pytest.mark.parametrize(
    "curve",
    [
        PowerLaw(50.0, 0.5),
        PowerLaw(5.0, 1.3),
        Casson(100.0, 10.0),
        HerschelBulkley(100.0, 50.0, 0.5),
    ],
    ids=lambda curve: curve.name,
)
def test_the_closed_forms_equal_the_quadrature_for_any_curve(curve: FlowCurve, power: int) -> None:
    rates = np.geomspace(1e-2, 1e4, 13)

    closed = newtonian_rate_ratio(curve=curve, wall_rate=rates, power=power)
    summed = newtonian_rate_ratio(curve=SameAs(curve), wall_rate=rates, power=power)

    # Near the yield point the ratio is a small difference of two sums close to one.
    assert summed == pytest.approx(closed, rel=1e-6, abs=1e-9)


def test_a_curve_of_ones_own_flows_through_a_tube() -> None:
    tube = {"flow_rate": np.array([1e-9, 1e-8]), "bore": 0.84e-3, "length": 12.7e-3}
    own = tube_pressure_drop(curve=SameAs(PowerLaw(50.0, 0.5)), **tube)

    assert np.asarray(own) == pytest.approx(
        np.asarray(tube_pressure_drop(curve=PowerLaw(50.0, 0.5), **tube)), rel=1e-9
    )


def test_thinning_flattens_and_thickening_sharpens_the_profile() -> None:
    for power in (TUBE, SLIT):
        assert newtonian_rate_ratio(curve=PowerLaw(1.0, 0.5), wall_rate=1.0, power=power) < 1
        assert newtonian_rate_ratio(curve=PowerLaw(1.0, 1.0), wall_rate=1.0, power=power) == 1
        assert newtonian_rate_ratio(curve=PowerLaw(1.0, 1.5), wall_rate=1.0, power=power) > 1


def test_the_casson_form_keeps_its_digits_next_to_the_yield_point() -> None:
    # With s the excess over the yield stress, G -> s^3 ... of a triple zero; the textbook polynomial
    # has no digit left here, the divided one follows the limit (1 - r) * 56 / 21.
    curve = Casson(100.0, 10.0)
    rate = 1e-13
    viscous = np.sqrt(10.0 * rate)
    ratio = newtonian_rate_ratio(curve=curve, wall_rate=rate, power=TUBE)

    assert ratio == pytest.approx(viscous / 10.0 * 56 / 21, rel=1e-6)


def test_measured_points_take_the_exact_piecewise_form() -> None:
    points = MeasuredCurve((0.1, 1.0, 10.0), (20.0, 40.0, 160.0))
    exact = newtonian_rate_ratio(curve=points, wall_rate=7.0, power=TUBE)
    summed = newtonian_rate_ratio(curve=SameAs(points), wall_rate=7.0, power=TUBE)

    assert summed == pytest.approx(exact, rel=1e-4)


def test_an_unknown_parameter_leaves_the_ratio_unknown() -> None:
    curve = HerschelBulkley(np.array([100.0, np.nan]), 50.0, 0.5)
    ratio = newtonian_rate_ratio(curve=curve, wall_rate=np.array([1.0, 1.0]), power=TUBE)

    assert np.isnan(ratio).tolist() == [False, True]
    assert plain(array(ratio[0])) < 1.0


def test_a_weighted_sum_does_not_hang_on_what_is_summed_beside_it():
    draw = np.random.default_rng(5)
    weights, values = draw.random(56), draw.random((56, 4, 25))
    whole = weighted_sum(weights, values)
    for layout in (values, np.asfortranarray(values)):
        for row, column in ((0, 0), (3, 24), (1, 7)):
            alone = weighted_sum(weights, layout[:, row, column])
            assert alone.shape == ()
            assert alone == whole[row, column]
            few = weighted_sum(weights, layout[:, row : row + 1, column : column + 3])
            assert few.tolist() == whole[row : row + 1, column : column + 3].tolist()
    np.testing.assert_allclose(whole, np.tensordot(weights, values, axes=1), rtol=1e-14)
