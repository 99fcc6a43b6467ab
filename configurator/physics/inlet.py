"""Geometry of a progressing cavity, and getting the material into it.

A cavity that opens faster than it fills runs on voids. The figures are estimates by the tube
analogy; they say when a feed is clearly enough or clearly not.
"""

import numpy as np

from configurator.physics.domain import Floats, array, plain, require_not_negative, require_positive
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.tube_flow import tube_pressure_drop


def flow_area(*, eccentricity: Floats, rotor_diameter: Floats) -> Floats:
    """Free cross-section between rotor and stator, constant over the turn.

    Parameters
    ----------
    eccentricity : Floats
        Distance of the rotor axis from the stator axis. [m]
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]

    Returns
    -------
    area : Floats
        ``4 e D``: stadium minus circle. [m^2]

    Notes
    -----
    The area is constant, so ideal flow does not pulsate.

    Source: Moineau geometry, terms as in ISO 15136-1 (from memory).

    Examples
    --------
    >>> flow_area(eccentricity=1e-3, rotor_diameter=5e-3)
    2e-05
    """
    require_positive(eccentricity=eccentricity, rotor_diameter=rotor_diameter)
    return plain(4.0 * array(eccentricity) * array(rotor_diameter))


def hydraulic_diameter(*, eccentricity: Floats, rotor_diameter: Floats) -> Floats:
    """Hydraulic diameter of the free cross-section, 4 times area over wetted perimeter.

    Parameters
    ----------
    eccentricity : Floats
        Distance of the rotor axis from the stator axis. [m]
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]

    Returns
    -------
    diameter : Floats
        With the perimeter ``2 pi D + 8 e``. [m]

    Notes
    -----
    Source: geometry.

    Examples
    --------
    >>> round(hydraulic_diameter(eccentricity=1e-3, rotor_diameter=5e-3) * 1e3, 4)
    2.0296
    """
    area = array(flow_area(eccentricity=eccentricity, rotor_diameter=rotor_diameter))
    perimeter = 2.0 * np.pi * array(rotor_diameter) + 8.0 * array(eccentricity)
    return plain(4.0 * area / perimeter)


def axial_speed(*, stator_pitch: Floats, speed: Floats) -> Floats:
    """Speed at which the cavities travel along the stator.

    Parameters
    ----------
    stator_pitch : Floats
        Length of one stage. [m]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    velocity : Floats
        One pitch a revolution. [m/s]

    Notes
    -----
    Source: Moineau geometry (from memory).

    Examples
    --------
    >>> axial_speed(stator_pitch=0.02, speed=2.0)
    0.04
    """
    require_positive(stator_pitch=stator_pitch)
    require_not_negative(speed=speed)
    return plain(array(stator_pitch) * array(speed))


def rubbing_speed_max(*, eccentricity: Floats, rotor_diameter: Floats, speed: Floats) -> Floats:
    """Largest sliding speed of the rotor on the stator, met in the middle of the flats.

    Parameters
    ----------
    eccentricity : Floats
        Distance of the rotor axis from the stator axis. [m]
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    velocity : Floats
        ``pi n (D + 4 e)``. [m/s]

    Notes
    -----
    Source: rotor motion, differentiated (own derivation; the tests do it numerically).

    Examples
    --------
    >>> round(rubbing_speed_max(eccentricity=1e-3, rotor_diameter=5e-3, speed=1.0) * 1e3, 2)
    28.27
    """
    require_positive(eccentricity=eccentricity, rotor_diameter=rotor_diameter)
    require_not_negative(speed=speed)
    return plain(np.pi * array(speed) * (array(rotor_diameter) + 4.0 * array(eccentricity)))


def cavity_shear_rate(
    *, eccentricity: Floats, rotor_diameter: Floats, stator_pitch: Floats, speed: Floats
) -> Floats:
    """Shear rate that stands for the inside of a cavity.

    Parameters
    ----------
    eccentricity : Floats
        Distance of the rotor axis from the stator axis. [m]
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]
    stator_pitch : Floats
        Length of one stage. [m]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    rate : Floats
        ``8 u / Dh``, the wall rate of a tube of the same hydraulic diameter. [1/s]

    Notes
    -----
    An order of magnitude, not a profile.

    Source: tube analogy, common practice, no source.

    Examples
    --------
    >>> round(cavity_shear_rate(
    ...     eccentricity=1e-3, rotor_diameter=5e-3, stator_pitch=20e-3, speed=1.0), 1)
    78.8
    """
    diameter = hydraulic_diameter(eccentricity=eccentricity, rotor_diameter=rotor_diameter)
    velocity = axial_speed(stator_pitch=stator_pitch, speed=speed)
    return plain(8.0 * array(velocity) / array(diameter))


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
