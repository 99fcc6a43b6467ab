"""Filling: when a feed is not enough."""

import pytest

from configurator.physics.inlet import filling_pressure, filling_speed
from configurator.physics.rheology import HerschelBulkley, Newtonian, PowerLaw

CAVITY = {"hydraulic_diameter": 2e-3, "stator_pitch": 20e-3}


def test_a_paste_that_does_not_start_needs_its_yield_pressure() -> None:
    paste = HerschelBulkley(3e3, 50.0, 0.5)

    assert filling_pressure(curve=paste, speed=0.0, **CAVITY) == pytest.approx(
        4 * 3e3 * 20e-3 / 2e-3
    )


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


@pytest.mark.parametrize(
    "curve", [Newtonian(7.0), PowerLaw(100.0, 0.4), HerschelBulkley(500.0, 50.0, 0.5)]
)
def test_the_speed_that_a_pressure_fills_needs_just_that_pressure(curve) -> None:
    pressure = filling_pressure(curve=curve, speed=1.3, **CAVITY)

    assert filling_speed(curve=curve, pressure=pressure, **CAVITY) == pytest.approx(1.3)
    assert filling_speed(curve=curve, pressure=0.0, **CAVITY) == 0.0
