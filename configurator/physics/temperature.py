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
    Between about 20 K above a glass transition and decomposition.

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
