"""Filling: when a feed is not enough."""

import numpy as np
import pytest

from configurator.physics.inlet import (
    STANDARD_ATMOSPHERE,
    available_pressure,
    filling_pressure,
    filling_speed_limit,
)
from configurator.physics.rheology import HerschelBulkley, Newtonian, PowerLaw

CAVITY = {"hydraulic_diameter": 2e-3, "stator_pitch": 20e-3}


def test_a_paste_that_does_not_start_does_not_fill_at_any_speed() -> None:
    paste = HerschelBulkley(3e3, 50.0, 0.5)

    assert filling_speed_limit(curve=paste, available_pressure=1e5, **CAVITY) == 0.0
    assert filling_pressure(curve=paste, speed=0.0, **CAVITY) == pytest.approx(
        4 * 3e3 * 20e-3 / 2e-3
    )


def test_nothing_fills_below_zero_pressure() -> None:
    limits = filling_speed_limit(
        curve=Newtonian(10.0), available_pressure=np.array([-5e4, 0.0, 5e4]), **CAVITY
    )

    assert np.asarray(limits)[:2].tolist() == [0.0, 0.0]
    assert np.asarray(limits)[2] > 0.0


def test_the_newtonian_form_is_the_written_one() -> None:
    speed, viscosity = 1.3, 7.0
    expected = 32 * viscosity * (speed * 20e-3) * 20e-3 / 2e-3**2

    assert filling_pressure(curve=Newtonian(viscosity), speed=speed, **CAVITY) == pytest.approx(
        expected
    )


def test_a_thinning_material_fills_easier_than_its_slow_viscosity_says() -> None:
    thinning = PowerLaw(100.0, 0.4)

    assert filling_pressure(curve=thinning, speed=1.0, **CAVITY) < filling_pressure(
        curve=Newtonian(thinning.viscosity(1.0)), speed=1.0, **CAVITY
    )


def test_a_source_below_the_inlet_and_a_volatile_solvent_take_pressure_away() -> None:
    feed = {"feed_pressure": 0.0, "line_loss": 0.0, "density": 1000.0}
    level = available_pressure(vapour_pressure=0.0, head_height=0.0, **feed)

    assert level == STANDARD_ATMOSPHERE
    assert available_pressure(vapour_pressure=0.0, head_height=-1.0, **feed) == pytest.approx(
        STANDARD_ATMOSPHERE - 9806.65
    )
    assert available_pressure(vapour_pressure=3e4, head_height=0.0, **feed) == pytest.approx(
        level - 3e4
    )
    assert available_pressure(vapour_pressure=0.0, head_height=0.0, atmosphere=0.0, **feed) == 0.0
