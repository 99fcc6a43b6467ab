"""Short tubes: what comes on top of developed flow, and its limits."""

import numpy as np
import pytest

from configurator.physics.many_curves import together
from configurator.physics.rheology import Bingham, Newtonian, PowerLaw
from configurator.physics.short_tube import developing_share, inertial_loss, kinetic_pressure
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate

TIP = {"bore": 0.84e-3, "length": 12.7e-3}
FLOWS = np.geomspace(1e-12, 1e-4, 400)


def bounds(curve, density=1000.0, flow_rate=1e-6):
    return inertial_loss(
        curve=curve,
        wall_rate=wall_shear_rate(curve=curve, flow_rate=flow_rate, bore=TIP["bore"]),
        developed=tube_pressure_drop(curve=curve, flow_rate=flow_rate, **TIP),
        density=density,
        flow_rate=flow_rate,
        bore=TIP["bore"],
    )


def test_the_jet_alone_is_left_of_a_tube_without_length():
    kinetic = kinetic_pressure(density=1000.0, flow_rate=1e-6, bore=0.84e-3)
    speed = 1e-6 / (np.pi / 4 * 0.84e-3**2)

    assert kinetic == pytest.approx(500.0 * speed**2, rel=1e-12)
    assert developing_share(developed=0.0, kinetic=kinetic) == 0.0


@pytest.mark.parametrize("kinetic", [1e-300, 1e-9, 0.0])
def test_a_long_slow_tube_ends_at_one_and_a_quarter(kinetic):
    assert developing_share(developed=1e3, kinetic=kinetic) == pytest.approx(1.25, abs=1e-3)


def test_the_share_grows_with_the_way_to_the_mouth():
    ways = np.geomspace(1e-9, 1e9, 2001)

    assert np.all(np.diff(developing_share(developed=ways, kinetic=1.0)) > -1e-9)


@pytest.mark.parametrize(
    "curve", [Newtonian(1e-3), PowerLaw(1.0, 0.4), PowerLaw(1e-3, 1.4), Bingham(20.0, 0.02)]
)
def test_the_whole_loss_grows_with_the_flow(curve):
    developed = tube_pressure_drop(curve=curve, flow_rate=FLOWS, **TIP)

    for bound in bounds(curve, flow_rate=FLOWS):
        assert np.all(np.diff(developed + bound) > 0)


def test_a_paste_in_a_tip_does_not_feel_it():
    low, high = bounds(Newtonian(10.0), flow_rate=1e-8)

    assert low == high
    assert high < 1e-5 * tube_pressure_drop(curve=Newtonian(10.0), flow_rate=1e-8, **TIP)


def test_a_density_that_nobody_knows_is_anything():
    low, high = bounds(Newtonian(1e-3), density=np.nan)

    assert low == 0.0
    assert high > bounds(Newtonian(1e-3), density=8000.0)[1]


def test_many_materials_are_each_one_by_itself():
    curves = [Newtonian(1e-3), PowerLaw(0.5, 0.5), PowerLaw(1e-3, 1.3), Newtonian(0.1)]
    densities = [900.0, 1000.0, np.nan, 1300.0]
    many = together(curves, 1)
    flows = np.array([1e-7, 1e-6])

    low, high = bounds(many, density=np.array(densities)[:, None], flow_rate=flows)

    for entry, (curve, density) in enumerate(zip(curves, densities, strict=True)):
        alone = bounds(curve, density=density, flow_rate=flows)
        assert np.allclose(low[entry], alone[0], rtol=1e-12)
        assert np.allclose(high[entry], alone[1], rtol=1e-12)
