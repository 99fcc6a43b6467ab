"""Volume errors: refusals and the side each part counts on."""

import pytest

from configurator.physics.domain import PhysicsDomainError
from configurator.physics.metering_error import (
    capability_sigma,
    combine_independent,
    combine_linear,
    flow_uncertainty,
    slip_spread,
    volume_error,
)

SHOT = {
    "shot_volume": 1e-6,
    "slip_over": 0.0,
    "slip_under": 0.0,
    "encoder_step": 0.0,
    "backlash": 0.0,
    "stored_change": 0.0,
    "displacement_tolerance": 0.0,
}


@pytest.mark.parametrize(
    ("part", "value", "expected"),
    [
        ("slip_over", 0.01, (0.01, 0.0)),
        ("slip_under", 0.01, (0.0, 0.01)),
        ("encoder_step", 1e-9, (1e-3, 1e-3)),
        ("backlash", 1e-9, (1e-3, 1e-3)),
        ("stored_change", 2e-9, (2e-3, 2e-3)),
        ("displacement_tolerance", 0.004, (0.004, 0.004)),
    ],
)
def test_each_part_alone_counts_in_full_on_its_side(
    part: str, value: float, expected: tuple[float, float]
) -> None:
    assert volume_error(**{**SHOT, part: value}) == pytest.approx(expected)


def test_one_sided_parts_are_added_and_independent_ones_are_not() -> None:
    assert volume_error(**{**SHOT, "backlash": 1e-9, "stored_change": 1e-9})[0] == (
        pytest.approx(2e-3)
    )
    assert volume_error(**{**SHOT, "encoder_step": 3e-9, "displacement_tolerance": 4e-3})[0] == (
        pytest.approx(5e-3)
    )


def test_a_slip_out_of_order_is_refused() -> None:
    with pytest.raises(PhysicsDomainError, match="rise"):
        slip_spread(slip_low=2.0, slip_nominal=1.0, slip_high=3.0, ideal_flow=10.0)


def test_a_negative_part_is_refused_by_its_place() -> None:
    with pytest.raises(PhysicsDomainError, match="part 2"):
        combine_independent(1.0, -1.0)
    with pytest.raises(PhysicsDomainError, match="part 1"):
        combine_linear(-1.0)


def test_no_parts_are_no_error() -> None:
    assert combine_independent() == combine_linear() == 0.0


def test_a_head_that_loses_everything_has_no_relative_uncertainty() -> None:
    with pytest.raises(PhysicsDomainError, match="slip_share"):
        flow_uncertainty(displacement_share=0.0, slip_share=1.0, slip_uncertainty=0.1)


def test_a_stricter_capability_asks_for_a_smaller_sigma() -> None:
    assert capability_sigma(tolerance=0.01, capability=1.67) < capability_sigma(tolerance=0.01)
