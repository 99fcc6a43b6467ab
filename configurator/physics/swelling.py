"""Whether an elastomer or plastic takes up a fluid, and what that does to the fit.

The screen by solubility parameters says "swells", "test" or "resists"; it does not know chemical
attack, and reaction rules stand above it. Semicrystalline plastics resist many fluids that the
screen would condemn, so it never condemns them alone.
"""

from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Floats,
    array,
    plain,
    require_inside,
    require_not_negative,
    require_positive,
)

SWELLS_BELOW, RESISTS_ABOVE = 0.9, 1.3
"""Ends of the band of the relative energy difference that only a test can decide [-]
(common practice, no source: the sphere's edge is soft)."""


class SwellingOutcome(IntEnum):
    """What the screen says; a higher number is better, unknown stands apart."""

    UNKNOWN = 0
    SWELLS = 1
    TEST = 2
    RESISTS = 3


def hansen_distance(
    *,
    dispersion_a: Floats,
    polar_a: Floats,
    hydrogen_a: Floats,
    dispersion_b: Floats,
    polar_b: Floats,
    hydrogen_b: Floats,
) -> Floats:
    """Distance of two substances in the space of solubility parameters.

    Parameters
    ----------
    dispersion_a : Floats
        Dispersion parameter of one. [MPa^0.5]
    polar_a : Floats
        Polar parameter of one. [MPa^0.5]
    hydrogen_a : Floats
        Hydrogen-bond parameter of one. [MPa^0.5]
    dispersion_b : Floats
        Dispersion parameter of the other. [MPa^0.5]
    polar_b : Floats
        Polar parameter of the other. [MPa^0.5]
    hydrogen_b : Floats
        Hydrogen-bond parameter of the other. [MPa^0.5]

    Returns
    -------
    distance : Floats
        ``Ra = sqrt(4 dD^2 + dP^2 + dH^2)``. [MPa^0.5]

    Notes
    -----
    Source: C. M. Hansen, Hansen Solubility Parameters, 2nd ed. 2007 (form from memory).

    Examples
    --------
    Acetone against a nitrile rubber.

    >>> round(hansen_distance(dispersion_a=15.5, polar_a=10.4, hydrogen_a=7.0,
    ...                       dispersion_b=18.6, polar_b=8.8, hydrogen_b=4.2), 1)
    7.0
    """
    require_not_negative(
        dispersion_a=dispersion_a,
        polar_a=polar_a,
        hydrogen_a=hydrogen_a,
        dispersion_b=dispersion_b,
        polar_b=polar_b,
        hydrogen_b=hydrogen_b,
    )
    dispersion = array(dispersion_a) - array(dispersion_b)
    polar = array(polar_a) - array(polar_b)
    hydrogen = array(hydrogen_a) - array(hydrogen_b)
    return plain(np.sqrt(4.0 * dispersion**2 + polar**2 + hydrogen**2))


def relative_energy_difference(*, distance: Floats, radius: Floats) -> Floats:
    """Distance over the radius of the polymer's sphere.

    Parameters
    ----------
    distance : Floats
        From `hansen_distance`. [MPa^0.5]
    radius : Floats
        Interaction radius R0 of the polymer. [MPa^0.5]

    Returns
    -------
    difference : Floats
        RED; below 1 is inside the sphere. [-]

    Notes
    -----
    Source: C. M. Hansen, Hansen Solubility Parameters, 2nd ed. 2007 (form from memory).

    Examples
    --------
    >>> round(relative_energy_difference(distance=7.0, radius=9.6), 2)
    0.73
    """
    require_not_negative(distance=distance)
    require_positive(radius=radius)
    return plain(array(distance) / array(radius))


def swelling_outcome(
    *,
    distance: Floats,
    radius: Floats,
    radius_uncertainty: Floats,
    semicrystalline: bool | NDArray[np.bool_] = False,
) -> SwellingOutcome | NDArray[np.int_]:
    """Screen a fluid against a polymer over the whole range of the radius.

    Parameters
    ----------
    distance : Floats
        From `hansen_distance`. [MPa^0.5]
    radius : Floats
        Interaction radius R0 of the polymer. [MPa^0.5]
    radius_uncertainty : Floats
        Relative half-width of the radius, below 1. [-]
    semicrystalline : bool
        Whether the polymer is a semicrystalline plastic. [-]

    Returns
    -------
    outcome : SwellingOutcome
        Swells or resists only if that holds for every radius in the range; test otherwise;
        unknown if a figure is missing. Arrays give an array of its numbers. [-]

    Notes
    -----
    Source: Hansen screen with an undecided band, own judgement.

    Examples
    --------
    >>> swelling_outcome(distance=7.0, radius=9.6, radius_uncertainty=0.1).name
    'SWELLS'
    >>> swelling_outcome(distance=7.0, radius=9.6, radius_uncertainty=0.4).name
    'TEST'
    """
    require_inside(-1e-300, 1.0, radius_uncertainty=radius_uncertainty)
    difference = array(relative_energy_difference(distance=distance, radius=radius))
    spread = array(radius_uncertainty)
    lowest, highest = difference / (1.0 + spread), difference / (1.0 - spread)
    known = ~np.isnan(lowest + highest)
    condemned = known & (highest < SWELLS_BELOW) & ~np.asarray(semicrystalline)
    resists = known & (lowest > RESISTS_ABOVE)
    outcome: NDArray[np.int_] = np.select(
        [~known, condemned, resists],
        [int(SwellingOutcome.UNKNOWN), int(SwellingOutcome.SWELLS), int(SwellingOutcome.RESISTS)],
        int(SwellingOutcome.TEST),
    )
    return SwellingOutcome(int(outcome)) if outcome.ndim == 0 else outcome
