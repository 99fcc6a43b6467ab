"""Cones: the limit of equal ends, and the angle."""

import numpy as np
import pytest

from configurator.physics.rheology import Carreau, HerschelBulkley, Newtonian, PowerLaw
from configurator.physics.short_tube import (
    taper_pressure_drop,
)
from configurator.physics.tube_flow import tube_pressure_drop

CURVES = [
    Newtonian(10.0),
    PowerLaw(50.0, 0.5),
    HerschelBulkley(100.0, 50.0, 0.5),
    Carreau(100.0, 1.0, 1.0, 0.4),
]


@pytest.mark.parametrize("curve", CURVES, ids=lambda curve: curve.name)
@pytest.mark.parametrize("step", [0.0, 1e-15, 1e-12, 1e-9])
def test_a_cone_with_equal_ends_is_a_tube(curve: Newtonian, step: float) -> None:
    tube = tube_pressure_drop(curve=curve, flow_rate=1e-8, bore=1e-3, length=1e-2)
    cone = taper_pressure_drop(
        curve=curve, flow_rate=1e-8, bore_in=1e-3 + step, bore_out=1e-3, length=1e-2
    )

    assert cone == pytest.approx(tube, rel=2e-6)


@pytest.mark.parametrize("curve", CURVES, ids=lambda curve: curve.name)
def test_a_table_of_cones_may_hold_a_tube(curve: Newtonian) -> None:
    inner = np.array([4e-3, 0.84e-3, np.nan])
    losses = np.asarray(
        taper_pressure_drop(
            curve=curve, flow_rate=1e-8, bore_in=inner, bore_out=0.84e-3, length=12.7e-3
        )
    )

    assert losses[1] == pytest.approx(
        tube_pressure_drop(curve=curve, flow_rate=1e-8, bore=0.84e-3, length=12.7e-3)
    )
    assert losses[0] < losses[1]
    assert np.isnan(losses[2])
