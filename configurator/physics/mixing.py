"""Mixing two components: static tubes by their elements, driven chambers by their volume.

The relation for static tubes holds for laminar flow of components of similar viscosity. Above a
viscosity ratio of 10:1 to 100:1 more is needed than it says; `viscosity_ratio` tells it.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from configurator.physics.domain import (
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_inside,
    require_not_negative,
    require_positive,
)


@dataclass(frozen=True)
class MixerForm:
    """What a form of static element does in laminar flow."""

    loss_multiplier: float
    """Loss over the loss of the empty tube [-]."""
    variation_base: float
    """Factor on the coefficient of variation per diameter of length [-]."""


MIXER_FORMS: Final[dict[str, MixerForm]] = {
    "alternating twisted ribbon": MixerForm(6.9, 0.87),
    "crossed bars 45 degrees": MixerForm(37.5, 0.63),
    "crossed bars 30 degrees": MixerForm(7.8, 0.85),
    "three-vane open": MixerForm(5.6, 0.83),
}
"""Laminar constants by generic form, as given in the literature that `fluids.mixing` cites:
Handbook of Industrial Mixing 2004; Streiff, Jaffer and Schneider, ISMIP3 1999 (values from
memory). Square-section disposable mixers have no public values: a factor of 2 either way."""


def minor_share(*, ratio: Floats) -> Floats:
    """Volume share of the minor component of a ratio r:1 or 1:r.

    Parameters
    ----------
    ratio : Floats
        Volume of one component over the other. [-]

    Returns
    -------
    share : Floats
        ``1/(1 + r)``, at most one half. [-]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> minor_share(ratio=4.0)
    0.2
    """
    require_positive(ratio=ratio)
    larger = np.maximum(array(ratio), 1.0 / array(ratio))
    return plain(1.0 / (1.0 + larger))


def unmixed_variation(*, share: Floats) -> Floats:
    """Coefficient of variation before any mixing.

    Parameters
    ----------
    share : Floats
        Volume share of the minor component. [-]

    Returns
    -------
    variation : Floats
        ``sqrt((1 - x) / x)``. [-]

    Notes
    -----
    Source: Handbook of Industrial Mixing 2004, as cited by `fluids.mixing`.

    Examples
    --------
    >>> unmixed_variation(share=0.2)
    2.0
    """
    require_inside(0.0, 1.0, share=share)
    return plain(np.sqrt((1.0 - array(share)) / array(share)))


def variation_after(
    *, share: Floats, variation_base: Floats, length_over_diameter: Floats
) -> Floats:
    """Coefficient of variation after a static mixer.

    Parameters
    ----------
    share : Floats
        Volume share of the minor component. [-]
    variation_base : Floats
        Constant Ki of the form, above 0 and below 1. [-]
    length_over_diameter : Floats
        Mixing length over bore. [-]

    Returns
    -------
    variation : Floats
        ``sqrt((1 - x)/x) Ki^(L/D)``. [-]

    Notes
    -----
    Source: Handbook of Industrial Mixing 2004, as cited by `fluids.mixing`.

    Examples
    --------
    >>> round(variation_after(share=0.5, variation_base=0.87, length_over_diameter=36.0), 7)
    0.006648
    """
    require_inside(0.0, 1.0, variation_base=variation_base)
    require_not_negative(length_over_diameter=length_over_diameter)
    start = array(unmixed_variation(share=share))
    return plain(start * np.power(array(variation_base), array(length_over_diameter)))


def length_for_variation(*, share: Floats, variation_base: Floats, variation: Floats) -> Floats:
    """Mixing length over bore that reaches a coefficient of variation.

    Parameters
    ----------
    share : Floats
        Volume share of the minor component. [-]
    variation_base : Floats
        Constant Ki of the form. [-]
    variation : Floats
        Coefficient of variation wanted. [-]

    Returns
    -------
    length : Floats
        Length over diameter, 0 where no mixing is needed. [-]

    Notes
    -----
    Source: inverse of `variation_after`.

    Examples
    --------
    >>> round(length_for_variation(share=0.5, variation_base=0.87, variation=0.05), 3)
    21.511
    """
    require_inside(0.0, 1.0, variation_base=variation_base)
    require_positive(variation=variation)
    start = array(unmixed_variation(share=share))
    length = np.log(array(variation) / start) / np.log(array(variation_base))
    return plain(np.maximum(length, 0.0))


def elements_needed(*, length_over_diameter: Floats, element_over_diameter: Floats) -> Floats:
    """Count the elements that make up a mixing length.

    Parameters
    ----------
    length_over_diameter : Floats
        Mixing length over bore. [-]
    element_over_diameter : Floats
        Length of one element over bore, 1.5 for the common twisted ribbon. [-]

    Returns
    -------
    elements : Floats
        Rounded up; a hair above a whole number asks for one more. [-]

    Notes
    -----
    Source: division.

    Examples
    --------
    >>> length = length_for_variation(share=1 / 3, variation_base=0.87, variation=0.05)
    >>> elements_needed(length_over_diameter=length, element_over_diameter=1.5)
    17.0
    """
    require_not_negative(length_over_diameter=length_over_diameter)
    require_positive(element_over_diameter=element_over_diameter)
    return plain(np.ceil(array(length_over_diameter) / array(element_over_diameter)))


def mixer_pressure_drop(*, empty_tube_loss: Floats, loss_multiplier: Floats) -> Floats:
    """Pressure loss of a static mixer in laminar flow.

    Parameters
    ----------
    empty_tube_loss : Floats
        Loss of an empty tube of the same bore and length, `tube_pressure_drop`. [Pa]
    loss_multiplier : Floats
        Constant K_L of the form, at least 1. [-]

    Returns
    -------
    pressure : Floats
        Multiplier times the empty tube; an estimate unless Newtonian. [Pa]

    Notes
    -----
    Source: form of `fluids.mixing`, which cites Streiff, Jaffer and Schneider, ISMIP3 1999.

    Examples
    --------
    >>> from configurator.physics.rheology import Newtonian
    >>> from configurator.physics.tube_flow import tube_pressure_drop
    >>> empty = tube_pressure_drop(curve=Newtonian(10.0), flow_rate=0.1e-6, bore=6e-3,
    ...                            length=20 * 1.5 * 6e-3)
    >>> round(mixer_pressure_drop(empty_tube_loss=empty, loss_multiplier=6.9), 3)
    39046.013
    """
    require_not_negative(empty_tube_loss=empty_tube_loss)
    require_positive(loss_multiplier=loss_multiplier)
    if bool(np.any(array(loss_multiplier) < 1.0)):
        raise PhysicsDomainError("loss_multiplier must be at least 1")
    return plain(array(empty_tube_loss) * array(loss_multiplier))


def tube_mixer_volume(*, bore: Floats, length: Floats, free_share: Floats = 1.0) -> Floats:
    """Free volume of a static mixer.

    Parameters
    ----------
    bore : Floats
        Inside diameter. [m]
    length : Floats
        Mixing length. [m]
    free_share : Floats
        Share of the tube not filled by elements, above 0 to 1. [-]

    Returns
    -------
    volume : Floats
        Volume that holds material. [m^3]

    Notes
    -----
    Source: geometry.

    Examples
    --------
    >>> round(tube_mixer_volume(bore=6e-3, length=180e-3) * 1e6, 4)
    5.0894
    """
    require_positive(bore=bore, length=length, free_share=free_share)
    if bool(np.any(array(free_share) > 1.0)):
        raise PhysicsDomainError("free_share must be at most 1")
    return plain(0.25 * np.pi * array(bore) ** 2 * array(length) * array(free_share))


def layers(*, elements: Floats) -> Floats:
    """Count the layers that twisted elements make of two streams.

    Parameters
    ----------
    elements : Floats
        Number of elements. [-]

    Returns
    -------
    layers : Floats
        About ``2^N``. [-]

    Notes
    -----
    Source: halving at each element, textbook (from memory).

    Examples
    --------
    >>> layers(elements=10.0)
    1024.0
    """
    require_not_negative(elements=elements)
    return plain(np.exp2(array(elements)))


def viscosity_ratio(*, viscosity_a: Floats, viscosity_b: Floats) -> Floats:
    """Ratio of the thicker to the thinner component; above 10 the mixer needs a reserve.

    Parameters
    ----------
    viscosity_a : Floats
        Apparent viscosity of one component at the shear rate of the mixer. [Pa*s]
    viscosity_b : Floats
        Of the other component, at the same rate. [Pa*s]

    Returns
    -------
    ratio : Floats
        At least 1. [-]

    Notes
    -----
    Source: common practice, no source.

    Examples
    --------
    >>> viscosity_ratio(viscosity_a=1.0, viscosity_b=20.0)
    20.0
    """
    require_positive(viscosity_a=viscosity_a, viscosity_b=viscosity_b)
    ratio = array(viscosity_a) / array(viscosity_b)
    return plain(np.maximum(ratio, 1.0 / ratio))
