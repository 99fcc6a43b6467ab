"""Fits of made-up points: every model finds itself, and the gate does its work."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.fitting import fit_flow_curve
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    FlowCurve,
    HerschelBulkley,
    Newtonian,
    PowerLaw,
)

RATES = np.geomspace(1e-2, 1e3, 25)
MODELS: list[FlowCurve] = [
    Newtonian(12.0),
    PowerLaw(50.0, 0.5),
    Bingham(100.0, 10.0),
    Casson(100.0, 10.0),
    HerschelBulkley(100.0, 50.0, 0.5),
    Carreau(100.0, 0.0, 2.0, 0.4),
]
EACH = pytest.mark.parametrize("curve", MODELS, ids=lambda curve: curve.name)


@EACH
def test_exact_points_give_back_their_model_and_parameters(curve: FlowCurve) -> None:
    fit = fit_flow_curve(rates=RATES, stresses=np.asarray(curve.stress(RATES)))

    assert fit.curve.name == curve.name
    assert fit.rms_ln < 1e-3
    assert fit.accepted
    assert np.asarray(fit.curve.stress(RATES)) == pytest.approx(
        np.asarray(curve.stress(RATES)), rel=5e-3
    )


@EACH
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_two_percent_of_noise_are_found_as_two_percent(curve: FlowCurve, seed: int) -> None:
    noise = np.exp(0.02 * np.random.default_rng(seed).standard_normal(RATES.size))
    fit = fit_flow_curve(
        rates=RATES, stresses=np.asarray(curve.stress(RATES)) * noise, model=curve.name
    )

    assert fit.accepted
    assert 0.01 < fit.rms_ln < 0.03
    assert np.asarray(fit.curve.stress(RATES)) == pytest.approx(
        np.asarray(curve.stress(RATES)), rel=0.06
    )


def test_a_newtonian_model_of_a_paste_is_refused_and_the_right_one_named() -> None:
    stresses = np.asarray(HerschelBulkley(100.0, 50.0, 0.5).stress(RATES))
    fit = fit_flow_curve(rates=RATES, stresses=stresses, model="Newtonian")

    assert not fit.accepted
    assert fit.reason.startswith("Newtonian misses the points by")
    assert "Herschel-Bulkley describes them" in fit.reason


def test_a_gate_nobody_passes_says_to_keep_the_points() -> None:
    noise = np.exp(0.3 * np.random.default_rng(5).standard_normal(RATES.size))
    fit = fit_flow_curve(rates=RATES, stresses=10.0 * RATES * noise)

    assert not fit.accepted
    assert "keep the measured points" in fit.reason


def test_the_simpler_of_two_equal_models_is_kept() -> None:
    fit = fit_flow_curve(rates=RATES, stresses=50.0 * RATES)

    assert isinstance(fit.curve, Newtonian)
    assert fit.curve.constant == pytest.approx(50.0)


def test_a_yield_stress_that_is_not_there_is_zero_and_not_a_tiny_number() -> None:
    fit = fit_flow_curve(rates=RATES, stresses=50.0 * RATES**0.5, model="Herschel-Bulkley")

    assert fit.curve.yield_stress == pytest.approx(0.0, abs=1e-4)


def test_two_points_make_a_power_law_and_no_more() -> None:
    fit = fit_flow_curve(rates=[1.0, 100.0], stresses=[10.0, 100.0])

    assert fit.curve.name in {"Newtonian", "power law", "Bingham", "Casson"}
    assert {other.model for other in fit.alternatives}.isdisjoint({"Herschel-Bulkley", "Carreau"})
    with pytest.raises(PhysicsDomainError, match="3 or more points"):
        fit_flow_curve(rates=[1.0, 100.0], stresses=[10.0, 100.0], model="Herschel-Bulkley")


def test_unknown_pairs_are_left_out() -> None:
    fit = fit_flow_curve(rates=[0.1, 1.0, np.nan, 10.0], stresses=[1.0, np.nan, 5.0, 100.0])

    assert (fit.lowest_rate, fit.highest_rate) == (0.1, 10.0)


@pytest.mark.parametrize(
    ("rates", "stresses", "model"),
    [
        ([1.0, 2.0], [1.0], None),
        ([1.0], [1.0], None),
        ([1.0, 0.0], [1.0, 2.0], None),
        ([1.0, 2.0], [1.0, -2.0], None),
        ([1.0, 2.0], [1.0, 2.0], "Maxwell"),
        ([1.0, 1.0], [1.0, 2.0], "power law"),
    ],
)
def test_points_that_say_nothing_are_refused(
    rates: list[float], stresses: list[float], model: str | None
) -> None:
    with pytest.raises(PhysicsDomainError):
        fit_flow_curve(rates=rates, stresses=stresses, model=model)


def test_every_model_that_can_be_asked_for_is_tried() -> None:
    fit = fit_flow_curve(rates=RATES, stresses=50.0 * RATES**0.5)

    assert {fit.curve.name, *(other.model for other in fit.alternatives)} == {
        "Newtonian",
        "power law",
        "Bingham",
        "Casson",
        "Herschel-Bulkley",
        "Carreau",
    }
