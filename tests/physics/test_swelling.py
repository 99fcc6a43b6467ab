"""The swelling screen and its three answers."""

import numpy as np
import pytest
from chemicals.solubility import hansen_delta_d, hansen_delta_h, hansen_delta_p

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.swelling import (
    SwellingOutcome,
    hansen_distance,
    relative_energy_difference,
    swelling_outcome,
)

# Relative energy differences against a nitrile rubber sphere (18.6/8.8/4.2, radius 9.6, from
# memory), worked out beforehand with the parameters that the library `chemicals` gives.
NITRILE = [
    ("67-64-1", 0.73),
    ("78-93-3", 0.55),
    ("108-88-3", 0.81),
    ("142-82-5", 1.23),
    ("7732-18-5", 4.09),
    ("67-63-0", 1.43),
]


@pytest.mark.parametrize(("number", "expected"), NITRILE)
def test_the_screen_gives_the_noted_figures_with_parameters_of_a_library(
    number: str, expected: float
) -> None:
    parameters = [get(number) / 1e3 for get in (hansen_delta_d, hansen_delta_p, hansen_delta_h)]
    distance = hansen_distance(
        dispersion_a=parameters[0],
        polar_a=parameters[1],
        hydrogen_a=parameters[2],
        dispersion_b=18.6,
        polar_b=8.8,
        hydrogen_b=4.2,
    )

    assert relative_energy_difference(distance=distance, radius=9.6) == pytest.approx(
        expected, abs=0.006
    )


def test_a_substance_is_at_no_distance_from_itself() -> None:
    assert (
        hansen_distance(
            dispersion_a=15.5,
            polar_a=10.4,
            hydrogen_a=7.0,
            dispersion_b=15.5,
            polar_b=10.4,
            hydrogen_b=7.0,
        )
        == 0.0
    )


@pytest.mark.parametrize(
    ("difference", "outcome"),
    [
        (0.5, SwellingOutcome.SWELLS),
        (0.89, SwellingOutcome.SWELLS),
        (0.9, SwellingOutcome.TEST),
        (1.0, SwellingOutcome.TEST),
        (1.3, SwellingOutcome.TEST),
        (1.31, SwellingOutcome.RESISTS),
        (float("nan"), SwellingOutcome.UNKNOWN),
    ],
)
def test_the_edge_of_the_sphere_is_for_a_test_to_decide(
    difference: float, outcome: SwellingOutcome
) -> None:
    assert (
        swelling_outcome(distance=difference * 8.0, radius=8.0, radius_uncertainty=0.0) is outcome
    )


def test_an_unknown_sphere_is_unknown_and_not_a_pass() -> None:
    outcomes = swelling_outcome(
        distance=np.array([4.0, 4.0, 40.0]),
        radius=np.array([8.0, np.nan, 8.0]),
        radius_uncertainty=0.1,
    )

    assert np.asarray(outcomes).tolist() == [
        SwellingOutcome.SWELLS,
        SwellingOutcome.UNKNOWN,
        SwellingOutcome.RESISTS,
    ]


def test_a_semicrystalline_plastic_is_never_condemned_by_the_screen_alone() -> None:
    fluid = {"distance": 1.0, "radius": 8.0, "radius_uncertainty": 0.1}

    assert swelling_outcome(**fluid) is SwellingOutcome.SWELLS
    assert swelling_outcome(semicrystalline=True, **fluid) is SwellingOutcome.TEST


def test_a_radius_known_to_nothing_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="radius_uncertainty"):
        swelling_outcome(distance=1.0, radius=8.0, radius_uncertainty=1.0)
