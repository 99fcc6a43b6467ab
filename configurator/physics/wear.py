"""How long a rotor and stator last: a decade band, never a figure.

The constants are invented until they are fitted on weighings of a workshop: they put materials,
speeds and pressures in an order, and the band says how little more they know. Wear shows as a
rising slip (Delpassand 1997, SPE 37455, seen as abstract).
"""

import numpy as np

from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_between,
    require_not_negative,
    require_positive,
)

REFERENCE_REVOLUTIONS = 2e7
"""Revolutions to 10 % slip with a clean material at reference load [-] (invented)."""

REFERENCE_STAGE_PRESSURE = 4e5
"""Pressure per stage up to which pressure costs no life [Pa] (invented)."""

CLOSEST_PACKING = 0.75
"""Volume fraction of filler at which the model leaves no life [-] (invented)."""


def filler_factor(*, mohs_hardness: Floats) -> Floats:
    """Life with a filler over life with a clean material, by the hardness of the grains.

    Parameters
    ----------
    mohs_hardness : Floats
        Hardness of the filler on Mohs' scale, 0 to 10. [-]

    Returns
    -------
    factor : Floats
        0.6 to 3, 0.3 to 6, 0.12 below 8, 0.04 from there. [-]

    Notes
    -----
    Angular grains wear 3 to 10 times more than round ones (from memory): beyond this factor.

    Source: invented, to be fitted on weighings.

    Examples
    --------
    >>> filler_factor(mohs_hardness=9.0)
    0.04
    """
    require_between(0.0, 10.0, mohs_hardness=mohs_hardness)
    hard = array(mohs_hardness)
    factor = np.select(
        [np.isnan(hard), hard <= 3.0, hard <= 6.0, hard < 8.0], [np.nan, 0.6, 0.3, 0.12], 0.04
    )
    return plain(array(factor))


def life_revolutions(
    *,
    filler_factor: Floats,
    filler_fraction: Floats,
    rubbing_speed: Floats,
    rubbing_limit: Floats,
    pressure_per_stage: Floats,
    rotor_factor: Floats,
) -> Floats:
    """Middle of the band of revolutions until the slip has grown by a tenth of the flow.

    Parameters
    ----------
    filler_factor : Floats
        1 without filler, otherwise from `filler_factor`. [-]
    filler_fraction : Floats
        Volume fraction of the filler. [-]
    rubbing_speed : Floats
        Largest rubbing speed in operation. [m/s]
    rubbing_limit : Floats
        Rubbing speed the material allows for, catalog data. [m/s]
    pressure_per_stage : Floats
        Pressure difference over one stage. [Pa]
    rotor_factor : Floats
        1 for the reference rotor surface, catalog data. [-]

    Returns
    -------
    revolutions : Floats
        Middle of the decade of `decade_band`. [-]

    Notes
    -----
    Source: invented, to be fitted on weighings.

    Examples
    --------
    >>> middle = life_revolutions(
    ...     filler_factor=0.3, filler_fraction=0.3, rubbing_speed=0.1, rubbing_limit=0.2,
    ...     pressure_per_stage=8e5, rotor_factor=1.0)
    >>> round(middle)
    900000
    """
    require_positive(
        filler_factor=filler_factor, rubbing_limit=rubbing_limit, rotor_factor=rotor_factor
    )
    require_between(0.0, CLOSEST_PACKING, filler_fraction=filler_fraction)
    require_not_negative(rubbing_speed=rubbing_speed, pressure_per_stage=pressure_per_stage)
    with np.errstate(divide="ignore"):
        slow = np.minimum(array(rubbing_limit) / array(rubbing_speed), 1.0)
        light = np.minimum(REFERENCE_STAGE_PRESSURE / array(pressure_per_stage), 1.0)
    loose = 1.0 - array(filler_fraction) / CLOSEST_PACKING
    surface = array(filler_factor) * array(rotor_factor)
    return plain(REFERENCE_REVOLUTIONS * surface * loose * slow * light**2)


def decade_band(*, middle: Floats) -> tuple[Floats, Floats]:
    """Return the ends of a band one decade wide, the least that can be claimed.

    Parameters
    ----------
    middle : Floats
        Middle of the band. [-]

    Returns
    -------
    band : tuple
        Middle divided and multiplied by the root of ten. [-]

    Notes
    -----
    Source: own judgement of what the constants are worth.

    Examples
    --------
    >>> [round(end) for end in decade_band(middle=1000.0)]
    [316, 3162]
    """
    require_not_negative(middle=middle)
    half = np.sqrt(10.0)
    return plain(array(middle) / half), plain(array(middle) * half)


def life_hours(*, revolutions: Floats, speed: Floats) -> Floats:
    """Convert a number of revolutions to running hours.

    Parameters
    ----------
    revolutions : Floats
        Number of revolutions. [-]
    speed : Floats
        Mean speed while running. [1/s]

    Returns
    -------
    time : Floats
        Running time; standing does not count. [h]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> life_hours(revolutions=36000.0, speed=1.0)
    10.0
    """
    require_not_negative(revolutions=revolutions)
    require_positive(speed=speed)
    return plain(array(revolutions) / array(speed) / 3600.0)
