"""From a rated point of a head to its gap, and how far a slip figure can be trusted.

A catalog states one point (fluid, pressure, efficiency). The gap is found on the full root of
`newtonian_leakage`, laminar and inertial: a rated point on water is far from laminar, and plain
scaling by the viscosity would be wrong by a factor of two.
"""

import numpy as np

from configurator.physics.domain import (
    Array,
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_between,
    require_not_negative,
    require_positive,
)
from configurator.physics.root import root_by_slope
from configurator.physics.slip import INERTIAL_LOSS


def leakage_of_efficiency(
    *, displacement: Floats, speed: Floats, volumetric_efficiency: Floats
) -> Floats:
    """Leakage that a stated volumetric efficiency stands for.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution. [m^3]
    speed : Floats
        Speed of the rated point. [1/s]
    volumetric_efficiency : Floats
        Delivered over ideal flow, 0 to 1. [-]

    Returns
    -------
    leakage : Floats
        ``(1 - efficiency) V n``. [m^3/s]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> leakage_of_efficiency(displacement=0.4e-6, speed=1.0, volumetric_efficiency=0.75)
    1e-07
    """
    require_positive(displacement=displacement, speed=speed)
    require_between(0.0, 1.0, volumetric_efficiency=volumetric_efficiency)
    lost = 1.0 - array(volumetric_efficiency)
    return plain(lost * array(displacement) * array(speed))


def gap_from_rated_point(
    *,
    viscosity: Floats,
    density: Floats,
    width: Floats,
    land_length: Floats,
    pressure_per_stage: Floats,
    leakage: Floats,
) -> Floats:
    """Gap that explains a measured leakage.

    Parameters
    ----------
    viscosity : Floats
        Viscosity of the test fluid. [Pa*s]
    density : Floats
        Density of the test fluid. [kg/m^3]
    width : Floats
        Length of the seal line, across the flow. [m]
    land_length : Floats
        Length along the flow. [m]
    pressure_per_stage : Floats
        Pressure difference over one stage at the rated point. [Pa]
    leakage : Floats
        Leakage at the rated point; 0 gives a gap of 0. [m^3/s]

    Returns
    -------
    gap : Floats
        Gap h with ``newtonian_leakage(gap=h) == leakage``. [m]

    Notes
    -----
    Monotone cubic in 1/h, solved by guarded Newton steps.

    Source: inverse of `newtonian_leakage`.

    Examples
    --------
    >>> round(gap_from_rated_point(
    ...     viscosity=1e-3, density=998.0, width=30e-3, land_length=2e-3,
    ...     pressure_per_stage=3e5, leakage=0.32e-6) * 1e6, 3)
    9.495
    """
    require_positive(
        viscosity=viscosity,
        density=density,
        width=width,
        land_length=land_length,
        pressure_per_stage=pressure_per_stage,
    )
    require_not_negative(leakage=leakage)
    tight = array(leakage) == 0.0
    flow = np.where(tight, 1.0, array(leakage))
    across, pressure = array(width), array(pressure_per_stage)
    viscous = 12.0 * array(land_length) * array(viscosity) * flow / (across * pressure)
    inertial = INERTIAL_LOSS * array(density) * flow**2 / (2.0 * across**2 * pressure)

    def miss(log_inverse: Array) -> tuple[Array, Array]:
        cubic = viscous * np.exp(3.0 * log_inverse)
        square = inertial * np.exp(2.0 * log_inverse)
        total = cubic + square
        return np.log(total), (3.0 * cubic + 2.0 * square) / total

    # Each loss alone bounds 1/h from above; at half the pressure each, from below.
    low = np.minimum(-np.log(2.0 * viscous) / 3.0, -np.log(2.0 * inertial) / 2.0)
    gap = np.exp(-root_by_slope(miss, low, low))
    return plain(np.where(tight, 0.0 * gap, gap))


def opening_gap(
    *, compliance: Floats, opening_pressure: Floats, pressure_per_stage: Floats
) -> Floats:
    """Gap of an elastomer stator: closed up to the opening pressure, then linear.

    Parameters
    ----------
    compliance : Floats
        Opening per pressure above the opening pressure (kappa). [m/Pa]
    opening_pressure : Floats
        Pressure per stage that the interference holds. [Pa]
    pressure_per_stage : Floats
        Pressure difference over one stage. [Pa]

    Returns
    -------
    gap : Floats
        ``kappa (dp - p0)``, 0 below. [m]

    Notes
    -----
    Source: own model; the constants come from `opening_from_rated_point`.

    Examples
    --------
    >>> opening_gap(compliance=2e-11, opening_pressure=2e5, pressure_per_stage=1e5)
    0.0
    """
    require_positive(compliance=compliance)
    require_not_negative(opening_pressure=opening_pressure, pressure_per_stage=pressure_per_stage)
    excess = np.maximum(array(pressure_per_stage) - array(opening_pressure), 0.0)
    return plain(array(compliance) * excess)


def opening_from_rated_point(
    *,
    viscosity: Floats,
    density: Floats,
    width: Floats,
    land_length: Floats,
    pressure_per_stage: Floats,
    opening_pressure: Floats,
    leakage: Floats,
) -> Floats:
    """Compliance of an elastomer seal line that explains a measured leakage.

    Parameters
    ----------
    viscosity : Floats
        Viscosity of the test fluid. [Pa*s]
    density : Floats
        Density of the test fluid. [kg/m^3]
    width : Floats
        Length of the seal line, across the flow. [m]
    land_length : Floats
        Length along the flow. [m]
    pressure_per_stage : Floats
        Pressure difference over one stage at the rated point. [Pa]
    opening_pressure : Floats
        Pressure per stage that the interference holds, below the rated one. [Pa]
    leakage : Floats
        Leakage at the rated point. [m^3/s]

    Returns
    -------
    compliance : Floats
        Opening per pressure above the opening pressure. [m/Pa]

    Raises
    ------
    PhysicsDomainError
        If the rated pressure does not exceed the opening pressure.

    Notes
    -----
    Source: inverse of `newtonian_leakage` and `opening_gap`.

    Examples
    --------
    >>> kappa = opening_from_rated_point(
    ...     viscosity=1e-3, density=998.0, width=30e-3, land_length=2e-3,
    ...     pressure_per_stage=4e5, opening_pressure=2e5, leakage=0.08e-6)
    >>> f"{kappa:.5e}"
    '2.71483e-11'
    """
    require_not_negative(opening_pressure=opening_pressure)
    excess = array(pressure_per_stage) - array(opening_pressure)
    if bool(np.any(excess <= 0.0)):
        raise PhysicsDomainError("the rated pressure per stage must exceed the opening pressure")
    gap = gap_from_rated_point(
        viscosity=viscosity,
        density=density,
        width=width,
        land_length=land_length,
        pressure_per_stage=pressure_per_stage,
        leakage=leakage,
    )
    return plain(array(gap) / excess)
