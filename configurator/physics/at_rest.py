"""What surface tension and yield stress hold at a mouth that stands still.

Nothing here knows how a drop lets go in time: a thick or elastic material strings long after the
weight of its drop has won.
"""

import numpy as np

from configurator.physics.domain import (
    STANDARD_GRAVITY,
    Floats,
    array,
    plain,
    require_between,
    require_not_negative,
    require_positive,
)


def capillary_hold(*, surface_tension: Floats, bore: Floats) -> Floats:
    """Pressure that the surface of a liquid holds at a mouth.

    Parameters
    ----------
    surface_tension : Floats
        Against air. [N/m]
    bore : Floats
        Of the mouth, or the outside diameter of a tip whose face is wetted. [m]

    Returns
    -------
    pressure : Floats
        ``4 gamma / D``, that of a hemisphere. [Pa]

    Notes
    -----
    Source: Laplace pressure of a hemisphere, textbook; the same form as the bubble point of ASTM
    F316 with a contact angle of none.

    Examples
    --------
    >>> round(capillary_hold(surface_tension=72.8e-3, bore=1e-3), 1)
    291.2
    """
    require_positive(surface_tension=surface_tension, bore=bore)
    return plain(4.0 * array(surface_tension) / array(bore))


def hanging_drop(
    *, surface_tension: Floats, density: Floats, wetted_diameter: Floats, share: Floats
) -> Floats:
    """Volume of the drop that a tip lets go by its weight.

    Parameters
    ----------
    surface_tension : Floats
        Against air. [N/m]
    density : Floats
        Of the liquid. [kg/m^3]
    wetted_diameter : Floats
        From which the drop hangs: the bore, or the outside diameter where the face is wetted. [m]
    share : Floats
        Of the ideal drop that falls, 0.6 to 1; the rest stays at the tip. [-]

    Returns
    -------
    volume : Floats
        ``psi pi D gamma / (rho g)``. [m^3]

    Notes
    -----
    Holds for a slow flow out of an upright tip that is narrow against the drop.

    Source: Tate's law with the share of Harkins and Brown, the range of the share from memory.

    Examples
    --------
    >>> round(hanging_drop(surface_tension=72.9e-3, density=1000.0, wetted_diameter=1e-3,
    ...                    share=1.0) * 1e9, 1)
    23.4
    """
    require_positive(
        surface_tension=surface_tension, density=density, wetted_diameter=wetted_diameter
    )
    require_between(0.0, 1.0, share=share)
    pull = np.pi * array(wetted_diameter) * array(surface_tension)
    return plain(array(share) * pull / (array(density) * STANDARD_GRAVITY))


def cap_height(*, volume: Floats, diameter: Floats) -> Floats:
    """Height of a cap of liquid on a round face.

    Parameters
    ----------
    volume : Floats
        Of the cap. [m^3]
    diameter : Floats
        Of the face. [m]

    Returns
    -------
    height : Floats
        Root of ``pi h (3 a^2 + h^2) / 6 = V`` with a half the diameter. [m]

    Notes
    -----
    Source: geometry of the spherical cap; the cubic has one real root, by Cardano.

    Examples
    --------
    >>> round(cap_height(volume=0.10636e-9, diameter=1e-3) * 1e3, 4)
    0.25
    """
    require_not_negative(volume=volume)
    require_positive(diameter=diameter)
    # h^3 + 3 a^2 h = 6 V / pi; the sinh form loses no digit where the cap is flat.
    radius = 0.5 * array(diameter)
    share = 3.0 * array(volume) / (np.pi * radius**3)
    return plain(2.0 * radius * np.sinh(np.arcsinh(share) / 3.0))


def tilt_pressure(*, density: Floats, bore: Floats) -> Floats:
    """Difference of static pressure over a mouth, which air has to overcome to rise into it.

    Parameters
    ----------
    density : Floats
        Of the liquid. [kg/m^3]
    bore : Floats
        Of the mouth. [m]

    Returns
    -------
    pressure : Floats
        ``rho g D``. [Pa]

    Notes
    -----
    Over the hold of the surface it is the Bond number of the mouth over four: a closed column
    hangs below it whatever its length, and runs out once air can pass it.

    Source: hydrostatics; the criterion from memory.

    Examples
    --------
    >>> round(tilt_pressure(density=1000.0, bore=8e-3), 2)
    78.45
    """
    require_positive(density=density, bore=bore)
    return plain(array(density) * STANDARD_GRAVITY * array(bore))
