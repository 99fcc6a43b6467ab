"""A stirred mixing chamber: how it exchanges its content, how long and how hard it works.

Each shot pushes new components in and mixed material out, as much as the shot holds. How old the
content gets is a matter of how many shots make one filling of the chamber.
"""

import numpy as np

from configurator.physics.domain import (
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_inside,
    require_not_negative,
    require_positive,
)
from configurator.physics.root import root_between


def exchanged_share(*, volumes: Floats, tanks: int = 1) -> Floats:
    """Share of new material at the outlet after a change.

    Parameters
    ----------
    volumes : Floats
        Volume passed over volume of the chamber. [-]
    tanks : int
        Number of equal perfect stirrers in series that the chamber works like. [-]

    Returns
    -------
    share : Floats
        1 minus the washed-out rest. [-]

    Notes
    -----
    Source: tanks in series, textbook.

    Examples
    --------
    >>> round(exchanged_share(volumes=4.605, tanks=1), 3)
    0.99
    """
    require_not_negative(volumes=volumes)
    if tanks < 1:
        raise PhysicsDomainError("tanks must be 1 or more")
    through = tanks * array(volumes)
    term = np.exp(-through)
    rest = np.zeros_like(through)
    for number in range(tanks):
        rest = rest + term
        term = term * through / (number + 1)
    return plain(1.0 - rest)


def volumes_for_exchange(*, share: Floats, tanks: int = 1) -> Floats:
    """Volume to pass, in chamber volumes, until a share of the outlet is new.

    Parameters
    ----------
    share : Floats
        Share of new material wanted, between 0 and 1. [-]
    tanks : int
        Number of equal perfect stirrers in series. [-]

    Returns
    -------
    volumes : Floats
        Volume passed over volume of the chamber. [-]

    Notes
    -----
    Source: inverse of `exchanged_share`.

    Examples
    --------
    >>> [round(volumes_for_exchange(share=0.99, tanks=tanks), 3) for tanks in (1, 3, 10)]
    [4.605, 2.802, 1.878]
    """
    require_inside(0.0, 1.0, share=share)
    wanted = array(share)
    # One stirrer is the slowest for shares above its mean; 40 volumes exchange beyond 1 - 1e-16.
    low, high = np.zeros_like(wanted), np.full_like(wanted, 40.0)
    return plain(
        root_between(
            lambda passed: array(exchanged_share(volumes=passed, tanks=tanks)) - wanted, low, high
        )
    )


def refreshed_share(*, shot_volume: Floats, chamber_volume: Floats) -> Floats:
    """Share of a stirred chamber that one shot replaces.

    Parameters
    ----------
    shot_volume : Floats
        Volume of the shot. [m^3]
    chamber_volume : Floats
        Stirred volume. [m^3]

    Returns
    -------
    share : Floats
        ``1 - exp(-shot / chamber)``. [-]

    Notes
    -----
    Source: washing out of a perfect stirrer, textbook.

    Examples
    --------
    >>> round(refreshed_share(shot_volume=0.5e-6, chamber_volume=2e-6), 4)
    0.2212
    """
    require_not_negative(shot_volume=shot_volume)
    require_positive(chamber_volume=chamber_volume)
    return plain(-np.expm1(-array(shot_volume) / array(chamber_volume)))


def chamber_residence(*, chamber_volume: Floats, shot_volume: Floats, cycle_time: Floats) -> Floats:
    """Mean residence in a chamber that works shot by shot.

    Parameters
    ----------
    chamber_volume : Floats
        Stirred volume. [m^3]
    shot_volume : Floats
        Volume of one shot, positive. [m^3]
    cycle_time : Floats
        Time from shot to shot. [s]

    Returns
    -------
    time : Floats
        ``chamber / (shot / cycle)``. [s]

    Notes
    -----
    Source: volume balance.

    Examples
    --------
    >>> chamber_residence(chamber_volume=2e-6, shot_volume=0.5e-6, cycle_time=10.0)
    40.0
    """
    require_positive(chamber_volume=chamber_volume, shot_volume=shot_volume)
    require_not_negative(cycle_time=cycle_time)
    return plain(array(chamber_volume) * array(cycle_time) / array(shot_volume))


def mixing_strain(
    *, stirrer_diameter: Floats, stirrer_speed: Floats, gap: Floats, residence: Floats
) -> Floats:
    """Shear strain that a stirrer puts into the material while it is inside.

    Parameters
    ----------
    stirrer_diameter : Floats
        Diameter of the stirrer. [m]
    stirrer_speed : Floats
        Speed in revolutions. [1/s]
    gap : Floats
        Gap between stirrer and wall. [m]
    residence : Floats
        Stirred residence time. [s]

    Returns
    -------
    strain : Floats
        ``pi D n / gap * tau``. [-]

    Notes
    -----
    Source: Couette gap, textbook.

    Examples
    --------
    >>> round(mixing_strain(stirrer_diameter=20e-3, stirrer_speed=5.0, gap=1e-3, residence=4.0), 1)
    1256.6
    """
    require_positive(stirrer_diameter=stirrer_diameter, gap=gap)
    require_not_negative(stirrer_speed=stirrer_speed, residence=residence)
    rate = np.pi * array(stirrer_diameter) * array(stirrer_speed) / array(gap)
    return plain(rate * array(residence))


def mixing_turns(*, stirrer_speed: Floats, residence: Floats) -> Floats:
    """Count the turns that a stirrer makes while the material is inside.

    Parameters
    ----------
    stirrer_speed : Floats
        Speed in revolutions. [1/s]
    residence : Floats
        Stirred residence time. [s]

    Returns
    -------
    turns : Floats
        Speed times time. [-]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> mixing_turns(stirrer_speed=5.0, residence=4.0)
    20.0
    """
    require_not_negative(stirrer_speed=stirrer_speed, residence=residence)
    return plain(array(stirrer_speed) * array(residence))
