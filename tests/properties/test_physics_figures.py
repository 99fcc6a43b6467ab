"""Laws of cure, temperature, deposits and the rest, tried on random figures."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from configurator.physics.cure import mean_thickening, thickening
from configurator.physics.deposit import bead_area, bead_contact_angle, dot_height, dot_volume
from configurator.physics.inlet import rubbing_speed_max
from configurator.physics.machine import light_curtain_distance
from configurator.physics.swelling import SwellingOutcome, swelling_outcome
from configurator.physics.temperature import activation_energy_from_points, arrhenius_factor

LAWFUL = settings(max_examples=50, deadline=None, derandomize=True)


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


def test_the_rubbing_speed_agrees_with_the_motion_of_the_rotor_differentiated() -> None:
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
