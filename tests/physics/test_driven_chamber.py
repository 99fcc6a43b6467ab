"""Driven chambers against the washing out integrated in time (scipy solve_ivp)."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.driven_chamber import (
    exchanged_share,
    refreshed_share,
    volumes_for_exchange,
)


@pytest.mark.parametrize("tanks", [1, 2, 5])
def test_the_exchange_equals_tanks_integrated_in_time(tanks: int) -> None:
    # Each tank holds 1/N of the volume; new material enters the first.
    def washing(_: float, new: np.ndarray) -> np.ndarray:
        return tanks * (np.concatenate([[1.0], new[:-1]]) - new)

    solved = solve_ivp(
        washing, (0.0, 3.0), np.zeros(tanks), rtol=1e-10, atol=1e-12, t_eval=[0.5, 1.0, 3.0]
    )

    assert solved.y[-1] == pytest.approx(
        np.asarray(exchanged_share(volumes=np.array([0.5, 1.0, 3.0]), tanks=tanks)), rel=1e-7
    )


def test_more_tanks_come_nearer_to_plug_flow() -> None:
    volumes = [float(volumes_for_exchange(share=0.99, tanks=tanks)) for tanks in (1, 3, 10, 30)]

    assert volumes == sorted(volumes, reverse=True)
    assert volumes[-1] > 1.0


def test_a_small_shot_refreshes_only_its_share() -> None:
    assert refreshed_share(shot_volume=0.1e-6, chamber_volume=10e-6) == pytest.approx(
        0.01, rel=0.01
    )
    assert refreshed_share(shot_volume=0.0, chamber_volume=10e-6) == 0.0


def test_a_chamber_of_no_tanks_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="tanks"):
        exchanged_share(volumes=1.0, tanks=0)
