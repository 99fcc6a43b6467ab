"""Fits of made-up points: every model finds itself, and the gate does its work."""

import numpy as np
import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.fitting import MODEL_NAMES, Fit, Points, fit_flow_curves
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


def fitted(rates: object, stresses: object, model: str | None = None) -> Fit:
    """One material alone."""
    return fit_flow_curves(points=[Points(rates, stresses, model)])[0]


EACH = pytest.mark.parametrize("curve", MODELS, ids=lambda curve: curve.name)


@EACH
def test_exact_points_give_back_their_model_and_parameters(curve: FlowCurve) -> None:
    fit = fitted(RATES, np.asarray(curve.stress(RATES)))

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
    fit = fitted(RATES, np.asarray(curve.stress(RATES)) * noise, model=curve.name)

    assert fit.accepted
    assert 0.01 < fit.rms_ln < 0.03
    assert np.asarray(fit.curve.stress(RATES)) == pytest.approx(
        np.asarray(curve.stress(RATES)), rel=0.06
    )


def test_a_newtonian_model_of_a_paste_is_refused_and_the_right_one_taken() -> None:
    stresses = np.asarray(HerschelBulkley(100.0, 50.0, 0.5).stress(RATES))
    fit = fitted(RATES, stresses, model="Newtonian")

    assert not fit.accepted
    assert fitted(RATES, stresses).curve.name == "Herschel-Bulkley"


def test_no_model_passes_the_gate_for_points_that_scatter_by_a_third() -> None:
    noise = np.exp(0.3 * np.random.default_rng(5).standard_normal(RATES.size))
    fit = fitted(RATES, 10.0 * RATES * noise)

    assert not fit.accepted


def test_the_simpler_of_two_equal_models_is_kept() -> None:
    fit = fitted(RATES, 50.0 * RATES)

    assert isinstance(fit.curve, Newtonian)
    assert fit.curve.constant == pytest.approx(50.0)


def test_a_yield_stress_that_is_not_there_is_zero_and_not_a_tiny_number() -> None:
    fit = fitted(RATES, 50.0 * RATES**0.5, model="Herschel-Bulkley")

    assert fit.curve.yield_stress == pytest.approx(0.0, abs=1e-4)


def test_two_points_make_a_power_law_and_no_more() -> None:
    fit = fitted([1.0, 100.0], [10.0, 100.0])

    assert fit.curve.name in {"Newtonian", "power law", "Bingham", "Casson"}
    with pytest.raises(PhysicsDomainError, match="3 or more points"):
        fitted([1.0, 100.0], [10.0, 100.0], model="Herschel-Bulkley")


def test_unknown_pairs_are_left_out() -> None:
    fit = fitted([0.1, 1.0, np.nan, 10.0], [1.0, np.nan, 5.0, 100.0])

    assert fit == fitted([0.1, 10.0], [1.0, 100.0])


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
        fitted(rates, stresses, model=model)


def random_points(seed: int) -> Points:
    """Points of some model, more or fewer, with much noise or none."""
    draw = np.random.default_rng(seed)
    curve = MODELS[seed % len(MODELS)].scaled(10 ** draw.uniform(-1, 1))
    rates = np.sort(10 ** draw.uniform(-2, 3, draw.integers(2, 14)))
    noise = np.exp(draw.choice([0.0, 0.01, 0.3]) * draw.standard_normal(rates.size))
    known = draw.random(rates.size) > 0.05
    known[:2] = True
    stresses = np.where(known, np.asarray(curve.stress(rates)) * noise, np.nan)
    able = [None] if known.sum() < 3 else [None, *MODEL_NAMES]
    return Points(rates, stresses, able[seed % len(able)])


def test_many_materials_are_fitted_as_each_is_alone() -> None:
    every = [random_points(seed) for seed in range(90)]
    together = fit_flow_curves(points=every)
    assert together == [fit_flow_curves(points=[points])[0] for points in every]
    assert {fit.curve.name for fit in together} == set(MODEL_NAMES)
    assert 10 < sum(fit.accepted for fit in together) < 80


def test_nothing_to_fit_is_no_fit() -> None:
    assert fit_flow_curves(points=[]) == []
