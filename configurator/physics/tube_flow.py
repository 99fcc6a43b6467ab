"""Laminar flow through round tubes: what pressure a flow needs, what flow a pressure gives.

No slip at the wall, fully developed profile, any flow curve. Check `reynolds_metzner_reed`
before trusting a number: above about 2,000 the flow is not laminar and is not modelled.
Cones are in `short_tube`.
"""

import numpy as np

from configurator.physics.domain import (
    Array,
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import each_model
from configurator.physics.rabinowitsch import TUBE, newtonian_rate_ratio
from configurator.physics.rheology import Newtonian, PowerLaw
from configurator.physics.root import root_by_slope


def newtonian_wall_rate(*, flow_rate: Floats, bore: Floats) -> Floats:
    """Wall shear rate that a Newtonian fluid would have (the apparent rate 4Q/(pi R^3)).

    Parameters
    ----------
    flow_rate : Floats
        Volume flow, zero or positive. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    rate : Floats
        Apparent wall shear rate. [1/s]

    Notes
    -----
    Source: Hagen-Poiseuille flow, textbook.

    Examples
    --------
    >>> round(newtonian_wall_rate(flow_rate=1e-8, bore=0.84e-3), 3)
    171.855
    """
    require_not_negative(flow_rate=flow_rate)
    require_positive(bore=bore)
    return plain(32.0 * array(flow_rate) / (np.pi * array(bore) ** 3))


def wall_shear_rate(*, curve: FlowCurve, flow_rate: Floats, bore: Floats) -> Floats:
    """Return the true shear rate at the wall of a round tube.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the tube. [curve]
    flow_rate : Floats
        Volume flow, zero or positive. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    rate : Floats
        Wall shear rate. [1/s]

    Notes
    -----
    Solves the Rabinowitsch integral for the wall rate by Newton steps, where it is not explicit.

    Source: Rabinowitsch-Mooney analysis (from memory); checked against scipy quad and brentq.

    Examples
    --------
    >>> from configurator.physics.rheology import PowerLaw
    >>> curve = PowerLaw(consistency=50.0, index=0.5)
    >>> round(wall_shear_rate(curve=curve, flow_rate=1e-8, bore=0.84e-3), 3)
    214.819
    """
    apparent = array(newtonian_wall_rate(flow_rate=flow_rate, bore=bore))
    with np.errstate(all="ignore"):
        return plain(each_model(curve, _wall_rate, apparent)[0])


def _wall_rate(curve: FlowCurve, apparent: Array) -> tuple[Array]:
    if isinstance(curve, Newtonian):
        return (np.asarray(apparent + 0.0 * array(curve.constant)),)
    if isinstance(curve, PowerLaw):
        index = array(curve.index)
        known = 0.0 * array(curve.consistency)
        return (np.asarray((3.0 * index + 1.0) / (4.0 * index) * apparent + known),)
    # Bring the rate to the full shape, so that array parameters of the curve line up with it.
    apparent = np.broadcast_to(apparent, np.shape(curve.stress_of(apparent)))
    log_target = np.log(np.where(apparent == 0.0, 1.0, apparent))

    def miss(log_rate: Array) -> tuple[Array, Array]:
        rate = np.exp(log_rate)
        ratio = newtonian_rate_ratio(curve=curve, wall_rate=rate, power=TUBE)
        slope = (4.0 / ratio - 3.0) * curve.slope_of(rate)
        return np.asarray(log_rate + np.log(ratio) - log_target), slope

    # The ratio is below 4/3 for every curve, hence the lower end of the bracket; the first
    # guess is the power law that has the slope of the curve at the apparent rate.
    low = log_target + np.log(0.75)
    start = log_target + np.log(0.75 + 0.25 / curve.slope_of(np.exp(log_target)))
    found = np.exp(root_by_slope(miss, start, low, kinked=curve.kinked))
    return (np.where(apparent == 0.0, 0.0 * found, found),)


def tube_pressure_drop(
    *, curve: FlowCurve, flow_rate: Floats, bore: Floats, length: Floats
) -> Floats:
    """Pressure needed to push a material through a straight round tube.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the tube. [curve]
    flow_rate : Floats
        Volume flow; 0 gives the limit of slow flow, which is the start pressure. [m^3/s]
    bore : Floats
        Inside diameter. [m]
    length : Floats
        Straight length, zero or positive. [m]

    Returns
    -------
    pressure_drop : Floats
        Inlet minus outlet pressure, without end losses. [Pa]

    Raises
    ------
    PhysicsDomainError
        If a known argument is negative, infinite, or a bore of zero.

    Notes
    -----
    ``dp = 2 L tau_w / R``. Laminar flow only.

    Source: Rabinowitsch-Mooney, Buckingham-Reiner, Herschel-Bulkley and Casson tube flow
    (textbook, from memory); checked against quadrature, a boundary-value solver and `fluids`.

    Examples
    --------
    >>> from configurator.physics.rheology import HerschelBulkley, Newtonian
    >>> tube = {"flow_rate": 1e-8, "bore": 0.84e-3, "length": 12.7e-3}
    >>> round(tube_pressure_drop(curve=Newtonian(10.0), **tube), 3)
    103931.375
    >>> round(tube_pressure_drop(curve=HerschelBulkley(100.0, 50.0, 0.5), **tube), 3)
    51835.693
    """
    stress = wall_stress(curve=curve, flow_rate=flow_rate, bore=bore)
    return stress_pressure_drop(stress=stress, bore=bore, length=length)


def stress_pressure_drop(*, stress: Floats, bore: Floats, length: Floats) -> Floats:
    """Pressure along a straight round tube that goes with the stress at its wall.

    Parameters
    ----------
    stress : Floats
        Wall shear stress. [Pa]
    bore : Floats
        Inside diameter. [m]
    length : Floats
        Straight length, zero or positive. [m]

    Returns
    -------
    pressure_drop : Floats
        Inlet minus outlet pressure, without end losses. [Pa]

    Notes
    -----
    Source: as `tube_pressure_drop`.
    """
    require_not_negative(length=length, stress=stress)
    require_positive(bore=bore)
    return plain(4.0 * array(length) / array(bore) * array(stress))


def wall_stress(*, curve: FlowCurve, flow_rate: Floats, bore: Floats) -> Floats:
    """Shear stress at the wall of a round tube at a given flow.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the tube. [curve]
    flow_rate : Floats
        Volume flow; 0 gives the yield stress. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    stress : Floats
        Wall shear stress. [Pa]

    Notes
    -----
    Source: as `tube_pressure_drop`.
    """
    return curve.stress(wall_shear_rate(curve=curve, flow_rate=flow_rate, bore=bore))


def flow_from_pressure(
    *, curve: FlowCurve, pressure_drop: Floats, bore: Floats, length: Floats
) -> Floats:
    """Flow that a pressure drives through a straight round tube.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the tube. [curve]
    pressure_drop : Floats
        Inlet minus outlet pressure, zero or positive. [Pa]
    bore : Floats
        Inside diameter. [m]
    length : Floats
        Straight length, positive. [m]

    Returns
    -------
    flow_rate : Floats
        Volume flow; exactly 0 up to the start pressure. [m^3/s]

    Notes
    -----
    Source: as `tube_pressure_drop`, which it reverses.

    Examples
    --------
    >>> from configurator.physics.rheology import Bingham
    >>> flow = flow_from_pressure(curve=Bingham(100.0, 10.0), pressure_drop=1000.0 / 0.42e-3,
    ...                           bore=0.84e-3, length=1.0)
    >>> f"{flow:.5e}"
    '2.13513e-09'
    """
    require_not_negative(pressure_drop=pressure_drop)
    require_positive(bore=bore, length=length)
    radius = 0.5 * array(bore)
    stress = array(pressure_drop) * radius / (2.0 * array(length))
    rate = array(curve.rate(plain(stress)))
    stress, rate, radius = np.broadcast_arrays(stress, rate, radius)
    ratio = newtonian_rate_ratio(
        curve=curve, wall_rate=np.where(rate == 0.0, 1.0, rate), power=TUBE
    )
    return plain(0.25 * np.pi * radius**3 * rate * ratio)


def end_loss(*, stress: Floats) -> Floats:
    """Extra pressure of the two ends of a tube in creeping flow: an estimate.

    Exact for a Newtonian fluid through a hole in a thin wall, for both ends together. For any other
    curve it is no solution, and elastic materials lose more.

    Parameters
    ----------
    stress : Floats
        Stress at the wall of a tube of the bore at the ends, see `wall_stress`. [Pa]

    Returns
    -------
    pressure : Floats
        Loss of entrance and exit together, ``3 mu Q / R^3``. [Pa]

    Notes
    -----
    The same as ``3 pi / 8 = 1.178`` radii of extra length.

    Source: R. A. Sampson 1891, creeping flow through a circular hole (from memory).

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> stress = wall_stress(curve=Newtonian(10.0), flow_rate=1e-6 / 60, bore=0.838e-3)
    >>> round(end_loss(stress=stress))
    6797
    """
    require_not_negative(stress=stress)
    return plain(0.75 * np.pi * array(stress))


def reynolds_metzner_reed(
    *, curve: FlowCurve, density: Floats, flow_rate: Floats, bore: Floats
) -> Floats:
    """Reynolds number of any fluid in a tube, so that laminar friction is 16/Re (Fanning).

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour. [curve]
    density : Floats
        Density. [kg/m^3]
    flow_rate : Floats
        Volume flow, positive. [m^3/s]
    bore : Floats
        Inside diameter. [m]

    Returns
    -------
    reynolds : Floats
        ``8 rho v^2 / tau_w``; the usual one for a Newtonian fluid. [-]

    Notes
    -----
    For a power law this is ``rho v^(2-m) D^m / (8^(m-1) K ((3m+1)/(4m))^m)``.

    Source: A. B. Metzner and J. C. Reed 1955 (form from memory).

    Examples
    --------
    >>> from configurator.physics.rheology import PowerLaw
    >>> re = reynolds_metzner_reed(curve=PowerLaw(50.0, 0.5), density=1200.0,
    ...                            flow_rate=1e-8, bore=0.84e-3)
    >>> f"{re:.3e}"
    '4.265e-03'
    """
    require_positive(density=density, flow_rate=flow_rate)
    speed = 4.0 * array(flow_rate) / (np.pi * array(bore) ** 2)
    stress = array(wall_stress(curve=curve, flow_rate=flow_rate, bore=bore))
    return plain(8.0 * array(density) * speed**2 / stress)
