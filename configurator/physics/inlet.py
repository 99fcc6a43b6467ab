"""Getting the material into the cavity: what filling needs, what the feed can give.

A cavity that opens faster than it fills runs on voids. The figures are estimates by the tube
analogy; they say when a feed is clearly enough or clearly not.
"""

from configurator.physics.cavity import axial_speed
from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.tube_flow import tube_pressure_drop


def filling_pressure(
    *, curve: FlowCurve, hydraulic_diameter: Floats, stator_pitch: Floats, speed: Floats
) -> Floats:
    """Pressure needed to bring a material into the opening cavity.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the inlet. [curve]
    hydraulic_diameter : Floats
        Of the free cross-section of the cavity. [m]
    stator_pitch : Floats
        Length of one stage. [m]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    pressure : Floats
        ``32 mu u Ps / Dh^2`` with the apparent viscosity at ``8 u / Dh``, yield stress
        included. [Pa]

    Notes
    -----
    With the wall stress at that rate it reads ``4 tau Ps / Dh``, so that a yielding material at
    rest needs the yield term and nothing more.

    Source: laminar tube analogy, common practice, no source.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> round(filling_pressure(curve=Newtonian(10.0), hydraulic_diameter=2.029638e-3,
    ...                        stator_pitch=20e-3, speed=1.0) / 1e5, 3)
    0.311
    """
    require_positive(hydraulic_diameter=hydraulic_diameter)
    velocity = array(axial_speed(stator_pitch=stator_pitch, speed=speed))
    bore = array(hydraulic_diameter)
    stress = array(curve.stress(plain(8.0 * velocity / bore)))
    return plain(4.0 * stress * array(stator_pitch) / bore)


def filling_speed(
    *, curve: FlowCurve, hydraulic_diameter: Floats, stator_pitch: Floats, pressure: Floats
) -> Floats:
    """Rotor speed up to which a pressure fills the opening cavity.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the inlet. [curve]
    hydraulic_diameter : Floats
        Of the free cross-section of the cavity. [m]
    stator_pitch : Floats
        Length of one stage. [m]
    pressure : Floats
        Pressure at the mouth of the cavity, zero or positive. [Pa]

    Returns
    -------
    speed : Floats
        Rotor speed in revolutions; 0 where the yield stress holds. [1/s]

    Notes
    -----
    Source: as `filling_pressure`, which it reverses.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> round(filling_speed(curve=Newtonian(10.0), hydraulic_diameter=2.029638e-3,
    ...                     stator_pitch=20e-3, pressure=0.8e5), 3)
    2.575
    """
    require_positive(hydraulic_diameter=hydraulic_diameter, stator_pitch=stator_pitch)
    require_not_negative(pressure=pressure)
    bore, pitch = array(hydraulic_diameter), array(stator_pitch)
    rate = array(curve.rate(plain(0.25 * array(pressure) * bore / pitch)))
    return plain(0.125 * rate * bore / pitch)


def feed_line_loss(*, curve: FlowCurve, flow_rate: Floats, bore: Floats, length: Floats) -> Floats:
    """Pressure lost in the feed line, yield term included.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the line. [curve]
    flow_rate : Floats
        Volume flow, leakage left out. [m^3/s]
    bore : Floats
        Inside diameter of the line. [m]
    length : Floats
        Length of the line. [m]

    Returns
    -------
    pressure : Floats
        Loss of a straight tube. [Pa]

    Notes
    -----
    Source: as `tube_pressure_drop`.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> round(feed_line_loss(curve=Newtonian(10.0), flow_rate=1e-6, bore=10e-3, length=1.0))
    40744
    """
    return tube_pressure_drop(curve=curve, flow_rate=flow_rate, bore=bore, length=length)
