"""How far a dispensed volume can be off, and what each part adds.

Errors are half-widths at 95 %, relative to the volume or in cubic metres; each function says
which. Independent parts combine in quadrature, one-sided or common ones are added.
Stored volume and settling are in `stored_volume`; the comparison with a time-pressure
dispenser is in `time_pressure`.
"""

import numpy as np

from configurator.physics.domain import (
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_not_negative,
    require_positive,
)


def slip_spread(
    *, slip_low: Floats, slip_nominal: Floats, slip_high: Floats, ideal_flow: Floats
) -> tuple[Floats, Floats]:
    """Relative volume error that the range of the slip makes, to either side.

    Parameters
    ----------
    slip_low : Floats
        Least slip over the range of pressure, viscosity and knowledge. [m^3/s]
    slip_nominal : Floats
        Slip that the set speed allows for. [m^3/s]
    slip_high : Floats
        Largest slip. [m^3/s]
    ideal_flow : Floats
        Displacement times speed; must exceed the nominal slip. [m^3/s]

    Returns
    -------
    spread : tuple
        Volume too large by (less slip than set for), too small by; relative to the
        delivered volume. [-]

    Notes
    -----
    Two sides, for the range of a slip is lopsided.

    Source: volume balance.

    Examples
    --------
    >>> over, under = slip_spread(
    ...     slip_low=0.0, slip_nominal=1e-9, slip_high=3e-9, ideal_flow=101e-9)
    >>> round(over, 6), round(under, 6)
    (0.01, 0.02)
    """
    require_not_negative(slip_low=slip_low, slip_nominal=slip_nominal, slip_high=slip_high)
    require_positive(ideal_flow=ideal_flow)
    low, middle, high = array(slip_low), array(slip_nominal), array(slip_high)
    if bool(np.any((low > middle) | (middle > high))):
        raise PhysicsDomainError("slip must rise from low over nominal to high")
    delivered = array(ideal_flow) - middle
    # A head that loses more than it moves delivers nothing: the error is without bound.
    with np.errstate(all="ignore"):
        over = np.where(delivered <= 0.0, np.inf, (middle - low) / delivered)
        under = np.where(delivered <= 0.0, np.inf, (high - middle) / delivered)
    return plain(over), plain(under)


def combine_independent(*parts: Floats) -> Floats:
    """Half-width of a sum of independent errors.

    Parameters
    ----------
    parts : Floats
        Half-widths at the same coverage, in one unit. [-]

    Returns
    -------
    combined : Floats
        Root of the sum of squares. [-]

    Notes
    -----
    Source: JCGM 100 (law of propagation, uncorrelated inputs); the tests compare a Monte Carlo
    run after JCGM 101.

    Examples
    --------
    >>> combine_independent(3.0, 4.0)
    5.0
    """
    total = np.asarray(0.0)
    for number, part in enumerate(parts):
        _not_negative_or_endless(f"part {number + 1}", part)
        total = total + array(part) ** 2
    return plain(array(np.sqrt(total)))


def combine_linear(*parts: Floats) -> Floats:
    """Half-width of a sum of errors that share a cause or a sign.

    Parameters
    ----------
    parts : Floats
        Half-widths, in one unit. [-]

    Returns
    -------
    combined : Floats
        Plain sum, the worst case. [-]

    Notes
    -----
    Source: JCGM 100 (fully correlated inputs).

    Examples
    --------
    >>> combine_linear(3.0, 4.0)
    7.0
    """
    total = np.asarray(0.0)
    for number, part in enumerate(parts):
        _not_negative_or_endless(f"part {number + 1}", part)
        total = total + array(part)
    return plain(array(total))


def _not_negative_or_endless(name: str, part: Floats) -> None:
    """Refuse a negative part; an infinite one is an answer here, not a mistake."""
    if bool(np.any(array(part) < 0.0)):
        raise PhysicsDomainError(f"{name} must not be negative, got {part!r}")


