"""The flow curves: values, refusals, and what they say of themselves."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    FlowCurve,
    HerschelBulkley,
    MeasuredCurve,
    Newtonian,
    PowerLaw,
)


def test_the_models_can_be_named_in_either_way() -> None:
    assert Newtonian(10.0) == Newtonian(viscosity=10.0)
    assert PowerLaw(50.0, 0.5) == PowerLaw(consistency=50.0, index=0.5)
    assert Bingham(1.0, 2.0) == Bingham(yield_stress=1.0, plastic_viscosity=2.0)
    assert {curve.name for curve in (Newtonian(1.0), PowerLaw(1.0, 1.0), Bingham(1.0, 1.0))} == {
        "Newtonian",
        "power law",
        "Bingham",
    }


def test_equal_parameters_of_different_models_are_different_curves() -> None:
    assert PowerLaw(50.0, 1.0) != HerschelBulkley(0.0, 50.0, 1.0)
    assert len({PowerLaw(50.0, 0.5), PowerLaw(50.0, 0.5), Newtonian(50.0)}) == 2


@pytest.mark.parametrize(
    ("curve", "text"),
    [
        (Newtonian(10.0), "Newtonian(viscosity=10.0)"),
        (PowerLaw(50.0, 0.5), "PowerLaw(consistency=50.0, index=0.5)"),
        (Bingham(1.0, 2.0), "Bingham(yield_stress=1.0, plastic_viscosity=2.0)"),
        (
            HerschelBulkley(1.0, 2.0, 0.5),
            "HerschelBulkley(yield_stress=1.0, consistency=2.0, index=0.5)",
        ),
    ],
)
def test_a_curve_shows_its_parameters(curve: FlowCurve, text: str) -> None:
    assert repr(curve) == text


@pytest.mark.parametrize(
    "build",
    [
        lambda: Newtonian(0.0),
        lambda: Newtonian(np.inf),
        lambda: PowerLaw(-1.0, 0.5),
        lambda: PowerLaw(1.0, 0.0),
        lambda: Bingham(-1.0, 1.0),
        lambda: Bingham(1.0, 0.0),
        lambda: Casson(1.0, 0.0),
        lambda: Casson(-1.0, 1.0),
        lambda: HerschelBulkley(1.0, 1.0, -0.5),
        lambda: Carreau(1.0, 2.0, 1.0, 0.5),
        lambda: Carreau(1.0, 0.0, 0.0, 0.5),
        lambda: Carreau(1.0, 0.0, 1.0, 1.2),
        lambda: Newtonian(np.array([1.0, -1.0])),
    ],
)
def test_parameters_that_describe_no_fluid_are_refused(build: object) -> None:
    with pytest.raises(PhysicsDomainError):
        build()  # type: ignore[operator]


@pytest.mark.parametrize(
    "curve", [Bingham(100.0, 10.0), Casson(100.0, 10.0), HerschelBulkley(100.0, 50.0, 0.5)]
)
def test_a_yielding_material_rests_up_to_its_yield_stress(curve: FlowCurve) -> None:
    assert curve.rate(np.array([0.0, 50.0, 100.0])) == pytest.approx([0.0, 0.0, 0.0], abs=0.0)
    assert curve.stress(0.0) == 100.0
    assert curve.viscosity(0.0) == np.inf
    assert curve.rate(101.0) > 0.0


def test_a_fluid_without_yield_stress_flows_under_any_stress() -> None:
    for curve in (Newtonian(10.0), PowerLaw(5.0, 0.5), Carreau(100.0, 1.0, 1.0, 0.4)):
        assert curve.yield_stress == 0.0
        assert curve.stress(0.0) == 0.0
        assert curve.rate(1e-9) > 0.0


def test_carreau_has_its_plateaus_and_its_slope_between() -> None:
    curve = Carreau(100.0, 1.0, 1.0, 0.4)

    assert curve.viscosity(1e-6) == pytest.approx(100.0)
    assert curve.viscosity(1e9) == pytest.approx(1.0, rel=0.01)
    steep = Carreau(100.0, 0.0, 1.0, 0.4)
    assert steep.slope(1e6) == pytest.approx(0.4, rel=1e-6)
    assert steep.slope(1e-6) == pytest.approx(1.0)


def test_a_negative_rate_or_stress_is_refused() -> None:
    for curve in (
        Newtonian(1.0),
        Casson(1.0, 1.0),
        Carreau(1.0, 0.0, 1.0, 0.5),
        MeasuredCurve((1.0, 2.0), (1.0, 2.0)),
    ):
        with pytest.raises(PhysicsDomainError):
            curve.stress(-1.0)
        with pytest.raises(PhysicsDomainError):
            curve.rate(-1.0)


def test_a_shift_by_a_factor_of_nothing_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="factor"):
        Newtonian(1.0).scaled(0.0)
