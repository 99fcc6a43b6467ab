"""Laminar flow through a cone, tapered tips and nozzles, and where flow in tube and cone starts.

The cone is taken as a chain of short tubes (lubrication approximation): good while the half
angle is small, a few percent low at 15 degrees, and not to be trusted beyond 20 (from memory).
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
    """Return the loss along the cone for one model."""
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
