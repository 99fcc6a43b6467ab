"""What a robot or gantry has to carry: the filled head, and the moment it makes."""

from configurator.physics.domain import (
    STANDARD_GRAVITY,
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)

CARRYING_MARGIN = 0.2
"""Reserve on mass and moment [-] (common practice, no source)."""


def filled_mass(
    *,
    head: Floats,
    drive: Floats,
    mixer: Floats,
    material_volume: Floats,
    density: Floats,
    hose_share: Floats,
) -> Floats:
    """Mass at the flange with everything in it.

    Parameters
    ----------
    head : Floats
        Dry head. [kg]
    drive : Floats
        Motor, gear, encoder. [kg]
    mixer : Floats
        Mixing device and outlet, dry. [kg]
    material_volume : Floats
        Material inside head, mixer and outlet. [m^3]
    density : Floats
        Density of the material. [kg/m^3]
    hose_share : Floats
        Part of the filled hoses and cables that hangs on the flange. [kg]

    Returns
    -------
    mass : Floats
        Sum, without margin. [kg]

    Notes
    -----
    Source: addition.

    Examples
    --------
    >>> round(filled_mass(head=1.0, drive=1.5, mixer=0.1, material_volume=50e-6, density=2000.0,
    ...                   hose_share=0.3), 9)
    3.0
    """
    require_not_negative(
        head=head, drive=drive, mixer=mixer, material_volume=material_volume, hose_share=hose_share
    )
    require_positive(density=density)
    inside = array(material_volume) * array(density)
    return plain(array(head) + array(drive) + array(mixer) + inside + array(hose_share))


def moment(*, mass: Floats, distance: Floats) -> Floats:
    """Return the static moment of a mass about the flange.

    Parameters
    ----------
    mass : Floats
        Filled mass. [kg]
    distance : Floats
        Of the centre of mass from the axis of the flange. [m]

    Returns
    -------
    moment : Floats
        ``m g r``; accelerations come on top. [N*m]

    Notes
    -----
    Source: statics.

    Examples
    --------
    >>> round(moment(mass=3.0, distance=0.1), 4)
    2.942
    """
    require_not_negative(mass=mass, distance=distance)
    return plain(array(mass) * STANDARD_GRAVITY * array(distance))


def with_margin(*, demand: Floats, margin: Floats = CARRYING_MARGIN) -> Floats:
    """Demand that a carrier must be rated for.

    Parameters
    ----------
    demand : Floats
        Mass or moment. [-]
    margin : Floats
        Reserve as a share. [-]

    Returns
    -------
    demand : Floats
        ``demand * (1 + margin)``, in its own unit. [-]

    Notes
    -----
    Source: common practice, no source.

    Examples
    --------
    >>> with_margin(demand=5.0)
    6.0
    """
    require_not_negative(demand=demand, margin=margin)
    return plain(array(demand) * (1.0 + array(margin)))
