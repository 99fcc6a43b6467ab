"""Developing flow in short tubes against the flow itself, solved by steps along the tube."""

import numpy as np
import pytest
from scipy.linalg import solve_banded

from configurator.physics.rheology import Bingham, FlowCurve, Newtonian, PowerLaw
from configurator.physics.short_tube import inertial_loss
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate

BORE, DENSITY = 2.0, 1.0
"""Radius, mean speed and density are one."""

FLOW = np.pi
POINTS = np.geomspace(3e-5, 0.3, 9)
"""Places along the tube, in bores over the Reynolds number."""


def thinning(index: float) -> FlowCurve:
    """Return a power law of Reynolds number one, which has a wall stress of eight."""
    return PowerLaw(8.0 / ((3 * index + 1) / index) ** index, index)


def yielding(share: float) -> FlowCurve:
    """Return a Bingham fluid with a share of the wall stress for its yield stress."""
    return Bingham(8.0 * share, 2.0 * (1.0 - 4.0 / 3.0 * share + share**4 / 3.0))


def extra_loss(curve: FlowCurve) -> np.ndarray:
    """Return what develops on top of developed flow, in kinetic pressures, at `POINTS`.

    The boundary-layer equations with a flat profile at the mouth, implicit from station to station;
    the pressure of each station follows from the flow. Shares no code with the package.
    """
    rings = 160
    radius = np.sin(0.5 * np.pi * np.linspace(0.0, 1.0, rings + 1))
    face, width = 0.5 * (radius[1:] + radius[:-1]), np.diff(radius)
    edges = np.concatenate([[0.0], face, [1.0]])
    area = 0.5 * np.diff(edges**2)
    speed = np.ones(rings + 1)
    speed[-1] = 0.0
    speed *= 0.5 / np.sum(area * speed)
    stations = np.concatenate([[0.0], np.geomspace(1e-7, POINTS[-1], 420)])
    pressure, gained = 0.0, [0.0]
    for step in 2.0 * np.diff(stations):
        new = speed.copy()
        for _ in range(12):
            rate = np.abs(np.diff(new)) / width + 1e-7
            pull = face * np.asarray(curve.stress(rate)) / rate / width
            inflow = -(np.cumsum(area * new) - np.cumsum(area * speed))[:-1] / step
            across = np.zeros(rings)
            across[1:] = 0.5 * (inflow[1:] + inflow[:-1]) * area[1:-1]
            across[1:] /= radius[1:-1] * (radius[2:] - radius[:-2])
            inertia = area[:-1] * new[:-1] / step
            bands = np.zeros((3, rings))
            bands[0, 1:] = (across - pull)[:-1]
            bands[1] = inertia + pull
            bands[1, 1:] += pull[:-1]
            bands[2, :-1] = -(across[1:] + pull[:-1])
            drive = np.stack([inertia * speed[:-1], -area[:-1]], axis=1)
            still, driven = solve_banded((1, 1), bands, drive).T
            slope = (0.5 - np.sum(area[:-1] * still)) / np.sum(area[:-1] * driven)
            found = np.append(still + slope * driven, 0.0)
            moved = np.max(np.abs(found - new))
            new = 0.5 * (found + new) if not isinstance(curve, Newtonian) else found
            if moved < 1e-7:
                break
        speed = new
        pressure -= slope * step
        gained.append(2.0 * pressure)
    return np.interp(POINTS, stations, np.array(gained) - 64.0 * stations)


def bounds(curve: FlowCurve) -> tuple[np.ndarray, np.ndarray]:
    """Return what the package gives for jet and development, in kinetic pressures."""
    low, high = inertial_loss(
        curve=curve,
        wall_rate=wall_shear_rate(curve=curve, flow_rate=FLOW, bore=BORE),
        developed=tube_pressure_drop(curve=curve, flow_rate=FLOW, bore=BORE, length=BORE * POINTS),
        density=DENSITY,
        flow_rate=FLOW,
        bore=BORE,
    )
    return 2.0 * np.asarray(low), 2.0 * np.asarray(high)


def test_a_newtonian_profile_develops_as_the_correlation_says() -> None:
    low, high = bounds(Newtonian(2.0))
    solved = 1.0 + extra_loss(Newtonian(2.0))

    assert np.array_equal(low, high)
    # The correlation is said to hold to about 2 % of the whole loss, developed part included.
    assert 64.0 * POINTS + high == pytest.approx(64.0 * POINTS + solved, rel=0.02)


OTHERS = [thinning(index) for index in (0.3, 0.5, 0.8, 1.2, 2.0)]
OTHERS += [yielding(share) for share in (0.2, 0.6)]


@pytest.mark.parametrize("curve", OTHERS, ids=str)
def test_the_bounds_of_other_fluids_hold_the_flow_that_develops(curve: FlowCurve) -> None:
    low, high = bounds(curve)
    solved = 1.0 + extra_loss(curve)

    assert np.all(low <= solved)
    # As close as the correlation itself, of which the high bound is made.
    assert np.all(64.0 * POINTS + solved <= 1.02 * (64.0 * POINTS + high))
    assert np.all(high < 3.0 * solved)
