"""Getting the material into the cavity: what filling needs, what the feed can give.

A cavity that opens faster than it fills runs on voids. The figures are estimates by the tube
analogy; they say when a feed is clearly enough or clearly not.
"""

import numpy as np

from configurator.physics.cavity import axial_speed
from configurator.physics.domain import (
    STANDARD_GRAVITY,
    Floats,
    array,
    plain,
    require_finite,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.tube_flow import tube_pressure_drop

STANDARD_ATMOSPHERE = 101325.0
"""Standard atmosphere [Pa], exact by convention."""


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


def filling_speed_limit(
    *,
    curve: FlowCurve,
    hydraulic_diameter: Floats,
    stator_pitch: Floats,
    available_pressure: Floats,
) -> Floats:
    """Highest speed at which the cavity still fills.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the inlet. [curve]
    hydraulic_diameter : Floats
        Of the free cross-section of the cavity. [m]
    stator_pitch : Floats
        Length of one stage. [m]
    available_pressure : Floats
        Absolute pressure at the inlet above the vapour pressure; nothing fills below 0. [Pa]

    Returns
    -------
    speed : Floats
        Revolutions per second, 0 where the pressure does not even start the flow. [1/s]

    Notes
    -----
    Source: inverse of `filling_pressure`.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> round(filling_speed_limit(curve=Newtonian(10.0), hydraulic_diameter=2.029638e-3,
    ...                           stator_pitch=20e-3, available_pressure=80e3), 3)
    2.575
    """
    require_positive(hydraulic_diameter=hydraulic_diameter, stator_pitch=stator_pitch)
    require_finite(available_pressure=available_pressure)
    bore, pitch = array(hydraulic_diameter), array(stator_pitch)
    pressure = np.maximum(array(available_pressure), 0.0)
    rate = array(curve.rate(plain(pressure * bore / (4.0 * pitch))))
    return plain(rate * bore / (8.0 * pitch))


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


def available_pressure(
    *,
    feed_pressure: Floats,
    line_loss: Floats,
    vapour_pressure: Floats,
    density: Floats,
    head_height: Floats,
    atmosphere: Floats = STANDARD_ATMOSPHERE,
) -> Floats:
    """Pressure at the inlet that is there to fill the cavity.

    Parameters
    ----------
    feed_pressure : Floats
        Gauge pressure on the material at its source; 0 for an open hopper. [Pa]
    line_loss : Floats
        Loss of the feed line at the flow. [Pa]
    vapour_pressure : Floats
        Absolute vapour pressure of the material or of its solvent. [Pa]
    density : Floats
        Density. [kg/m^3]
    head_height : Floats
        Height of the source above the inlet, negative if below. [m]
    atmosphere : Floats
        Ambient pressure; 0 leaves suction out. [Pa]

    Returns
    -------
    pressure : Floats
        Feed plus atmosphere plus height minus vapour pressure minus loss; negative means
        that it cannot fill. [Pa]

    Notes
    -----
    Source: net positive suction head, textbook.

    Examples
    --------
    >>> round(available_pressure(feed_pressure=0.0, line_loss=20e3, vapour_pressure=0.0,
    ...                          density=1000.0, head_height=0.0))
    81325
    """
    require_not_negative(
        line_loss=line_loss,
        vapour_pressure=vapour_pressure,
        feed_pressure=feed_pressure,
        atmosphere=atmosphere,
    )
    require_positive(density=density)
    require_finite(head_height=head_height)
    column = array(density) * STANDARD_GRAVITY * array(head_height)
    given = array(feed_pressure) + array(atmosphere) + column
    return plain(given - array(vapour_pressure) - array(line_loss))
