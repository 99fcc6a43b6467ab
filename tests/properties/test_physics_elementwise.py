"""Laws that every physics function keeps: numbers or arrays, NaN for unknown, named refusals.

A sample value for each argument name builds one valid call of each function; the laws are then
tried on every function and every argument, so a new function is held to them from its first day.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from dataclasses import astuple, is_dataclass
from typing import Any

import numpy as np
import pytest

import configurator.physics
from configurator.physics.domain import Floats, PhysicsDomainError
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

SAMPLES: dict[str, float] = {
    "acceleration": 5.0,
    "activation_energy": 50e3,
    "age": 30.0,
    "air": 1e-8,
    "air_after": 2.24e-3,
    "air_before": 2e-3,
    "air_share": 0.01,
    "area": 1e-6,
    "atmosphere": 1e5,
    "available_pressure": 8e4,
    "available_torque": 1.0,
    "backlash": 0.01,
    "bore": 0.84e-3,
    "bore_in": 4e-3,
    "bore_out": 0.84e-3,
    "bulk_modulus": 1.5e9,
    "capability": 1.33,
    "chamber_volume": 2e-6,
    "compliance": 2e-11,
    "contact_angle": 0.8,
    "corner_speed": 0.1,
    "counts_per_motor_turn": 4096.0,
    "cycle_time": 10.0,
    "demand": 5.0,
    "density": 1200.0,
    "developed": 2e5,
    "diameter": 1e-3,
    "dispersion_a": 15.5,
    "dispersion_b": 18.6,
    "displacement": 0.4e-6,
    "displacement_share": 0.005,
    "displacement_tolerance": 0.005,
    "distance": 7.0,
    "drive": 1.5,
    "eccentricity": 1e-3,
    "elapsed": 600.0,
    "elastic_modulus": 2e9,
    "element_over_diameter": 1.5,
    "elements": 10.0,
    "empty_tube_loss": 5e3,
    "encoder_step": 1e-11,
    "expansion": 1.6e-4,
    "factor": 2.0,
    "feed_pressure": 2e5,
    "filler_factor": 0.3,
    "filler_fraction": 0.3,
    "flow_rate": 1e-8,
    "free_area": 2e-3,
    "free_share": 0.8,
    "friction": 0.2,
    "gap": 50e-6,
    "gear_efficiency": 0.8,
    "gear_ratio": 16.0,
    "halving_interval": 10.0,
    "head": 1.0,
    "head_height": 0.3,
    "height": 0.25e-3,
    "high": 3.0,
    "hose_share": 0.3,
    "hydraulic": 0.13,
    "hydraulic_diameter": 2e-3,
    "hydrogen_a": 7.0,
    "hydrogen_b": 4.2,
    "ideal_flow": 1e-6,
    "index": 0.5,
    "inner_radius": 2e-3,
    "kinetic": 5e3,
    "land_length": 2e-3,
    "largest_particle": 1e-4,
    "leakage": 1e-8,
    "length": 12.7e-3,
    "length_over_diameter": 24.0,
    "line_loss": 2e4,
    "line_volume": 5e-6,
    "liquid": 3e-15,
    "longest_stop": 600.0,
    "loss_multiplier": 6.9,
    "low": 2.0,
    "shots_held": 2.5,
    "shot_time": 1.0,
    "margin": 0.2,
    "mass": 3.0,
    "material_volume": 50e-6,
    "mean_residence": 40.0,
    "middle": 1e6,
    "mixer": 0.1,
    "mohs_hardness": 7.0,
    "motor_torque": 0.1,
    "opening_pressure": 2e5,
    "other_torque": 0.2,
    "outer_radius": 3e-3,
    "path_speed": 0.3,
    "plastic_viscosity": 10.0,
    "poisson_ratio": 0.4,
    "polar_a": 10.4,
    "polar_b": 8.8,
    "pot_life": 1800.0,
    "pressure": 3e5,
    "pressure_difference": 20e5,
    "pressure_drop": 5e5,
    "pressure_high": 10e5,
    "pressure_low": 1e5,
    "pressure_per_stage": 4e5,
    "pressure_ratio": 1.05,
    "radius": 9.6,
    "radius_uncertainty": 0.1,
    "ratio": 4.0,
    "reference_temperature": 298.15,
    "residence": 50.0,
    "resolution": 0.02,
    "revolutions": 1e6,
    "ripple": 0.02,
    "rotor_diameter": 5e-3,
    "rotor_factor": 1.0,
    "rubbing_limit": 0.1,
    "rubbing_speed": 0.15,
    "share": 0.3,
    "shot_volume": 0.5e-6,
    "slip_high": 3e-8,
    "slip_low": 1e-8,
    "slip_nominal": 2e-8,
    "slip_over": 0.003,
    "slip_share": 0.05,
    "slip_uncertainty": 0.5,
    "slip_under": 0.009,
    "sliding_speed": 0.03,
    "speed": 1.0,
    "stator_length": 40e-3,
    "stator_pitch": 20e-3,
    "stirrer_diameter": 20e-3,
    "stirrer_speed": 5.0,
    "stopping_time": 0.2,
    "stored_change": 1e-10,
    "stored_volume": 6e-9,
    "strength": 1000.0,
    "stress": 800.0,
    "surface_tension": 30e-3,
    "temperature": 310.0,
    "temperature_1": 298.15,
    "temperature_2": 313.15,
    "temperature_rise": 30.0,
    "time_constant": 0.03,
    "tip_resistance": 1e13,
    "tolerance": 0.01,
    "torque": 0.5,
    "turns": 2.0,
    "vapour_pressure": 3e3,
    "variation": 0.05,
    "variation_base": 0.87,
    "viscosity": 10.0,
    "viscosity_1": 12.0,
    "viscosity_2": 4.0,
    "viscosity_a": 1.0,
    "viscosity_b": 20.0,
    "viscosity_ratio": 1.2,
    "viscosity_share": 0.2,
    "viscous": 0.1,
    "vogel_temperature": 200.0,
    "volume": 5e-6,
    "volume_change": 0.05,
    "volumes": 2.0,
    "volumetric_efficiency": 0.95,
    "wetted_diameter": 1e-3,
    "wall": 3e-9,
    "wall_rate": 50.0,
    "wall_thickness": 3e-3,
    "water_after": 0.384e-3,
    "water_before": 0.4e-3,
    "width": 30e-3,
    "yield_stress": 100.0,
}
OTHERS: dict[str, Any] = {
    "curve": HerschelBulkley(100.0, 50.0, 0.5),
    "power": 3,
    "tanks": 3,
    "angular": True,
    "semicrystalline": False,
}
# A radius is of a corner here, of a sphere of solubility there.
SPECIAL: dict[str, dict[str, float]] = {"deposit.corner_speed": {"radius": 2e-3}}
# Fits take lists; the inner integral is called by solvers with values that were checked before;
# the wall rate of a short tube has the shape of its curve, and an unknown density is bounded.
NO_FLOATS = {
    "fitting.fit_flow_curves",
    "rabinowitsch.newtonian_rate_ratio",
    "short_tube.inertial_loss",
}
# Two sides of an error: what is known of one side does not wait for the other.
TWO_SIDED = {
    "metering_error.slip_spread",
    "metering_error.volume_error",
    "slip_calibration.slip_range",
}
# An endless error is an answer of these sums, not a mistake of the caller.
INFINITY_ALLOWED = {
    ("metering_error.volume_error", "slip_over"),
    ("metering_error.volume_error", "slip_under"),
}


def functions() -> dict[str, Callable[..., Any]]:
    found = {}
    for item in pkgutil.iter_modules(configurator.physics.__path__):
        if item.name in {"domain", "root"}:
            continue
        module = importlib.import_module(f"configurator.physics.{item.name}")
        for name, member in inspect.getmembers(module, inspect.isfunction):
            parameters = inspect.signature(member).parameters.values()
            if (
                not name.startswith("_")
                and member.__module__ == module.__name__
                and f"{item.name}.{name}" not in NO_FLOATS
                and all(p.kind is p.KEYWORD_ONLY for p in parameters)
            ):
                found[f"{item.name}.{name}"] = member
    return found


FUNCTIONS = functions()
EACH = pytest.mark.parametrize("name", list(FUNCTIONS))


def float_arguments(name: str) -> list[str]:
    parameters = inspect.signature(FUNCTIONS[name]).parameters
    return [key for key, value in parameters.items() if value.annotation == Floats]


def valid_call(name: str) -> dict[str, Any]:
    chosen = {**SAMPLES, **OTHERS, **SPECIAL.get(name, {})}
    return {key: chosen[key] for key in inspect.signature(FUNCTIONS[name]).parameters}


def parts(result: Any) -> list[Any]:
    """Return the figures of an answer, whatever holds them."""
    if is_dataclass(result) and not isinstance(result, type):
        return [part for part in astuple(result) if not isinstance(part, str)]
    return list(result) if isinstance(result, tuple) else [result]


def is_refused(name: str, call: dict[str, Any]) -> bool:
    try:
        FUNCTIONS[name](**call)
    except PhysicsDomainError:
        return True
    return False


@EACH
def test_plain_numbers_give_a_plain_finite_number(name: str) -> None:
    for figure in parts(FUNCTIONS[name](**valid_call(name))):
        assert np.ndim(figure) == 0
        assert np.isfinite(figure)
        assert type(figure) is float or isinstance(figure, int)


@EACH
def test_an_array_gives_what_its_numbers_give_one_by_one(name: str) -> None:
    call = valid_call(name)
    for argument in float_arguments(name):
        values = call[argument] * np.array([1.0, 1.001, 0.9995])

        together = parts(FUNCTIONS[name](**{**call, argument: values}))

        singles = [parts(FUNCTIONS[name](**{**call, argument: float(value)})) for value in values]
        for number, figures in enumerate(together):
            expected = np.array([float(single[number]) for single in singles])
            assert np.broadcast_to(figures, 3) == pytest.approx(expected, rel=1e-12, abs=1e-300), (
                argument
            )


@pytest.mark.parametrize("name", [name for name in FUNCTIONS if len(float_arguments(name)) > 1])
def test_two_arguments_broadcast_against_each_other(name: str) -> None:
    call, keys = valid_call(name), float_arguments(name)
    rows = call[keys[0]] * np.array([[1.0], [1.001]])
    columns = call[keys[1]] * np.array([[1.0, 0.9995, 1.0]])

    shapes = {
        np.shape(figure)
        for figure in parts(FUNCTIONS[name](**{**call, keys[0]: rows, keys[1]: columns}))
    }
    if name in TWO_SIDED:
        assert shapes <= {(2, 3), (2, 1), (1, 3), ()}
    else:
        assert shapes == {(2, 3)}


@EACH
def test_an_unknown_argument_gives_an_unknown_answer(name: str) -> None:
    for argument in float_arguments(name):
        answer = FUNCTIONS[name](**{**valid_call(name), argument: float("nan")})
        # The screen says unknown by name; its zero is no pass.
        unknown = [
            bool(np.isnan(figure)) or (name == "swelling.swelling_outcome" and figure == 0)
            for figure in parts(answer)
        ]
        assert any(unknown) if name in TWO_SIDED else all(unknown), argument


@EACH
def test_an_unknown_entry_does_not_touch_its_neighbours(name: str) -> None:
    call = valid_call(name)
    known = parts(FUNCTIONS[name](**call))
    for argument in float_arguments(name):
        mixed = parts(FUNCTIONS[name](**{**call, argument: np.array([call[argument], np.nan])}))
        for alone, figure in zip(known, mixed, strict=True):
            assert np.broadcast_to(figure, 2)[0] == pytest.approx(alone, rel=1e-12), argument


@EACH
def test_an_infinite_argument_is_refused(name: str) -> None:
    for argument in float_arguments(name):
        call = {**valid_call(name), argument: float("inf")}
        if (name, argument) in INFINITY_ALLOWED:
            assert np.isinf(max(FUNCTIONS[name](**call)))
            continue
        assert is_refused(name, call), argument


SIGNED = {
    "head_height",
    "temperature_rise",
    "volume_change",
    "viscosity_share",
    "available_pressure",
    "water_before",
    "water_after",
}


@EACH
def test_a_negative_argument_is_refused_unless_it_has_a_meaning(name: str) -> None:
    for argument in float_arguments(name):
        call = {**valid_call(name), argument: -abs(SAMPLES[argument])}
        if argument in SIGNED:
            assert all(np.isfinite(figure) for figure in parts(FUNCTIONS[name](**call)))
            continue
        assert is_refused(name, call), argument


CURVES: list[FlowCurve] = [
    Newtonian(10.0),
    PowerLaw(50.0, 0.5),
    Bingham(100.0, 10.0),
    Casson(100.0, 10.0),
    HerschelBulkley(100.0, 50.0, 0.5),
    Carreau(100.0, 1.0, 1.0, 0.4),
    MeasuredCurve((0.1, 1.0, 10.0, 1e3), (20.0, 60.0, 150.0, 900.0)),
]
WITH_CURVE = [
    name for name in FUNCTIONS if "curve" in inspect.signature(FUNCTIONS[name]).parameters
]


@pytest.mark.parametrize("name", WITH_CURVE)
@pytest.mark.parametrize("curve", CURVES, ids=lambda curve: curve.name)
def test_every_curve_keeps_the_laws_in_every_function(name: str, curve: FlowCurve) -> None:
    call = {**valid_call(name), "curve": curve}
    figures = parts(FUNCTIONS[name](**call))
    assert all(np.isfinite(figure) for figure in figures)

    for argument in float_arguments(name):
        three = parts(
            FUNCTIONS[name](
                **{**call, argument: np.array([call[argument], np.nan, call[argument]])}
            )
        )
        for alone, figure in zip(figures, three, strict=True):
            assert np.asarray(figure)[[0, 2]] == pytest.approx(alone, rel=1e-12)
            assert np.isnan(np.asarray(figure)[1])


@pytest.mark.parametrize("name", WITH_CURVE)
@pytest.mark.parametrize("curve", CURVES, ids=lambda curve: curve.name)
def test_a_curve_may_hold_the_corners_of_a_range_and_an_unknown_one(
    name: str, curve: FlowCurve
) -> None:
    corners = curve.scaled(np.array([0.8, 1.0, np.nan, 1.3]))
    call = valid_call(name)

    together = parts(FUNCTIONS[name](**{**call, "curve": corners}))

    for place, factor in ((0, 0.8), (1, 1.0), (3, 1.3)):
        alone = parts(FUNCTIONS[name](**{**call, "curve": curve.scaled(factor)}))
        for single, figure in zip(alone, together, strict=True):
            assert np.asarray(figure)[place] == pytest.approx(single, rel=1e-11)
    assert all(np.isnan(np.asarray(figure)[2]) for figure in together)
