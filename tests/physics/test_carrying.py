"""Mass and moment."""

import pytest

from configurator.physics.carrying import filled_mass, moment, with_margin


def test_the_material_inside_counts() -> None:
    parts = {"head": 1.0, "drive": 1.0, "mixer": 0.0, "hose_share": 0.0, "density": 2500.0}

    assert filled_mass(material_volume=0.2e-3, **parts) == pytest.approx(
        float(filled_mass(material_volume=0.0, **parts)) + 0.5
    )


def test_the_moment_of_a_kilogram_at_a_metre_is_its_weight() -> None:
    assert moment(mass=1.0, distance=1.0) == 9.80665


def test_the_margin_is_a_fifth_unless_said_otherwise() -> None:
    assert with_margin(demand=10.0) == pytest.approx(12.0)
    assert with_margin(demand=10.0, margin=0.0) == 10.0
