"""Pot life and age."""

import numpy as np
import pytest

from configurator.physics.cure import (
    mean_thickening,
    pot_life_at,
    share_older_stirred,
    thickening,
)


def test_the_viscosity_doubles_in_one_pot_life_and_quadruples_in_two() -> None:
    assert thickening(elapsed=1800.0, pot_life=1800.0) == 2.0
    assert thickening(elapsed=3600.0, pot_life=1800.0) == 4.0


def test_the_range_of_the_rule_of_thumb_is_the_factor_it_claims() -> None:
    for factor in (1.5, 2.5):
        warm = pot_life_at(
            pot_life=1000.0,
            temperature=303.15,
            reference_temperature=293.15,
            factor=factor,
        )
        assert 1000.0 / float(warm) == pytest.approx(factor)


def test_no_residence_is_no_thickening() -> None:
    means = mean_thickening(residence=np.array([0.0, 1e-9, 100.0]), pot_life=1800.0)

    assert np.asarray(means)[:2] == pytest.approx([1.0, 1.0])
    assert np.asarray(means)[2] > 1.0


def test_hundreds_of_pot_lives_are_solid_and_no_warning() -> None:
    assert mean_thickening(residence=1e9, pot_life=1.0) == float("inf")


def test_all_material_is_older_than_nothing() -> None:
    assert share_older_stirred(age=0.0, mean_residence=40.0) == 1.0
