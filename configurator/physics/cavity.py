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
