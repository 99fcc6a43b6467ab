"""Mixing two components: static tubes by their elements, driven chambers by their volume.

The relation for static tubes holds for laminar flow of components of similar viscosity. Above a
viscosity ratio of 10:1 to 100:1 more is needed than it says. A chamber takes new components in and
gives mixed material out with each shot, as much as the shot holds; how old its content gets is a
matter of how many shots make one filling.
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


def unmixed_variation(*, share: Floats) -> Floats:
    """Coefficient of variation before any mixing.

    Parameters
    ----------
    share : Floats
        Volume share of the minor component. [-]

    Returns
    -------
    variation : Floats
        ``sqrt((1 - x) / x)``. [-]

    Notes
    -----
    Source: Handbook of Industrial Mixing 2004, as cited by `fluids.mixing`.

    Examples
    --------
    >>> unmixed_variation(share=0.2)
    2.0
    """
    require_inside(0.0, 1.0, share=share)
    return plain(np.sqrt((1.0 - array(share)) / array(share)))


def variation_after(
    *, share: Floats, variation_base: Floats, length_over_diameter: Floats
) -> Floats:
    """Coefficient of variation after a static mixer.

    Parameters
    ----------
    share : Floats
        Volume share of the minor component. [-]
    variation_base : Floats
        Constant Ki of the form, above 0 and below 1. [-]
    length_over_diameter : Floats
        Mixing length over bore. [-]

    Returns
    -------
    variation : Floats
        ``sqrt((1 - x)/x) Ki^(L/D)``. [-]

    Notes
    -----
    Source: Handbook of Industrial Mixing 2004, as cited by `fluids.mixing`.

    Examples
    --------
    >>> round(variation_after(share=0.5, variation_base=0.87, length_over_diameter=36.0), 7)
    0.006648
    """
    require_inside(0.0, 1.0, variation_base=variation_base)
    require_not_negative(length_over_diameter=length_over_diameter)
    start = array(unmixed_variation(share=share))
    return plain(start * np.power(array(variation_base), array(length_over_diameter)))


def tube_mixer_volume(*, bore: Floats, length: Floats, free_share: Floats = 1.0) -> Floats:
    """Free volume of a static mixer.

    Parameters
    ----------
    bore : Floats
        Inside diameter. [m]
    length : Floats
        Mixing length. [m]
    free_share : Floats
        Share of the tube not filled by elements, above 0 to 1. [-]

    Returns
    -------
    volume : Floats
        Volume that holds material. [m^3]

    Notes
    -----
    Source: geometry.

    Examples
    --------
    >>> round(tube_mixer_volume(bore=6e-3, length=180e-3) * 1e6, 4)
    5.0894
    """
    require_positive(bore=bore, length=length, free_share=free_share)
    if bool(np.any(array(free_share) > 1.0)):
        raise PhysicsDomainError("free_share must be at most 1")
    return plain(0.25 * np.pi * array(bore) ** 2 * array(length) * array(free_share))


def chamber_residence(*, chamber_volume: Floats, shot_volume: Floats, cycle_time: Floats) -> Floats:
    """Mean residence in a chamber that works shot by shot.

    Parameters
    ----------
    chamber_volume : Floats
        Stirred volume, 0 for none. [m^3]
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
    require_positive(shot_volume=shot_volume)
    require_not_negative(chamber_volume=chamber_volume, cycle_time=cycle_time)
    return plain(array(chamber_volume) * array(cycle_time) / array(shot_volume))


def oldest_at_tip(*, shots_held: Floats, cycle_time: Floats, shot_time: Floats) -> Floats:
    """Age of the oldest material that leaves a tube which is emptied shot by shot.

    Parameters
    ----------
    shots_held : Floats
        Volume of the tube in shots. [-]
    cycle_time : Floats
        Time from the start of a shot to the start of the next. [s]
    shot_time : Floats
        Time in which a shot is dispensed. [s]

    Returns
    -------
    time : Floats
        ``ceil(n) T - (ceil(n) - n) t_s``; the mean of a shot is ``n T``. [s]

    Notes
    -----
    Plug flow. Without a pause (``T = t_s``) it is that of a steady flow.

    Source: own derivation.

    Examples
    --------
    >>> oldest_at_tip(shots_held=2.5, cycle_time=60.0, shot_time=1.0)
    179.5
    """
    require_not_negative(shots_held=shots_held, cycle_time=cycle_time, shot_time=shot_time)
    whole = np.ceil(array(shots_held))
    pushed = (whole - array(shots_held)) * array(shot_time)
    return plain(whole * array(cycle_time) - pushed)


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


def gap_shear_rate(*, diameter: Floats, gap: Floats, speed: Floats) -> Floats:
    """Mean shear rate between a turning stirrer and the wall of its chamber.

    Parameters
    ----------
    diameter : Floats
        Bore of the chamber, positive. [m]
    gap : Floats
        Between stirrer and wall, positive. [m]
    speed : Floats
        Speed in revolutions. [1/s]

    Returns
    -------
    rate : Floats
        Speed of the stirrer's rim over the gap. [1/s]

    Notes
    -----
    Valid for a gap that is narrow against the bore.

    Source: Couette flow in a narrow gap, textbook.

    Examples
    --------
    >>> round(gap_shear_rate(diameter=8e-3, gap=0.4e-3, speed=10.0), 1)
    565.5
    """
    require_positive(diameter=diameter, gap=gap)
    require_not_negative(speed=speed)
    rim = np.pi * (array(diameter) - 2.0 * array(gap)) * array(speed)
    return plain(rim / array(gap))
