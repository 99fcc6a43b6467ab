"""Geometry of a progressing cavity: a single-lobe rotor turning in a double-lobe stator.

Three lengths fix the displacement: eccentricity, rotor diameter, stator pitch. One stage is one
stator pitch. How many stages a part has is catalog data (catalogs count differently), so the
number derived here is for a check only.
"""

import numpy as np

from configurator.physics.domain import Floats, array, plain, require_not_negative, require_positive


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


def displacement(*, eccentricity: Floats, rotor_diameter: Floats, stator_pitch: Floats) -> Floats:
    """Volume moved by one revolution of the rotor, without slip.

    Parameters
    ----------
    eccentricity : Floats
        Distance of the rotor axis from the stator axis. [m]
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]
    stator_pitch : Floats
        Length of one stage. [m]

    Returns
    -------
    volume : Floats
        ``4 e D Ps`` per revolution. [m^3]

    Notes
    -----
    Source: Moineau geometry (from memory); that these three lengths decide is stated in Plant
    Engineering, October 2000.

    Examples
    --------
    >>> round(displacement(
    ...     eccentricity=1e-3, rotor_diameter=5e-3, stator_pitch=20e-3) * 1e6, 12)
    0.4
    """
    require_positive(stator_pitch=stator_pitch)
    area = flow_area(eccentricity=eccentricity, rotor_diameter=rotor_diameter)
    return plain(array(area) * array(stator_pitch))


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


def ideal_flow(*, displacement: Floats, speed: Floats) -> Floats:
    """Flow without slip.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution. [m^3]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    flow_rate : Floats
        Displacement times speed. [m^3/s]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> ideal_flow(displacement=0.5e-6, speed=2.0)
    1e-06
    """
    require_positive(displacement=displacement)
    require_not_negative(speed=speed)
    return plain(array(displacement) * array(speed))


def speed_for_flow(*, displacement: Floats, flow_rate: Floats, leakage: Floats) -> Floats:
    """Rotor speed that delivers a flow against a known leakage.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution. [m^3]
    flow_rate : Floats
        Flow wanted at the outlet. [m^3/s]
    leakage : Floats
        Slip back to the inlet at that speed and pressure. [m^3/s]

    Returns
    -------
    speed : Floats
        Revolutions per second. [1/s]

    Notes
    -----
    Source: volume balance.

    Examples
    --------
    >>> speed_for_flow(displacement=0.5e-6, flow_rate=0.9e-6, leakage=0.1e-6)
    2.0
    """
    require_positive(displacement=displacement)
    require_not_negative(flow_rate=flow_rate, leakage=leakage)
    return plain((array(flow_rate) + array(leakage)) / array(displacement))


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


def rubbing_speed_min(*, rotor_diameter: Floats, speed: Floats) -> Floats:
    """Smallest sliding speed of the rotor on the stator, met in the round ends.

    Parameters
    ----------
    rotor_diameter : Floats
        Diameter of the circular rotor section. [m]
    speed : Floats
        Rotor speed in revolutions. [1/s]

    Returns
    -------
    velocity : Floats
        ``pi n D``. [m/s]

    Notes
    -----
    Source: rotor motion, differentiated (own derivation).

    Examples
    --------
    >>> round(rubbing_speed_min(rotor_diameter=5e-3, speed=1.0) * 1e3, 2)
    15.71
    """
    require_positive(rotor_diameter=rotor_diameter)
    require_not_negative(speed=speed)
    return plain(np.pi * array(speed) * array(rotor_diameter))


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


def stages_of_length(*, stator_length: Floats, stator_pitch: Floats) -> Floats:
    """Count the stages in a stator of a given length.

    Parameters
    ----------
    stator_length : Floats
        Length of the stator along the axis. [m]
    stator_pitch : Floats
        Length of one stage. [m]

    Returns
    -------
    stages : Floats
        Length over pitch, not rounded. [-]

    Notes
    -----
    For checking catalog data, which state the number themselves.

    Source: definition of a stage as one stator pitch (from memory).

    Examples
    --------
    >>> stages_of_length(stator_length=0.04, stator_pitch=0.02)
    2.0
    """
    require_positive(stator_length=stator_length, stator_pitch=stator_pitch)
    return plain(array(stator_length) / array(stator_pitch))


def closed_cavities(*, stator_length: Floats, stator_pitch: Floats) -> Floats:
    """Count the cavities that are closed at both ends at once.

    Parameters
    ----------
    stator_length : Floats
        Length of the stator along the axis. [m]
    stator_pitch : Floats
        Length of one stage. [m]

    Returns
    -------
    cavities : Floats
        ``2 L / Ps - 1``. [-]

    Notes
    -----
    Source: Moineau geometry (from memory).

    Examples
    --------
    >>> closed_cavities(stator_length=0.04, stator_pitch=0.02)
    3.0
    """
    stages = stages_of_length(stator_length=stator_length, stator_pitch=stator_pitch)
    return plain(2.0 * array(stages) - 1.0)
