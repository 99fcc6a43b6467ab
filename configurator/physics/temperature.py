"""How viscosity moves with temperature and batch: factors on the stresses of a flow curve.

Every function returns a factor for `FlowCurve.scaled` or a constant that gives one. A factor
moves the whole curve up or down; the shape (index, ratio of yield stress to consistency) stays.
"""

import numpy as np

from configurator.physics.domain import (
    GAS_CONSTANT,
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_finite,
    require_not_negative,
    require_positive,
)


def arrhenius_factor(
    *, activation_energy: Floats, temperature: Floats, reference_temperature: Floats
) -> Floats:
    """Viscosity at a temperature over viscosity at the reference.

    Parameters
    ----------
    activation_energy : Floats
        Energy of the Arrhenius law; 0 for no change. [J/mol]
    temperature : Floats
        Absolute temperature. [K]
    reference_temperature : Floats
        Absolute temperature of the known viscosity. [K]

    Returns
    -------
    factor : Floats
        ``exp(Ea/Rg (1/T - 1/Tref))``, below 1 when warmer. [-]

    Notes
    -----
    Between about 20 K above a glass transition and decomposition; `vft_factor` nearer to it.

    Source: Arrhenius law, textbook.

    Examples
    --------
    >>> round(12.0 * arrhenius_factor(activation_energy=56.862e3, temperature=303.15,
    ...                               reference_temperature=298.15), 3)
    8.22
    """
    require_not_negative(activation_energy=activation_energy)
    require_positive(temperature=temperature, reference_temperature=reference_temperature)
    inverse = 1.0 / array(temperature) - 1.0 / array(reference_temperature)
    return plain(np.exp(array(activation_energy) / GAS_CONSTANT * inverse))


def activation_energy_from_points(
    *, viscosity_1: Floats, temperature_1: Floats, viscosity_2: Floats, temperature_2: Floats
) -> Floats:
    """Arrhenius energy from the viscosity at two temperatures.

    Parameters
    ----------
    viscosity_1 : Floats
        Viscosity at the first temperature. [Pa*s]
    temperature_1 : Floats
        First absolute temperature. [K]
    viscosity_2 : Floats
        Viscosity at the second temperature, at the same shear rate. [Pa*s]
    temperature_2 : Floats
        Second absolute temperature. [K]

    Returns
    -------
    activation_energy : Floats
        Energy of the law through both points; negative if it thickens when warmed. [J/mol]

    Raises
    ------
    PhysicsDomainError
        If the temperatures are equal.

    Notes
    -----
    Source: Arrhenius law, textbook.

    Examples
    --------
    >>> round(activation_energy_from_points(viscosity_1=12.0, temperature_1=298.15,
    ...                                     viscosity_2=4.0, temperature_2=313.15) / 1e3, 2)
    56.86
    """
    require_positive(
        viscosity_1=viscosity_1,
        temperature_1=temperature_1,
        viscosity_2=viscosity_2,
        temperature_2=temperature_2,
    )
    inverse = 1.0 / array(temperature_1) - 1.0 / array(temperature_2)
    if bool(np.any(inverse == 0.0)):
        raise PhysicsDomainError("two different temperatures are needed")
    ratio = np.log(array(viscosity_1) / array(viscosity_2))
    return plain(GAS_CONSTANT * ratio / inverse)


def arrhenius_sensitivity(*, activation_energy: Floats, temperature: Floats) -> Floats:
    """Relative fall of the viscosity per kelvin.

    Parameters
    ----------
    activation_energy : Floats
        Energy of the Arrhenius law. [J/mol]
    temperature : Floats
        Absolute temperature. [K]

    Returns
    -------
    sensitivity : Floats
        ``Ea / (Rg T^2)``, as a share. [1/K]

    Notes
    -----
    Source: derivative of the Arrhenius law.

    Examples
    --------
    >>> round(100 * arrhenius_sensitivity(activation_energy=50e3, temperature=298.15), 3)
    6.765
    """
    require_not_negative(activation_energy=activation_energy)
    require_positive(temperature=temperature)
    return plain(array(activation_energy) / (GAS_CONSTANT * array(temperature) ** 2))


