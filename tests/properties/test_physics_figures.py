"""Laws of errors, mixing, cure, deposits and the rest, tried on random figures."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from configurator.physics.cavity import rubbing_speed_max, rubbing_speed_min
from configurator.physics.cure import mean_thickening, share_older_tube, thickening
from configurator.physics.deposit import bead_area, bead_contact_angle, dot_height, dot_volume
from configurator.physics.drive import hydraulic_torque, pressure_from_torque
from configurator.physics.driven_chamber import exchanged_share, volumes_for_exchange
from configurator.physics.guarding import light_curtain_distance
from configurator.physics.inlet import filling_pressure, filling_speed_limit
from configurator.physics.metering_error import (
    combine_independent,
    combine_linear,
    slip_spread,
    volume_error,
)
from configurator.physics.mixing import length_for_variation, variation_after
from configurator.physics.rheology import HerschelBulkley
from configurator.physics.swelling import SwellingOutcome, swelling_outcome
from configurator.physics.temperature import (
    activation_energy_from_points,
    arrhenius_factor,
    vft_factor,
)
from configurator.physics.time_pressure import volumetric_ratio

LAWFUL = settings(max_examples=50, deadline=None, derandomize=True)
PART = st.floats(0.0, 1.0).map(lambda part: round(part, 6))


@LAWFUL
@given(parts=st.lists(PART, min_size=1, max_size=6), more=PART)
def test_the_combination_lies_between_the_largest_part_and_the_sum_and_grows(
    parts: list[float], more: float
) -> None:
    combined = float(combine_independent(*parts))

    assert max(parts) * (1 - 1e-12) <= combined <= float(combine_linear(*parts)) * (1 + 1e-12)
    assert float(combine_independent(*parts, more)) >= combined


@LAWFUL
@given(low=PART, middle=PART, high=PART, wider=st.floats(0.0, 0.5))
def test_the_error_grows_with_the_uncertainty_of_the_slip(
    low: float, middle: float, high: float, wider: float
) -> None:
    low, middle, high = sorted((low, middle, high))
    ideal = 2.0
    tight = slip_spread(slip_low=low, slip_nominal=middle, slip_high=high, ideal_flow=ideal)
    loose = slip_spread(
        slip_low=low * (1 - wider),
        slip_nominal=middle,
        slip_high=high * (1 + wider),
        ideal_flow=ideal,
    )

    assert loose[0] >= tight[0] >= 0
    assert loose[1] >= tight[1] >= 0
    # The true delivery at each end is what the spread says.
    delivered = ideal - middle
    assert delivered * (1 + float(tight[0])) == pytest.approx(ideal - low)
    assert delivered * (1 - float(tight[1])) == pytest.approx(ideal - high)


def test_a_head_that_leaks_all_it_moves_has_an_endless_error() -> None:
    spread = slip_spread(slip_low=0.0, slip_nominal=1.0, slip_high=2.0, ideal_flow=1.0)

    assert spread == (np.inf, np.inf)
    error = volume_error(
        shot_volume=1.0,
        slip_over=spread[0],
        slip_under=spread[1],
        encoder_step=0.0,
        backlash=0.0,
        stored_change=0.0,
        displacement_tolerance=0.0,
    )
    assert error == (np.inf, np.inf)


@LAWFUL
@given(shot=st.floats(1e-9, 1e-5), larger=st.floats(1.0, 100.0))
def test_a_larger_shot_has_a_smaller_relative_error(shot: float, larger: float) -> None:
    def error(volume: float) -> float:
        return float(
            volume_error(
                shot_volume=volume,
                slip_over=0.002,
                slip_under=0.002,
                encoder_step=1e-12,
                backlash=1e-11,
                stored_change=1e-11,
                displacement_tolerance=0.005,
            )[0]
        )

    assert error(larger * shot) <= error(shot) * (1 + 1e-12)


@LAWFUL
@given(share=st.floats(0.01, 0.5), base=st.floats(0.3, 0.95), wanted=st.floats(0.001, 0.5))
def test_the_mixing_length_reaches_the_variation_it_was_asked_for(
    share: float, base: float, wanted: float
) -> None:
    length = length_for_variation(share=share, variation_base=base, variation=wanted)

    reached = variation_after(share=share, variation_base=base, length_over_diameter=length)
    assert reached == pytest.approx(wanted, rel=1e-9)


@LAWFUL
@given(share=st.floats(0.05, 0.999), tanks=st.integers(1, 12))
def test_the_exchange_is_reached_with_the_volumes_it_asks_for(share: float, tanks: int) -> None:
    volumes = volumes_for_exchange(share=share, tanks=tanks)

    assert exchanged_share(volumes=volumes, tanks=tanks) == pytest.approx(share, rel=1e-9)


@LAWFUL
@given(residence=st.floats(0.0, 3600.0), pot_life=st.floats(60.0, 1e5))
def test_the_mean_thickening_lies_between_fresh_and_oldest_and_is_the_average(
    residence: float, pot_life: float
) -> None:
    mean = float(mean_thickening(residence=residence, pot_life=pot_life))
    times = (np.arange(2000) + 0.5) / 2000 * residence

    assert 1.0 <= mean <= float(thickening(elapsed=residence, pot_life=pot_life)) * (1 + 1e-12)
    assert mean == pytest.approx(
        float(np.mean(thickening(elapsed=times, pot_life=pot_life))), rel=1e-3
    )


def test_the_oldest_part_of_a_laminar_tube_agrees_with_a_sample_of_streamlines() -> None:
    # Equal shares of the flow, each with its own speed v = 2 (1 - r^2) of the mean.
    flow_share = (np.arange(100_000) + 0.5) / 100_000
    age = 1 / (2 * np.sqrt(1 - flow_share))

    for limit in (0.4, 1.0, 2.0, 5.0):
        assert share_older_tube(age=limit, mean_residence=1.0) == pytest.approx(
            np.mean(age > limit), abs=2e-5
        )


@LAWFUL
@given(energy=st.floats(1e3, 2e5), warm=st.floats(250.0, 450.0), cold=st.floats(250.0, 450.0))
def test_two_points_give_back_the_energy_that_made_them(
    energy: float, warm: float, cold: float
) -> None:
    assume(abs(warm - cold) > 1.0)
    factor = arrhenius_factor(
        activation_energy=energy, temperature=warm, reference_temperature=cold
    )

    found = activation_energy_from_points(
        viscosity_1=factor, temperature_1=warm, viscosity_2=1.0, temperature_2=cold
    )
    assert found == pytest.approx(energy, rel=1e-8)
    again = vft_factor(
        strength=energy / 8.31446261815324,
        vogel_temperature=0.0,
        temperature=warm,
        reference_temperature=cold,
    )
    assert again == pytest.approx(float(factor), rel=1e-9)


@LAWFUL
@given(angle=st.floats(0.02, 3.1), width=st.floats(1e-4, 1e-2))
def test_a_bead_and_a_dot_agree_with_a_sum_of_slices(angle: float, width: float) -> None:
    height = float(dot_height(diameter=width, contact_angle=angle))
    # Circle through the footprint: half chord a, radius a/sin(theta), centre at h - radius.
    radius = width / 2 / np.sin(angle)
    levels = (np.arange(4000) + 0.5) / 4000 * height
    chord = 2 * np.sqrt(np.maximum(radius**2 - (levels - (height - radius)) ** 2, 0.0))

    assert bead_area(width=width, contact_angle=angle) == pytest.approx(
        np.mean(chord) * height, rel=1e-3
    )
    assert dot_volume(diameter=width, height=height) == pytest.approx(
        np.mean(np.pi * chord**2 / 4) * height, rel=1e-3
    )
    assert bead_contact_angle(width=width, height=height) == pytest.approx(angle, rel=1e-9)


@LAWFUL
@given(torque=st.floats(0.01, 50.0), other=st.floats(0.0, 10.0))
def test_the_pressure_a_torque_can_hold_needs_that_torque(torque: float, other: float) -> None:
    pressure = pressure_from_torque(displacement=1e-6, available_torque=torque, other_torque=other)

    needed = hydraulic_torque(displacement=1e-6, pressure_difference=pressure)
    assert needed == pytest.approx(max(torque - other, 0.0), abs=1e-12)


@LAWFUL
@given(available=st.floats(1e3, 1e6), yield_stress=st.floats(0.0, 2e3))
def test_a_cavity_fills_up_to_its_speed_limit_and_not_above(
    available: float, yield_stress: float
) -> None:
    cavity = {
        "curve": HerschelBulkley(yield_stress, 30.0, 0.6),
        "hydraulic_diameter": 3e-3,
        "stator_pitch": 25e-3,
    }
    limit = float(filling_speed_limit(available_pressure=available, **cavity))

    if limit > 0:
        assert filling_pressure(speed=limit, **cavity) == pytest.approx(available, rel=1e-9)
    else:
        assert filling_pressure(speed=1e-9, **cavity) >= available


@LAWFUL
@given(stop=st.floats(0.01, 2.0), size=st.floats(0.014, 0.04), later=st.floats(0.0, 1.0))
def test_the_guard_moves_away_with_time_and_resolution(
    stop: float, size: float, later: float
) -> None:
    near = float(light_curtain_distance(stopping_time=stop, resolution=size))

    assert float(light_curtain_distance(stopping_time=stop + later, resolution=size)) >= near
    assert near >= float(light_curtain_distance(stopping_time=stop, resolution=0.014))
    assert near >= 1.6 * stop


@LAWFUL
@given(
    distance=st.floats(0.0, 40.0),
    radius=st.floats(2.0, 12.0),
    spread=st.floats(0.0, 0.5),
    wider=st.floats(0.0, 0.4),
)
def test_less_knowledge_of_the_sphere_never_decides_more(
    distance: float, radius: float, spread: float, wider: float
) -> None:
    sure = swelling_outcome(distance=distance, radius=radius, radius_uncertainty=spread)
    unsure = swelling_outcome(distance=distance, radius=radius, radius_uncertainty=spread + wider)

    assert unsure in {sure, SwellingOutcome.TEST}
    crystalline = swelling_outcome(
        distance=distance, radius=radius, radius_uncertainty=spread, semicrystalline=True
    )
    assert crystalline is not SwellingOutcome.SWELLS


@LAWFUL
@given(efficiency=st.floats(0.5, 1.0), ratio=st.floats(0.2, 5.0))
def test_a_head_against_its_own_tip_does_not_feel_the_viscosity(
    efficiency: float, ratio: float
) -> None:
    assert volumetric_ratio(
        volumetric_efficiency=efficiency, pressure_ratio=ratio, viscosity_ratio=ratio
    ) == pytest.approx(1.0)


def test_the_rubbing_speeds_agree_with_the_motion_of_the_rotor_differentiated() -> None:
    # The rotor centre swings 2e cos(angle) along the slot while the rotor turns on itself the
    # other way; the sliding point is where the rotor touches the flat, at right angles to the slot.
    e, diameter, speed = 1e-3, 5e-3, 1.0
    turn = 2 * np.pi * speed
    time = np.linspace(0.0, 1.0, 200_001)
    centre = 2 * e * np.cos(turn * time)
    velocity = np.gradient(centre, time)
    sliding = np.abs(velocity - turn * diameter / 2)

    largest = rubbing_speed_max(eccentricity=e, rotor_diameter=diameter, speed=speed)
    assert sliding.max() == pytest.approx(largest, rel=1e-6)
    # At the ends of the slot the centre stands still and only the turning is left.
    half_turn = 100_000
    assert abs(centre[half_turn]) == pytest.approx(2 * e)
    assert sliding[half_turn] == pytest.approx(
        rubbing_speed_min(rotor_diameter=diameter, speed=speed), rel=1e-6
    )
