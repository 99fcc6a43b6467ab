"""Volume stored under pressure between rotor and tip, and how long it takes to come out.

A metering head is exact at the rotor. What lies between rotor and tip gives under pressure: the
liquid a little, the wall of a hose more, trapped air most of all. It comes back as lag at the start
of a bead and as ooze after its end.
"""

import numpy as np

from configurator.physics.domain import (
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_between,
    require_not_negative,
    require_positive,
)


def liquid_compliance(*, volume: Floats, bulk_modulus: Floats) -> Floats:
    """Volume per pressure that the liquid itself stores.

    Parameters
    ----------
    volume : Floats
        Liquid between rotor and tip. [m^3]
    bulk_modulus : Floats
        Bulk modulus of the material. [Pa]

    Returns
    -------
    compliance : Floats
        ``volume / modulus``. [m^3/Pa]

    Notes
    -----
    Source: definition of the bulk modulus.

    Examples
    --------
    >>> round(liquid_compliance(volume=5e-6, bulk_modulus=1.5e9) * 2e6 * 1e9, 3)
    6.667
    """
    require_not_negative(volume=volume)
    require_positive(bulk_modulus=bulk_modulus)
    return plain(array(volume) / array(bulk_modulus))


def wall_compliance(
    *, inner_radius: Floats, outer_radius: Floats, elastic_modulus: Floats, poisson_ratio: Floats
) -> Floats:
    """Relative volume per pressure that the wall of a line gives.

    Parameters
    ----------
    inner_radius : Floats
        Inside radius. [m]
    outer_radius : Floats
        Outside radius, larger. [m]
    elastic_modulus : Floats
        Elastic modulus of the wall. [Pa]
    poisson_ratio : Floats
        Poisson ratio of the wall, 0 to 0.5. [-]

    Returns
    -------
    compliance : Floats
        ``2/E ((ro^2 + ri^2)/(ro^2 - ri^2) + nu)``; times the volume inside. [1/Pa]

    Notes
    -----
    Thick-walled tube free to lengthen without end load; a reinforced hose is stiffer.

    Source: Lame's thick cylinder, textbook (from memory).

    Examples
    --------
    >>> round(wall_compliance(inner_radius=2e-3, outer_radius=3e-3, elastic_modulus=2e9,
    ...                       poisson_ratio=0.4) * 1e9, 9)
    3.0
    """
    require_positive(
        inner_radius=inner_radius, outer_radius=outer_radius, elastic_modulus=elastic_modulus
    )
    require_between(0.0, 0.5, poisson_ratio=poisson_ratio)
    inner, outer = array(inner_radius) ** 2, array(outer_radius) ** 2
    if bool(np.any(outer <= inner)):
        raise PhysicsDomainError("outer_radius must be larger than inner_radius")
    shape = (outer + inner) / (outer - inner) + array(poisson_ratio)
    return plain(2.0 / array(elastic_modulus) * shape)


def trapped_air_volume(
    *, volume: Floats, air_share: Floats, pressure_low: Floats, pressure_high: Floats
) -> Floats:
    """Volume that trapped air gives up between two absolute pressures.

    Parameters
    ----------
    volume : Floats
        Material with the air in it, at the low pressure. [m^3]
    air_share : Floats
        Share of air at the low pressure, 0 to below 1. [-]
    pressure_low : Floats
        Absolute pressure at which the share is stated. [Pa]
    pressure_high : Floats
        Absolute pressure in operation. [Pa]

    Returns
    -------
    volume_change : Floats
        ``air * (1 - p_low / p_high)``. [m^3]

    Notes
    -----
    Slow (isothermal); negative when the second pressure is the lower one.

    Source: Boyle's law.

    Examples
    --------
    >>> round(trapped_air_volume(
    ...     volume=10e-6, air_share=0.01, pressure_low=1e5, pressure_high=10e5) * 1e6, 9)
    0.09
    """
    require_not_negative(volume=volume)
    require_between(0.0, 1.0, air_share=air_share)
    require_positive(pressure_low=pressure_low, pressure_high=pressure_high)
    squeezed = 1.0 - array(pressure_low) / array(pressure_high)
    return plain(array(volume) * array(air_share) * squeezed)


def stored_volume(
    *, liquid: Floats, wall: Floats, line_volume: Floats, pressure: Floats, air: Floats
) -> Floats:
    """Volume stored between rotor and tip at a pressure.

    Parameters
    ----------
    liquid : Floats
        Compliance from `liquid_compliance`. [m^3/Pa]
    wall : Floats
        Relative compliance from `wall_compliance`. [1/Pa]
    line_volume : Floats
        Volume inside that wall. [m^3]
    pressure : Floats
        Gauge pressure while dispensing. [Pa]
    air : Floats
        Volume from `trapped_air_volume` at that pressure. [m^3]

    Returns
    -------
    volume : Floats
        Sum of the three. [m^3]

    Notes
    -----
    Source: sum of compliances in parallel.

    Examples
    --------
    >>> round(stored_volume(liquid=5e-6 / 1.5e9, wall=3e-9, line_volume=5e-6, pressure=2e6,
    ...                     air=0.0) * 1e9, 3)
    36.667
    """
    require_not_negative(
        liquid=liquid, wall=wall, line_volume=line_volume, pressure=pressure, air=air
    )
    soft = array(liquid) + array(wall) * array(line_volume)
    return plain(soft * array(pressure) + array(air))


def suck_back_angle(*, stored_volume: Floats, displacement: Floats) -> Floats:
    """Angle the rotor must turn back to take in the stored volume.

    Parameters
    ----------
    stored_volume : Floats
        Volume that would ooze out. [m^3]
    displacement : Floats
        Volume per revolution. [m^3]

    Returns
    -------
    angle : Floats
        Angle of the rotor, without backlash. [rad]

    Notes
    -----
    Source: volume balance.

    Examples
    --------
    >>> from math import degrees
    >>> round(degrees(suck_back_angle(stored_volume=6.667e-9, displacement=0.4e-6)), 2)
    6.0
    """
    require_not_negative(stored_volume=stored_volume)
    require_positive(displacement=displacement)
    return plain(2.0 * np.pi * array(stored_volume) / array(displacement))
