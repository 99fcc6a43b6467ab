"""How a reacting material thickens: pot life, residence, and what stands too long.

Pot life here is the time in which the viscosity doubles. Data sheets use other definitions
(a multiple of four, a time to gel, a temperature peak of a given mass): convert before use.
"""

import numpy as np

from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)


def thickening(*, elapsed: Floats, pot_life: Floats) -> Floats:
    """Viscosity after a time over the viscosity when mixed.

    Parameters
    ----------
    elapsed : Floats
        Time since mixing. [s]
    pot_life : Floats
        Time in which the viscosity doubles. [s]

    Returns
    -------
    factor : Floats
        ``2^(t / t_pot)``. [-]

    Notes
    -----
    Good up to a few doublings, long before gel; exothermic masses run faster.

    Source: exponential chemorheology, textbook form (from memory).

    Examples
    --------
    >>> round(thickening(elapsed=600.0, pot_life=1800.0), 5)
    1.25992
    """
    require_not_negative(elapsed=elapsed)
    require_positive(pot_life=pot_life)
    return plain(np.exp2(array(elapsed) / array(pot_life)))


def time_to_thicken(*, factor: Floats, pot_life: Floats) -> Floats:
    """Time in which a mix gets thicker by a factor.

    Parameters
    ----------
    factor : Floats
        Viscosity allowed over viscosity now, positive. [-]
    pot_life : Floats
        Time in which the viscosity doubles. [s]

    Returns
    -------
    time : Floats
        ``t_pot log2(factor)``; 0 where it is too thick already. [s]

    Notes
    -----
    Source: inverse of `thickening`.

    Examples
    --------
    >>> time_to_thicken(factor=4.0, pot_life=600.0)
    1200.0
    """
    require_positive(factor=factor, pot_life=pot_life)
    return plain(np.maximum(array(pot_life) * np.log2(array(factor)), 0.0))


def mean_thickening(*, residence: Floats, pot_life: Floats) -> Floats:
    """Mean of the thickening over a mixer that the material passes in the residence time.

    Parameters
    ----------
    residence : Floats
        Residence time; 0 gives 1. [s]
    pot_life : Floats
        Time in which the viscosity doubles. [s]

    Returns
    -------
    factor : Floats
        ``(exp(k t) - 1)/(k t)`` with ``k = ln 2 / t_pot``. [-]

    Notes
    -----
    Plug flow.

    Source: mean of an exponential.

    Examples
    --------
    >>> round(mean_thickening(residence=1800.0, pot_life=1800.0), 4)
    1.4427
    """
    require_not_negative(residence=residence)
    require_positive(pot_life=pot_life)
    growth = np.log(2.0) * array(residence) / array(pot_life)
    fresh = growth == 0.0
    with np.errstate(over="ignore"):  # hundreds of pot lives: solid, which no limit passes
        grown = np.expm1(growth)
    return plain(np.where(fresh, 1.0, grown / np.where(fresh, 1.0, growth)))


def pot_life_at(
    *,
    pot_life: Floats,
    temperature: Floats,
    reference_temperature: Floats,
    factor: Floats = 2.0,
) -> Floats:
    """Pot life at another temperature.

    Parameters
    ----------
    pot_life : Floats
        Pot life at the reference temperature. [s]
    temperature : Floats
        Temperature wanted, absolute. [K]
    reference_temperature : Floats
        Temperature of the stated pot life, absolute. [K]
    factor : Floats
        How many times as short it is 10 K warmer. [-]

    Returns
    -------
    pot_life : Floats
        ``t_p f^((T_ref - T)/10 K)``. [s]

    Notes
    -----
    A factor of 1.5 to 2.5 is met: ask for both ends.

    Source: rule of thumb, common practice, no source.

    Examples
    --------
    >>> pot_life_at(pot_life=1800.0, temperature=308.15, reference_temperature=298.15)
    900.0
    """
    require_positive(
        pot_life=pot_life,
        temperature=temperature,
        reference_temperature=reference_temperature,
        factor=factor,
    )
    warmer = array(temperature) - array(reference_temperature)
    return plain(array(pot_life) * np.power(array(factor), -warmer / 10.0))


def share_older_stirred(*, age: Floats, mean_residence: Floats) -> Floats:
    """Share of the outflow of one stirred chamber that is older than an age.

    Parameters
    ----------
    age : Floats
        Age, for example the pot life. [s]
    mean_residence : Floats
        Mean residence time. [s]

    Returns
    -------
    share : Floats
        ``exp(-age / mean)``. [-]

    Notes
    -----
    Source: residence time of a perfect stirrer, textbook.

    Examples
    --------
    >>> f"{share_older_stirred(age=300.0, mean_residence=40.0):.2e}"
    '5.53e-04'
    """
    require_not_negative(age=age)
    require_positive(mean_residence=mean_residence)
    return plain(np.exp(-array(age) / array(mean_residence)))
