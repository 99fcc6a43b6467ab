"""What is laid down: dots, beads, corners of a bead, and the rise of a potting."""

import numpy as np

from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_inside,
    require_not_negative,
    require_positive,
)


def dot_volume(*, diameter: Floats, height: Floats) -> Floats:
    """Volume of a dot in the shape of a spherical cap.

    Parameters
    ----------
    diameter : Floats
        Diameter of the footprint. [m]
    height : Floats
        Height above the part. [m]

    Returns
    -------
    volume : Floats
        ``pi h (3 a^2 + h^2) / 6`` with a half the diameter. [m^3]

    Notes
    -----
    Holds while surface tension rounds the dot; a stiff paste keeps a peak.

    Source: geometry of the spherical cap.

    Examples
    --------
    >>> round(dot_volume(diameter=1e-3, height=0.25e-3) * 1e9, 5)
    0.10636
    """
    require_positive(diameter=diameter, height=height)
    base, rise = 0.5 * array(diameter), array(height)
    return plain(np.pi * rise * (3.0 * base**2 + rise**2) / 6.0)


def dot_height(*, diameter: Floats, contact_angle: Floats) -> Floats:
    """Height of a dot from its contact angle.

    Parameters
    ----------
    diameter : Floats
        Diameter of the footprint. [m]
    contact_angle : Floats
        Angle between part and surface of the dot, through the material. [rad]

    Returns
    -------
    height : Floats
        ``a tan(theta / 2)``. [m]

    Notes
    -----
    Source: geometry of the spherical cap.

    Examples
    --------
    >>> from math import radians
    >>> round(dot_height(diameter=1e-3, contact_angle=radians(45.0)) * 1e3, 5)
    0.20711
    """
    require_positive(diameter=diameter)
    require_inside(0.0, np.pi, contact_angle=contact_angle)
    return plain(0.5 * array(diameter) * np.tan(0.5 * array(contact_angle)))


def dot_diameter(*, volume: Floats, contact_angle: Floats) -> Floats:
    """Diameter of a dot from its volume and contact angle.

    Parameters
    ----------
    volume : Floats
        Volume laid down. [m^3]
    contact_angle : Floats
        Angle between part and surface of the dot, through the material. [rad]

    Returns
    -------
    diameter : Floats
        ``2 (6 V / (pi t (3 + t^2)))^(1/3)`` with ``t = tan(theta / 2)``; above 90 degrees that of
        the footprint, and not the widest place. [m]

    Notes
    -----
    Holds while surface tension rounds the dot; a stiff paste keeps a peak.

    Source: geometry of the spherical cap.

    Examples
    --------
    >>> from math import radians
    >>> round(dot_diameter(volume=0.261799e-9, contact_angle=radians(90.0)) * 1e3, 5)
    1.0
    """
    require_positive(volume=volume)
    require_inside(0.0, np.pi, contact_angle=contact_angle)
    rise = np.tan(0.5 * array(contact_angle))
    return plain(2.0 * np.cbrt(6.0 * array(volume) / (np.pi * rise * (3.0 + rise**2))))


def mouth_speed(*, flow_rate: Floats, bore: Floats) -> Floats:
    """Mean speed at which material leaves a tip.

    Parameters
    ----------
    flow_rate : Floats
        Volume flow. [m^3/s]
    bore : Floats
        Bore of the mouth. [m]

    Returns
    -------
    speed : Floats
        ``4 Q / (pi D^2)``. [m/s]

    Notes
    -----
    Source: continuity.

    Examples
    --------
    >>> round(mouth_speed(flow_rate=1e-6, bore=2e-3), 5)
    0.31831
    """
    require_not_negative(flow_rate=flow_rate)
    require_positive(bore=bore)
    return plain(4.0 * array(flow_rate) / (np.pi * array(bore) ** 2))


def bead_area(*, width: Floats, contact_angle: Floats) -> Floats:
    """Cross-section of a bead in the shape of a circular segment.

    Parameters
    ----------
    width : Floats
        Width of the footprint. [m]
    contact_angle : Floats
        Angle between part and surface of the bead, through the material. [rad]

    Returns
    -------
    area : Floats
        ``w^2 (2 theta - sin 2 theta) / (8 sin^2 theta)``. [m^2]

    Notes
    -----
    Source: geometry of the circular segment.

    Examples
    --------
    >>> from math import radians
    >>> round(bead_area(width=1e-3, contact_angle=radians(60.0)) * 1e6, 5)
    0.20473
    """
    require_positive(width=width)
    require_inside(0.0, np.pi, contact_angle=contact_angle)
    angle = array(contact_angle)
    segment = 2.0 * angle - np.sin(2.0 * angle)
    return plain(array(width) ** 2 * segment / (8.0 * np.sin(angle) ** 2))


def bead_contact_angle(*, width: Floats, height: Floats) -> Floats:
    """Contact angle of a bead or dot from its width and height.

    Parameters
    ----------
    width : Floats
        Width or diameter of the footprint. [m]
    height : Floats
        Height above the part. [m]

    Returns
    -------
    angle : Floats
        ``2 atan(2 h / w)``. [rad]

    Notes
    -----
    Source: geometry of the circular segment.

    Examples
    --------
    >>> from math import degrees
    >>> round(degrees(bead_contact_angle(width=2e-3, height=1e-3)), 9)
    90.0
    """
    require_positive(width=width, height=height)
    return plain(2.0 * np.arctan(2.0 * array(height) / array(width)))


def corner_speed(*, acceleration: Floats, radius: Floats) -> Floats:
    """Speed at which a path axis can go round a corner.

    Parameters
    ----------
    acceleration : Floats
        Acceleration that the axes can hold. [m/s^2]
    radius : Floats
        Radius of the corner. [m]

    Returns
    -------
    speed : Floats
        ``sqrt(a r)``. [m/s]

    Notes
    -----
    Source: centripetal acceleration, textbook.

    Examples
    --------
    >>> corner_speed(acceleration=5.0, radius=2e-3)
    0.1
    """
    require_positive(acceleration=acceleration)
    require_not_negative(radius=radius)
    return plain(np.sqrt(array(acceleration) * array(radius)))
