"""Tube, mixer and needle figures against the library `fluids` (1.3.1)."""

from math import pi

import numpy as np
import pytest
from fluids import Reynolds, friction_factor, one_phase_dP
from fluids.core import K_from_f, dP_from_K
from fluids.friction import LAMINAR_TRANSITION_PIPE
from fluids.mixing import COV_motionless_mixer
from fluids.piping import t_from_gauge

from configurator.physics.mixing import variation_after
from configurator.physics.rheology import Newtonian
from configurator.physics.tube_flow import reynolds_metzner_reed, tube_pressure_drop

TUBES = [
    (viscosity, bore, flow)
    for viscosity in (0.5, 10.0, 300.0)
    for bore in (0.16e-3, 0.84e-3, 6e-3)
    for flow in (1e-9, 1e-7)
]


@pytest.mark.parametrize(("viscosity", "bore", "flow"), TUBES)
def test_the_newtonian_tube_equals_one_phase_dp(viscosity: float, bore: float, flow: float) -> None:
    expected = one_phase_dP(m=flow * 1200, rho=1200.0, mu=viscosity, D=bore, L=12.7e-3)

    pressure = tube_pressure_drop(
        curve=Newtonian(viscosity), flow_rate=flow, bore=bore, length=12.7e-3
    )

    assert pressure == pytest.approx(expected, rel=1e-9)


def test_the_reynolds_number_is_the_usual_one_and_predicts_laminar_friction() -> None:
    flow, bore, viscosity, density = 2e-7, 2e-3, 0.05, 1100.0
    speed = 4 * flow / (pi * bore**2)
    expected = Reynolds(V=speed, D=bore, rho=density, mu=viscosity)

    reynolds = reynolds_metzner_reed(
        curve=Newtonian(viscosity), density=density, flow_rate=flow, bore=bore
    )

    assert reynolds == pytest.approx(expected, rel=1e-12)
    assert reynolds < LAMINAR_TRANSITION_PIPE
    loss = dP_from_K(K_from_f(fd=friction_factor(Re=reynolds), L=0.1, D=bore), rho=density, V=speed)
    pressure = tube_pressure_drop(curve=Newtonian(viscosity), flow_rate=flow, bore=bore, length=0.1)
    assert pressure == pytest.approx(loss, rel=1e-9)


@pytest.mark.parametrize("base", [0.87, 0.63, 0.85, 0.83])
@pytest.mark.parametrize("ratio", [1.0, 2.0, 4.0, 10.0])
def test_the_variation_equals_the_library(base: float, ratio: float) -> None:
    expected = COV_motionless_mixer(base, Q1=ratio, Q2=1.0, pipe_diameters=24.0)

    variation = variation_after(
        share=1.0 / (1.0 + ratio), variation_base=base, length_over_diameter=24.0
    )

    assert variation == pytest.approx(expected, rel=1e-9)


# Outside diameter, nominal inside diameter and wall in mm, regular wall, from the common chart
# (an encyclopaedia copy, seen). The bore of a real tip is catalog data; this is a plausibility net.
NEEDLES = {
    14: (2.108, 1.600, 0.254),
    15: (1.829, 1.372, 0.229),
    16: (1.651, 1.194, 0.229),
    17: (1.473, 1.067, 0.203),
    18: (1.270, 0.838, 0.216),
    19: (1.067, 0.686, 0.191),
    20: (0.9081, 0.603, 0.1524),
    21: (0.8192, 0.514, 0.1524),
    22: (0.7176, 0.413, 0.1524),
    23: (0.6414, 0.337, 0.1524),
    24: (0.5652, 0.311, 0.1270),
    25: (0.5144, 0.260, 0.1270),
    26: (0.4636, 0.260, 0.1016),
    27: (0.4128, 0.210, 0.1016),
    28: (0.3620, 0.184, 0.0889),
    29: (0.3366, 0.184, 0.0762),
    30: (0.3112, 0.159, 0.0762),
    31: (0.2604, 0.133, 0.0635),
}


@pytest.mark.parametrize("gauge", list(NEEDLES))
def test_the_needle_chart_follows_the_birmingham_gauge_and_its_own_walls(gauge: int) -> None:
    outside, inside, wall = NEEDLES[gauge]

    assert outside == pytest.approx(1e3 * t_from_gauge(gauge, SI=True, schedule="BWG"), rel=0.03)
    assert outside > inside > 0
    assert outside - 2 * wall == pytest.approx(inside, abs=0.003)


def test_needles_get_finer_and_their_losses_larger_with_the_gauge() -> None:
    bores = np.array([NEEDLES[gauge][1] for gauge in sorted(NEEDLES)]) * 1e-3
    losses = np.asarray(
        tube_pressure_drop(curve=Newtonian(1.0), flow_rate=1e-8, bore=bores, length=12.7e-3)
    )

    assert np.all(np.diff(bores) <= 0)
    assert np.all(np.diff(losses) >= 0)
    assert losses[-1] / losses[0] == pytest.approx((bores[0] / bores[-1]) ** 4, rel=1e-9)


def test_the_least_bore_of_the_standard_doubles_the_loss_of_a_thirty_gauge_needle() -> None:
    # ISO 9626:2016 least inside diameter 0.133 mm (quoted by PMC7952281), chart nominal 0.159 mm.
    least, nominal = (
        tube_pressure_drop(curve=Newtonian(1.0), flow_rate=1e-9, bore=bore, length=13e-3)
        for bore in (0.133e-3, 0.159e-3)
    )

    assert least / nominal == pytest.approx(2.04, rel=0.01)