def volume_error(
    *,
    shot_volume: Floats,
    slip_over: Floats,
    slip_under: Floats,
    encoder_step: Floats,
    backlash: Floats,
    stored_change: Floats,
    displacement_tolerance: Floats,
) -> tuple[Floats, Floats]:
    """Relative error of one shot, to either side.

    Parameters
    ----------
    shot_volume : Floats
        Volume of the shot. [m^3]
    slip_over : Floats
        Relative excess from `slip_spread`. [-]
    slip_under : Floats
        Relative lack from `slip_spread`. [-]
    encoder_step : Floats
        Volume of one count; the rotor stops within half of it at each end. [m^3]
    backlash : Floats
        Volume hidden by the play of the gear, if the drive reverses. [m^3]
    stored_change : Floats
        Volume stored under pressure that may or may not be released in the shot. [m^3]
    displacement_tolerance : Floats
        Relative half-width of the displacement of the part. [-]

    Returns
    -------
    error : tuple
        Excess and lack relative to the shot. [-]

    Notes
    -----
    Displacement, slip and encoder are independent: in quadrature. Backlash and stored volume are
    one-sided and come in the same shot: added on top. An upper figure by choice.

    Source: combination as in JCGM 100; which parts are independent is our judgement.

    Examples
    --------
    >>> over, under = volume_error(
    ...     shot_volume=100e-9, slip_over=0.003, slip_under=0.0, encoder_step=0.0, backlash=0.0,
    ...     stored_change=1e-9, displacement_tolerance=0.004)
    >>> round(over, 6), round(under, 6)
    (0.015, 0.014)
    """
    require_positive(shot_volume=shot_volume)
    require_not_negative(
        encoder_step=encoder_step,
        backlash=backlash,
        stored_change=stored_change,
        displacement_tolerance=displacement_tolerance,
    )
    shot = array(shot_volume)
    step = plain(array(encoder_step) / shot)
    aside = (array(backlash) + array(stored_change)) / shot
    over = array(combine_independent(slip_over, step, displacement_tolerance)) + aside
    under = array(combine_independent(slip_under, step, displacement_tolerance)) + aside
    return plain(over), plain(under)


def flow_uncertainty(
    *, displacement_share: Floats, slip_share: Floats, slip_uncertainty: Floats
) -> Floats:
    """Relative uncertainty of the delivered flow from displacement and slip.

    Parameters
    ----------
    displacement_share : Floats
        Relative half-width of the displacement. [-]
    slip_share : Floats
        Slip over ideal flow, from 0 to below 1. [-]
    slip_uncertainty : Floats
        Relative half-width of the slip. [-]

    Returns
    -------
    uncertainty : Floats
        Relative half-width of the flow ``Q = V n - q``. [-]

    Notes
    -----
    Source: JCGM 100, propagation through a difference.

    Examples
    --------
    >>> round(100 * flow_uncertainty(
    ...     displacement_share=0.005, slip_share=0.05, slip_uncertainty=0.5), 2)
    2.68
    """
    require_not_negative(
        displacement_share=displacement_share,
        slip_share=slip_share,
        slip_uncertainty=slip_uncertainty,
    )
    if bool(np.any(array(slip_share) >= 1.0)):
        raise PhysicsDomainError("slip_share must be below 1: nothing is delivered at 1")
    left = 1.0 - array(slip_share)
    moved = plain(array(displacement_share) / left)
    lost = plain(array(slip_share) * array(slip_uncertainty) / left)
    return combine_independent(moved, lost)


def capability_sigma(*, tolerance: Floats, capability: Floats = 1.33) -> Floats:
    """Largest standard deviation that meets a capability, well centred.

    Parameters
    ----------
    tolerance : Floats
        Half-width of the tolerance, relative or absolute. [-]
    capability : Floats
        Cpk wanted. [-]

    Returns
    -------
    sigma : Floats
        ``tolerance / (3 Cpk)``, in the unit of the tolerance. [-]

    Notes
    -----
    Source: definition of Cpk, as in ISO 22514-1 (from memory).

    Examples
    --------
    >>> round(100 * capability_sigma(tolerance=0.01), 4)
    0.2506
    """
    require_positive(tolerance=tolerance, capability=capability)
    return plain(array(tolerance) / (3.0 * array(capability)))
