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


def bead_flow(*, area: Floats, path_speed: Floats) -> Floats:
    """Flow that a bead needs at a path speed.

    Parameters
    ----------
    area : Floats
        Cross-section of the bead. [m^2]
    path_speed : Floats
        Speed of the tip along the path. [m/s]

    Returns
    -------
    flow_rate : Floats
        Area times speed. [m^3/s]

    Notes
    -----
    A bead is uniform only while the flow follows the path speed.

    Source: volume balance.

    Examples
    --------
    >>> from math import radians
    >>> area = bead_area(width=2e-3, contact_angle=radians(45.0))
    >>> round(bead_flow(area=area, path_speed=50e-3) * 1e9, 2)
    28.54
    """
    require_positive(area=area)
    require_not_negative(path_speed=path_speed)
    return plain(array(area) * array(path_speed))


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


def corner_turndown(*, path_speed: Floats, corner_speed: Floats) -> Floats:
    """Ratio by which the flow must fall in the corner to keep the bead uniform.

    Parameters
    ----------
    path_speed : Floats
        Speed on the straight. [m/s]
    corner_speed : Floats
        Speed in the corner, positive. [m/s]

    Returns
    -------
    turndown : Floats
        Straight over corner speed, at least 1. [-]

    Notes
    -----
    Source: flow follows speed.

    Examples
    --------
    >>> round(corner_turndown(path_speed=0.3, corner_speed=0.1), 12)
    3.0
    """
    require_positive(path_speed=path_speed, corner_speed=corner_speed)
    return plain(np.maximum(array(path_speed) / array(corner_speed), 1.0))


def potting_rise(*, flow_rate: Floats, free_area: Floats) -> Floats:
    """Speed at which the level rises in a cavity that is poured full.

    Parameters
    ----------
    flow_rate : Floats
        Volume flow. [m^3/s]
    free_area : Floats
        Area of the cavity that is not taken by parts. [m^2]

    Returns
    -------
    speed : Floats
        Rise of the level. [m/s]

    Notes
    -----
    The free area is taken as the same at every height. What the air needs to get away is no part
    of it: the process states the fastest rise.

    Source: volume balance.

    Examples
    --------
    >>> potting_rise(flow_rate=2e-6, free_area=20e-4)
    0.001
    """
    require_not_negative(flow_rate=flow_rate)
    require_positive(free_area=free_area)
    return plain(array(flow_rate) / array(free_area))
