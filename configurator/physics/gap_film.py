"""The film in the gap of a seal line: is it laminar, and how hard is the material sheared."""

from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)


def gap_reynolds(*, leakage: Floats, viscosity: Floats, density: Floats, width: Floats) -> Floats:
    """Reynolds number of the gap; above about 2,000 the leakage is not modelled.

    Parameters
    ----------
    leakage : Floats
        Leakage. [m^3/s]
    viscosity : Floats
        Viscosity in the gap. [Pa*s]
    density : Floats
        Density. [kg/m^3]
    width : Floats
        Length of the seal line, across the flow. [m]

    Returns
    -------
    reynolds : Floats
        ``2 rho q / (mu b)``, on twice the gap. [-]

    Notes
    -----
    Source: hydraulic diameter of a slit, textbook.

    Examples
    --------
    >>> round(gap_reynolds(leakage=21.9e-6, viscosity=1e-3, density=1000.0, width=30e-3))
    1460
    """
    require_not_negative(leakage=leakage)
    require_positive(viscosity=viscosity, density=density, width=width)
    return plain(2.0 * array(density) * array(leakage) / (array(viscosity) * array(width)))


def film_shear_rate(
    *, sliding_speed: Floats, gap: Floats, leakage: Floats, width: Floats
) -> Floats:
    """Largest shear rate in the gap: sliding of the rotor plus the leakage.

    Parameters
    ----------
    sliding_speed : Floats
        Rubbing speed of the rotor. [m/s]
    gap : Floats
        Clearance, positive: a closed line has no film of known thickness. [m]
    leakage : Floats
        Leakage through the gap. [m^3/s]
    width : Floats
        Length of the seal line, across the flow. [m]

    Returns
    -------
    rate : Floats
        ``v / h + 6 q / (b h^2)``. [1/s]

    Notes
    -----
    Source: Couette and Poiseuille slit flow added at the wall, textbook.

    Examples
    --------
    >>> round(film_shear_rate(sliding_speed=0.1, gap=50e-6, leakage=0.01e-6, width=30e-3))
    2800
    """
    require_not_negative(sliding_speed=sliding_speed, leakage=leakage)
    require_positive(gap=gap, width=width)
    height = array(gap)
    pressed = 6.0 * array(leakage) / (array(width) * height**2)
    return plain(array(sliding_speed) / height + pressed)
