"""Tube and mixer figures against the library `fluids` (1.3.1)."""

from math import pi

import pytest
from fluids import Reynolds, friction_factor, one_phase_dP
from fluids.core import K_from_f, dP_from_K
from fluids.friction import LAMINAR_TRANSITION_PIPE
from fluids.mixing import COV_motionless_mixer

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
