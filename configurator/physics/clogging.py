"""Particles against openings: when grains bridge a tip or jam a cavity."""

import numpy as np

from configurator.physics.domain import Floats, array, plain, require_not_negative, require_positive

BRIDGING_RATIO = 3.0
"""Bore over largest particle below which smooth spheres form arches [-] (Marin et al., arXiv
1711.06119; Souzy and Marin, J. Fluid Mech. 2022)."""

PRACTICE_RATIO_LOW, PRACTICE_RATIO_HIGH = 5.0, 15.0
"""Range of the ratio asked for in practice, by shape and loading [-]
(common practice, no source)."""


def bore_to_particle_ratio(*, bore: Floats, largest_particle: Floats) -> Floats:
    """Compare an opening with the largest particle.

    Parameters
    ----------
    bore : Floats
        Narrowest diameter of the way. [m]
    largest_particle : Floats
        Largest particle (d99 or a stated top cut); 0 if there are none. [m]

    Returns
    -------
    ratio : Floats
        Infinite without particles. [-]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> bore_to_particle_ratio(bore=0.8e-3, largest_particle=0.1e-3)
    8.0
    """
    require_positive(bore=bore)
    require_not_negative(largest_particle=largest_particle)
    with np.errstate(divide="ignore"):
        return plain(array(bore) / array(largest_particle))


def least_bore(*, largest_particle: Floats, ratio: Floats) -> Floats:
    """Smallest opening that keeps a ratio to the largest particle.

    Parameters
    ----------
    largest_particle : Floats
        Largest particle. [m]
    ratio : Floats
        Ratio to keep. [-]

    Returns
    -------
    bore : Floats
        Ratio times particle. [m]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> least_bore(largest_particle=0.25e-3, ratio=4.0)
    0.001
    """
    require_not_negative(largest_particle=largest_particle)
    require_positive(ratio=ratio)
    return plain(array(largest_particle) * array(ratio))


def required_ratio(*, filler_fraction: Floats, angular: bool) -> Floats:
    """Ratio of bore to largest particle to ask for, by loading and shape.

    Parameters
    ----------
    filler_fraction : Floats
        Volume fraction of the filler, 0 to 0.7. [-]
    angular : bool
        Whether the grains are angular, flakes or fibres. [-]

    Returns
    -------
    ratio : Floats
        From 5 to 10 for round grains, 7.5 to 15 for angular ones, rising with loading. [-]

    Notes
    -----
    A straight line over the loading up to 0.5; the ends are the range met in practice.

    Source: common practice, no source; never below the 3 of smooth spheres (Marin et al., arXiv
    1711.06119).

    Examples
    --------
    >>> required_ratio(filler_fraction=0.0, angular=False)
    5.0
    >>> required_ratio(filler_fraction=0.5, angular=True)
    15.0
    """
    require_not_negative(filler_fraction=filler_fraction)
    loading = np.minimum(array(filler_fraction) / 0.5, 1.0)
    top = PRACTICE_RATIO_HIGH if angular else 10.0
    bottom = 7.5 if angular else PRACTICE_RATIO_LOW
    return plain(bottom + (top - bottom) * loading)
