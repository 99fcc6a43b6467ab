"""Combined uncertainty against a Monte Carlo run, as JCGM 101 asks for (numpy, fixed seed)."""

import numpy as np
import pytest

from configurator.physics.metering_error import (
    combine_independent,
    combine_linear,
    flow_uncertainty,
    volume_error,
)

DRAWS = 400_000
TWO_SIDED = 1.959963984540054


def test_the_flow_with_slip_agrees_with_the_monte_carlo() -> None:
    # Displacement +/- 0.5 %, slip 5 % of the ideal flow +/- 50 %, half-widths at 95 %, normal.
    random = np.random.default_rng(13855)
    moved = 1.0 + 0.005 / TWO_SIDED * random.standard_normal(DRAWS)
    lost = 0.05 * (1.0 + 0.5 / TWO_SIDED * random.standard_normal(DRAWS))
    flow = moved - lost
    low, high = np.quantile(flow, (0.025, 0.975))

    combined = flow_uncertainty(displacement_share=0.005, slip_share=0.05, slip_uncertainty=0.5)

    assert combined == pytest.approx(0.5 * (high - low) / 0.95, rel=0.01)
    assert 100 * combined == pytest.approx(2.68, abs=0.005)


def test_the_quadrature_of_independent_parts_agrees_with_the_monte_carlo() -> None:
    random = np.random.default_rng(101)
    parts = (0.004, 0.002, 0.001)
    drawn = sum(part / TWO_SIDED * random.standard_normal(DRAWS) for part in parts)
    low, high = np.quantile(drawn, (0.025, 0.975))

    assert combine_independent(*parts) == pytest.approx(0.5 * (high - low), rel=0.01)


def test_no_draw_of_bounded_parts_exceeds_the_linear_sum() -> None:
    random = np.random.default_rng(100)
    parts = np.array((0.004, 0.002, 0.001))
    drawn = np.abs(random.uniform(-1, 1, (DRAWS, 3)) @ parts)

    assert drawn.max() <= combine_linear(*parts)
    assert drawn.max() > 0.95 * combine_linear(*parts)


def test_the_error_of_a_shot_covers_a_monte_carlo_of_its_parts() -> None:
    random = np.random.default_rng(2026)
    shot, step, play, stored = 50e-9, 0.2e-9, 0.3e-9, 0.4e-9
    over, under = volume_error(
        shot_volume=shot,
        slip_over=0.004,
        slip_under=0.009,
        encoder_step=step,
        backlash=play,
        stored_change=stored,
        displacement_tolerance=0.005,
    )
    moved = 0.005 / TWO_SIDED * random.standard_normal(DRAWS)
    slip = random.standard_normal(DRAWS) / TWO_SIDED
    slip = np.where(slip > 0, 0.004 * slip, 0.009 * slip)
    counted = random.uniform(-0.5, 0.5, (DRAWS, 2)).sum(axis=1) * step / shot
    one_sided = random.uniform(-1, 1, (DRAWS, 2)) @ np.array([play, stored]) / shot
    error = moved + slip + counted + one_sided

    assert np.quantile(error, 0.975) <= over
    assert -np.quantile(error, 0.025) <= under
    # An upper figure, but not a useless one.
    assert over < 2.5 * np.quantile(error, 0.975)
