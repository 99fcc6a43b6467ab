"""What a moving head asks of the machine that carries it: the moment, and the guard's distance.

The distance is a first figure, not a certificate: ISO 13855:2010, approach at a right angle. The
2024 edition changed the supplements, so the edition must be named wherever the figure is shown,
and whoever builds the cell must check it.
"""

import numpy as np

from configurator.physics.domain import (
    STANDARD_GRAVITY,
    Floats,
    array,
    plain,
    require_between,
    require_not_negative,
    require_positive,
)

EDITION = "ISO 13855:2010"

FAST_APPROACH, SLOW_APPROACH = 2.0, 1.6
"""Hand and walking speed [m/s], ISO 13855:2010."""

FARTHEST_FAST = 0.5
"""Distance above which the slow speed may be used, and below which it may not lead [m]."""

COARSEST_CURTAIN = 0.04
"""Detection capability up to which the formula holds [m], ISO 13855:2010 (from memory)."""

LEAST_DISTANCE = 0.1
"""Least distance at a right angle [m], ISO 13855:2010 (from memory)."""


def light_curtain_distance(*, stopping_time: Floats, resolution: Floats) -> Floats:
    """Least distance of a vertical light curtain, approached at a right angle.

    Parameters
    ----------
    stopping_time : Floats
        Time from the interruption until everything stands, controls included. [s]
    resolution : Floats
        Detection capability d of the curtain, up to 0.04. [m]

    Returns
    -------
    distance : Floats
        ``K T + 8 (d - 14 mm)`` with K 2 m/s; if above 0.5 again with 1.6 m/s, but not below
        0.5. [m]

    Notes
    -----
    The supplement is not negative below 14 mm. Horizontal curtains, reaching over, and the
    pressure that is still in the line are not covered.

    Source: ISO 13855:2010 (form from memory).

    Examples
    --------
    >>> [round(1e3 * light_curtain_distance(stopping_time=time, resolution=size))
    ...  for time, size in ((0.2, 0.014), (0.32, 0.014), (0.2, 0.030))]
    [400, 512, 500]
    """
    require_positive(stopping_time=stopping_time, resolution=resolution)
    require_between(0.0, COARSEST_CURTAIN, resolution=resolution)
    supplement = 8.0 * np.maximum(array(resolution) - 0.014, 0.0)
    fast = FAST_APPROACH * array(stopping_time) + supplement
    slow = np.maximum(SLOW_APPROACH * array(stopping_time) + supplement, FARTHEST_FAST)
    return plain(np.maximum(np.where(fast > FARTHEST_FAST, slow, fast), LEAST_DISTANCE))


def moment(*, mass: Floats, distance: Floats) -> Floats:
    """Return the static moment of a mass about the flange.

    Parameters
    ----------
    mass : Floats
        Filled mass. [kg]
    distance : Floats
        Of the centre of mass from the axis of the flange. [m]

    Returns
    -------
    moment : Floats
        ``m g r``; accelerations come on top. [N*m]

    Notes
    -----
    Source: statics.

    Examples
    --------
    >>> round(moment(mass=3.0, distance=0.1), 4)
    2.942
    """
    require_not_negative(mass=mass, distance=distance)
    return plain(array(mass) * STANDARD_GRAVITY * array(distance))