def vft_factor(
    *,
    strength: Floats,
    vogel_temperature: Floats,
    temperature: Floats,
    reference_temperature: Floats,
) -> Floats:
    """Viscosity over viscosity at the reference, near a glass transition.

    Parameters
    ----------
    strength : Floats
        Constant B of the law. [K]
    vogel_temperature : Floats
        Temperature T0 at which the law diverges, below both others. [K]
    temperature : Floats
        Absolute temperature. [K]
    reference_temperature : Floats
        Absolute temperature of the known viscosity. [K]

    Returns
    -------
    factor : Floats
        ``exp(B/(T - T0) - B/(Tref - T0))``. [-]

    Raises
    ------
    PhysicsDomainError
        If a temperature is not above the Vogel temperature.

    Notes
    -----
    With T0 = 0 it is the Arrhenius law with ``B = Ea/Rg``.

    Source: Vogel, Fulcher and Tammann form (from memory).

    Examples
    --------
    >>> round(vft_factor(strength=1000.0, vogel_temperature=200.0, temperature=310.0,
    ...                  reference_temperature=300.0), 4)
    0.4029
    """
    require_positive(
        strength=strength, temperature=temperature, reference_temperature=reference_temperature
    )
    require_not_negative(vogel_temperature=vogel_temperature)
    above = array(temperature) - array(vogel_temperature)
    above_reference = array(reference_temperature) - array(vogel_temperature)
    if bool(np.any((above <= 0.0) | (above_reference <= 0.0))):
        raise PhysicsDomainError("temperatures must lie above the Vogel temperature")
    return plain(np.exp(array(strength) / above - array(strength) / above_reference))


def batch_range(*, tolerance: Floats) -> tuple[Floats, Floats]:
    """Factors of the thinnest and the thickest batch.

    Parameters
    ----------
    tolerance : Floats
        Stated relative half-width of the viscosity, below 1. [-]

    Returns
    -------
    factors : tuple
        Thin and thick factor, 1 minus and 1 plus the tolerance. [-]

    Notes
    -----
    Source: reading of a data sheet tolerance.

    Examples
    --------
    >>> batch_range(tolerance=0.25)
    (0.75, 1.25)
    """
    require_not_negative(tolerance=tolerance)
    if bool(np.any(array(tolerance) >= 1.0)):
        raise PhysicsDomainError("tolerance must be below 1")
    return plain(1.0 - array(tolerance)), plain(1.0 + array(tolerance))


def equivalent_temperature_error(
    *, viscosity_share: Floats, activation_energy: Floats, temperature: Floats
) -> Floats:
    """Change of temperature that shifts the viscosity as much as a batch does.

    Parameters
    ----------
    viscosity_share : Floats
        Relative change of the viscosity, above -1. [-]
    activation_energy : Floats
        Energy of the Arrhenius law, positive. [J/mol]
    temperature : Floats
        Absolute temperature. [K]

    Returns
    -------
    change : Floats
        Cooling that thickens the material by that share; negative for a thinner batch. [K]

    Notes
    -----
    Source: inverse of the Arrhenius law.

    Examples
    --------
    >>> round(equivalent_temperature_error(
    ...     viscosity_share=0.2, activation_energy=50e3, temperature=298.15), 2)
    2.67
    """
    require_finite(viscosity_share=viscosity_share)
    require_positive(activation_energy=activation_energy, temperature=temperature)
    if bool(np.any(array(viscosity_share) <= -1.0)):
        raise PhysicsDomainError("viscosity_share must be above -1")
    warm = array(temperature)
    shift = GAS_CONSTANT / array(activation_energy) * np.log1p(array(viscosity_share))
    return plain(warm - 1.0 / (1.0 / warm + shift))
