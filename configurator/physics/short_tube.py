"""Tips: what a short tube takes beyond developed laminar flow, and what a cone takes.

A tip is fed from a wide bore at rest and ends in a free jet, so that it has to pay for the kinetic
energy of the jet and for a steep profile behind its mouth. Both grow with the square of the speed:
nothing for a paste, more than all the rest for a thin liquid in a quick tip. A cone is taken as
tubes, each as narrow as it is there.
"""

import numpy as np

from configurator.physics.domain import (
    Array,
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
    weighted_sum,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import each_model
from configurator.physics.rheology import Newtonian, PowerLaw
from configurator.physics.tube_flow import newtonian_wall_rate, wall_stress

HEAVIEST = 20_000.0
"""Denser than any filled liquid [kg/m^3]: stands for a density that nobody knows."""


def kinetic_pressure(*, density: Floats, flow_rate: Floats, bore: Floats) -> Floats:
    """Pressure that brings a liquid from rest to the mean speed in a tube.

    Parameters
    ----------
    density : Floats
        Density. [kg/m^3]
    flow_rate : Floats
        Volume flow. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    pressure : Floats
        ``rho v^2 / 2``. [Pa]

    Notes
    -----
    Source: Bernoulli's equation, textbook.

    Examples
    --------
    >>> round(kinetic_pressure(density=1000.0, flow_rate=1e-6, bore=0.84e-3))
    1628
    """
    require_not_negative(density=density, flow_rate=flow_rate, bore=bore)
    speed = array(flow_rate) / (0.25 * np.pi * array(bore) ** 2)
    return plain(0.5 * array(density) * speed**2)


def developing_share(*, developed: Floats, kinetic: Floats) -> Floats:
    """Extra loss of a Newtonian profile that develops, as a share of the kinetic pressure.

    Parameters
    ----------
    developed : Floats
        Loss of the tube if the profile were developed from its mouth on. [Pa]
    kinetic : Floats
        Kinetic pressure at the mean speed, see `kinetic_pressure`. [Pa]

    Returns
    -------
    share : Floats
        From 0 in a hole to 1.25 in a long tube. [-]

    Notes
    -----
    With ``x = (L/D)/Re``, which is ``developed / (64 kinetic)``, and ``s = 3.44 / sqrt(x)``:
    ``4 x (s + (16 + 1.25/(4 x) - s) / (1 + 0.00021/x^2) - 16)``. Within 2 % of the whole loss.

    Source: Shah 1978 (form from memory; the same constants, divided by 16, stand in a textbook of
    heat transfer of 2021, seen as an excerpt of code after it); the tests solve the developing flow.

    Examples
    --------
    >>> [round(developing_share(developed=64.0 * x, kinetic=1.0), 3) for x in (1e-3, 1e-2, 1.0)]
    [0.375, 0.902, 1.239]
    """
    require_not_negative(developed=developed, kinetic=kinetic)
    with np.errstate(all="ignore"):
        reach = array(developed) / (64.0 * array(kinetic))
        steep = 3.44 * np.sqrt(reach)
        tail = 4.0 * (16.0 * reach - steep) + 1.25
        share = 4.0 * (steep - 16.0 * reach) + tail / (1.0 + 0.00021 / reach**2)
        # Far behind the mouth both ends of the difference are large, and only their limit is left.
        return plain(np.where(reach > 1e3, 1.25, np.where(reach == 0.0, 0.0 * reach, share)))


def inertial_loss(
    *,
    curve: FlowCurve,
    wall_rate: Floats,
    developed: Floats,
    density: Floats,
    flow_rate: Floats,
    bore: Floats,
) -> tuple[Floats, Floats]:
    """Kinetic energy and developing profile together, as bounds that hold for the flow curve.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the tube. [curve]
    wall_rate : Floats
        Shear rate at the wall of the tube. [1/s]
    developed : Floats
        Loss of the tube if the profile were developed from its mouth on. [Pa]
    density : Floats
        Density; unknown is anything up to `HEAVIEST`. [kg/m^3]
    flow_rate : Floats
        Volume flow. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    low, high : tuple of Floats
        Pressure beyond the developed loss; one value for a Newtonian fluid of known density. [Pa]

    Notes
    -----
    No profile carries less energy than a flat one, which is the low bound of all but Newtonian
    fluids. Where stress grows slower than the rate, the profile is flatter than a parabola and gains
    less on its way there; where it grows faster, the slope of the curve at the wall bounds the gain.

    Source: as `developing_share`; the bounds are an own derivation, held against the developing flow
    of power-law and yielding fluids, solved by steps along the tube.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian, PowerLaw
    >>> tip = {"wall_rate": 1e4, "developed": 2000.0, "density": 1000.0, "flow_rate": 1e-6,
    ...        "bore": 0.84e-3}
    >>> [round(bound) for bound in inertial_loss(curve=Newtonian(0.01), **tip)]
    [3325, 3325]
    >>> [round(bound) for bound in inertial_loss(curve=PowerLaw(1.0, 0.5), **tip)]
    [1628, 3325]
    """
    given = (wall_rate, developed, density, flow_rate, bore)
    low, high = each_model(curve, _bounds, *map(array, given))
    return plain(low), plain(high)


def _bounds(
    curve: FlowCurve, wall_rate: Array, developed: Array, density: Array, *jet: Array
) -> tuple[Array, Array]:
    flow_rate, bore = jet
    unknown = np.isnan(density)
    heaviest = np.where(unknown, HEAVIEST, density)
    kinetic = array(kinetic_pressure(density=heaviest, flow_rate=flow_rate, bore=bore))
    share = array(developing_share(developed=developed, kinetic=kinetic))
    high = np.asarray((1.0 + share) * kinetic)
    if isinstance(curve, Newtonian):
        low = high
    else:
        with np.errstate(all="ignore"):
            high = high * np.fmax(curve.slope_of(wall_rate), 1.0)
        low = kinetic + 0.0 * high
    return np.where(unknown, 0.0 * low, low), high


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


def _length_over_radius(radius_in: Array, radius_out: Array, length: Array) -> tuple[Array, Array]:
    """Return ln(R1/R2) and the mean of L/R along the cone; a plain tube is the limit."""
    step = radius_in - radius_out
    log_ratio = np.log1p(step / radius_out)
    same = np.abs(step) == 0.0
    mean = np.where(same, 1.0 / radius_out, log_ratio / np.where(same, 1.0, step))
    return log_ratio, length * mean


def taper_pressure_drop(
    *, curve: FlowCurve, flow_rate: Floats, bore_in: Floats, bore_out: Floats, length: Floats
) -> Floats:
    """Pressure needed to push a material through a round cone.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the cone. [curve]
    flow_rate : Floats
        Volume flow; 0 gives the start pressure. [m^3/s]
    bore_in : Floats
        Inside diameter of one end. [m]
    bore_out : Floats
        Inside diameter of the other end; equal ends are a tube. [m]
    length : Floats
        Length along the axis. [m]

    Returns
    -------
    pressure_drop : Floats
        Loss along the cone, without end losses. [Pa]

    Raises
    ------
    PhysicsDomainError
        If a known argument is negative, infinite, or a bore of zero.

    Notes
    -----
    Closed form for Newtonian and power law; otherwise 12 Gauss points in the logarithm of the
    radius, where the wall stress is smooth. Valid for a small half angle.

    Source: power-law cone, textbook (from memory); checked against scipy quad along the cone.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian, PowerLaw
    >>> cone = {"flow_rate": 1e-8, "bore_in": 4e-3, "bore_out": 0.84e-3, "length": 25e-3}
    >>> round(taper_pressure_drop(curve=PowerLaw(50.0, 0.5), **cone), 3)
    13972.81
    >>> round(taper_pressure_drop(curve=Newtonian(10.0), **cone), 3)
    17960.283
    """
    require_positive(bore_in=bore_in, bore_out=bore_out)
    require_not_negative(length=length, flow_rate=flow_rate)
    given = (flow_rate, bore_in, bore_out, length)
    return plain(each_model(curve, _cone, *map(array, given))[0])


def _cone(
    curve: FlowCurve, flow_rate: Array, bore_in: Array, bore_out: Array, length: Array
) -> tuple[Array]:
    radius_in, radius_out, along = np.broadcast_arrays(0.5 * bore_in, 0.5 * bore_out, length)
    log_ratio, reach = _length_over_radius(radius_in, radius_out, along)
    if isinstance(curve, Newtonian | PowerLaw):
        index = array(1.0 if isinstance(curve, Newtonian) else curve.index)
        stress = array(wall_stress(curve=curve, flow_rate=flow_rate, bore=bore_out))
        # The stress falls as R^(-3m) away from the outlet; its mean over ln R is closed.
        fall = 3.0 * index * log_ratio
        same = fall == 0.0
        mean = np.where(same, 1.0, -np.expm1(-fall) / np.where(same, 1.0, fall))
        return (np.asarray(2.0 * reach * stress * mean),)
    rates = newtonian_wall_rate(flow_rate=flow_rate, bore=radius_out)
    shape = np.shape(curve.stress_of(array(rates)))
    log_ratio, radius_out, flow_rate = np.broadcast_arrays(
        np.broadcast_to(log_ratio, np.broadcast_shapes(log_ratio.shape, shape)),
        radius_out,
        flow_rate,
    )
    shares = (0.5 * (_NODES + 1.0)).reshape((-1,) + (1,) * log_ratio.ndim)
    radii = radius_out * np.exp(shares * log_ratio)
    stresses = array(wall_stress(curve=curve, flow_rate=flow_rate, bore=2.0 * radii))
    return (np.asarray(2.0 * reach * weighted_sum(0.5 * _WEIGHTS, stresses)),)
