"""Why a volumetric head: how a time-pressure dispenser and a metering head react to a change."""

import numpy as np

from configurator.physics.domain import (
    GAS_CONSTANT,
    Floats,
    array,
    plain,
    require_between,
    require_positive,
)


def time_pressure_ratio(
    *, pressure_ratio: Floats, viscosity_ratio: Floats, index: Floats = 1.0
) -> Floats:
    """Output of a time-pressure dispenser after a change, over the output before.

    Parameters
    ----------
    pressure_ratio : Floats
        New over old pressure. [-]
    viscosity_ratio : Floats
        New over old viscosity or consistency. [-]
    index : Floats
        Flow index of the material, 1 for Newtonian. [-]

    Returns
    -------
    ratio : Floats
        ``(pressure ratio / viscosity ratio)^(1/m)``. [-]

    Notes
    -----
    Source: power-law tube flow, solved for the flow.

    Examples
    --------
    >>> round(100 * (time_pressure_ratio(pressure_ratio=1.0, viscosity_ratio=1.2) - 1), 1)
    -16.7
    >>> round(100 * (time_pressure_ratio(pressure_ratio=1.05, viscosity_ratio=1.0, index=0.5)
    ...              - 1), 2)
    10.25
    """
    require_positive(pressure_ratio=pressure_ratio, viscosity_ratio=viscosity_ratio, index=index)
    return plain(np.power(array(pressure_ratio) / array(viscosity_ratio), 1.0 / array(index)))


def time_pressure_temperature_sensitivity(
    *, activation_energy: Floats, temperature: Floats, index: Floats = 1.0
) -> Floats:
    """Relative change of a time-pressure dispenser's output per kelvin.

    Parameters
    ----------
    activation_energy : Floats
        Arrhenius energy of the viscosity. [J/mol]
    temperature : Floats
        Absolute temperature. [K]
    index : Floats
        Flow index of the material, 1 for Newtonian. [-]

    Returns
    -------
    sensitivity : Floats
        ``Ea / (Rg T^2) / m``, as a share. [1/K]

    Notes
    -----
    Source: Arrhenius law and power-law tube flow.

    Examples
    --------
    >>> round(100 * time_pressure_temperature_sensitivity(
    ...     activation_energy=50e3, temperature=298.15, index=0.5), 1)
    13.5
    """
    require_positive(activation_energy=activation_energy, temperature=temperature, index=index)
    return plain(array(activation_energy) / (GAS_CONSTANT * array(temperature) ** 2) / array(index))


def volumetric_ratio(
    *, volumetric_efficiency: Floats, pressure_ratio: Floats, viscosity_ratio: Floats
) -> Floats:
    """Output of a volumetric head after a change, over the output before, at one speed.

    Parameters
    ----------
    volumetric_efficiency : Floats
        Efficiency before the change, above 0 to 1. [-]
    pressure_ratio : Floats
        New over old pressure at the head. [-]
    viscosity_ratio : Floats
        New over old viscosity. [-]

    Returns
    -------
    ratio : Floats
        ``(1 - slip * pressure ratio / viscosity ratio) / efficiency``. [-]

    Notes
    -----
    Laminar slip. When the back pressure comes from the same material in the tip, both ratios are
    equal and the output does not change.

    Source: volume balance.

    Examples
    --------
    >>> round(100 * (volumetric_ratio(volumetric_efficiency=0.95, pressure_ratio=1.0,
    ...                               viscosity_ratio=1.2) - 1), 2)
    0.88
    """
    require_positive(
        volumetric_efficiency=volumetric_efficiency,
        pressure_ratio=pressure_ratio,
        viscosity_ratio=viscosity_ratio,
    )
    require_between(0.0, 1.0, volumetric_efficiency=volumetric_efficiency)
    efficiency = array(volumetric_efficiency)
    slip = (1.0 - efficiency) * array(pressure_ratio) / array(viscosity_ratio)
    return plain((1.0 - slip) / efficiency)


def volumetric_temperature_sensitivity(
    *, volumetric_efficiency: Floats, activation_energy: Floats, temperature: Floats
) -> Floats:
    """Relative change of a volumetric head's output per kelvin at a fixed back pressure.

    Parameters
    ----------
    volumetric_efficiency : Floats
        Delivered over ideal flow, above 0 to 1. [-]
    activation_energy : Floats
        Arrhenius energy of the viscosity. [J/mol]
    temperature : Floats
        Absolute temperature. [K]

    Returns
    -------
    sensitivity : Floats
        ``(1 - efficiency)/efficiency * Ea / (Rg T^2)``, as a loss. [1/K]

    Notes
    -----
    Laminar slip.

    Source: volume balance and Arrhenius law.

    Examples
    --------
    >>> round(100 * volumetric_temperature_sensitivity(
    ...     volumetric_efficiency=0.95, activation_energy=50e3, temperature=298.15), 2)
    0.36
    """
    require_positive(volumetric_efficiency=volumetric_efficiency)
    require_between(0.0, 1.0, volumetric_efficiency=volumetric_efficiency)
    efficiency = array(volumetric_efficiency)
    fluid = array(
        time_pressure_temperature_sensitivity(
            activation_energy=activation_energy, temperature=temperature
        )
    )
    return plain((1.0 - efficiency) / efficiency * fluid)
