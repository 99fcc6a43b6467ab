"""What is let in and what is refused."""

import numpy as np
import pytest

from configurator.physics.domain import (
    PhysicsDomainError,
    array,
    plain,
    require_between,
    require_inside,
    require_not_negative,
    require_positive,
)


def test_unknown_values_pass_every_gate() -> None:
    for gate in (require_positive, require_not_negative):
        gate(bore=float("nan"), length=np.array([1.0, np.nan]))
    require_between(0.0, 1.0, share=float("nan"))
    require_inside(0.0, 1.0, share=float("nan"))


@pytest.mark.parametrize("value", [0.0, -1.0, np.inf, np.array([1.0, 0.0]), np.array([np.nan, -1])])
def test_one_impossible_entry_is_enough_to_refuse(value: float) -> None:
    with pytest.raises(PhysicsDomainError, match="bore must be positive and finite"):
        require_positive(bore=value)


def test_zero_is_not_negative_but_minus_zero_point_one_is() -> None:
    require_not_negative(length=0.0)
    with pytest.raises(PhysicsDomainError, match="length"):
        require_not_negative(length=-0.1)


def test_the_ends_belong_to_between_and_not_to_inside() -> None:
    require_between(0.0, 1.0, share=np.array([0.0, 1.0]))
    for end in (0.0, 1.0):
        with pytest.raises(PhysicsDomainError, match="above 0 and below 1"):
            require_inside(0.0, 1.0, share=end)
    with pytest.raises(PhysicsDomainError, match="between 0 and 1"):
        require_between(0.0, 1.0, share=1.1)


def test_the_error_is_a_value_error_that_names_argument_and_value() -> None:
    with pytest.raises(ValueError, match=r"poisson_ratio must be positive and finite, got -inf"):
        require_positive(poisson_ratio=-np.inf)


def test_a_number_comes_back_as_a_number_and_an_array_as_an_array() -> None:
    assert type(plain(array(3))) is float
    assert isinstance(plain(array(np.array([3]))), np.ndarray)
