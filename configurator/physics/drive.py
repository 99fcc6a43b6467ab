"""What the drive must give: torque, power, breakaway, and the finest step it can make."""

import numpy as np

from configurator.physics.domain import (
    Floats,
    PhysicsDomainError,
    array,
    plain,
    require_not_negative,
    require_positive,
)


def hydraulic_torque(*, displacement: Floats, pressure_difference: Floats) -> Floats:
    """Torque that the pressure difference alone asks of the rotor.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution. [m^3]
    pressure_difference : Floats
        Outlet minus inlet pressure, zero or positive. [Pa]

    Returns
    -------
    torque : Floats
        ``V dp / (2 pi)``. [N*m]

    Notes
    -----
    Source: work of one revolution, textbook.

    Examples
    --------
    >>> round(hydraulic_torque(displacement=0.4e-6, pressure_difference=20e5), 5)
    0.12732
    """
    require_positive(displacement=displacement)
    require_not_negative(pressure_difference=pressure_difference)
    return plain(array(displacement) * array(pressure_difference) / (2.0 * np.pi))


def viscous_torque(
    *, viscosity: Floats, speed: Floats, rotor_diameter: Floats, stator_length: Floats, gap: Floats
) -> Floats:
    """Torque of shearing the material between rotor and stator, an upper figure.

    Parameters
    ----------
    viscosity : Floats
        Apparent viscosity at the shear rate of the gap. [Pa*s]
    speed : Floats
        Rotor speed in revolutions. [1/s]
    rotor_diameter : Floats
        Diameter of the rotor. [m]
    stator_length : Floats
        Length of the stator. [m]
    gap : Floats
        Film thickness; twice the eccentricity gives the figure for the open cavity. [m]

    Returns
    -------
    torque : Floats
        ``2 pi mu w R^3 L / gap``, as of a bearing. [N*m]

    Notes
    -----
    Source: Petroff's bearing equation, textbook (from memory).

    Examples
    --------
    >>> round(viscous_torque(viscosity=10.0, speed=1.0, rotor_diameter=10e-3,
    ...                      stator_length=40e-3, gap=2e-3), 6)
    0.000987
    """
    require_positive(
        viscosity=viscosity, rotor_diameter=rotor_diameter, stator_length=stator_length, gap=gap
    )
    require_not_negative(speed=speed)
    omega = 2.0 * np.pi * array(speed)
    radius = 0.5 * array(rotor_diameter)
    return plain(
        2.0 * np.pi * array(viscosity) * omega * radius**3 * array(stator_length) / array(gap)
    )


def running_torque(*, hydraulic: Floats, friction: Floats, viscous: Floats) -> Floats:
    """Torque at the rotor while the head runs.

    Parameters
    ----------
    hydraulic : Floats
        From `hydraulic_torque` at the worst corner. [N*m]
    friction : Floats
        Running friction of rotor and seal, catalog data. [N*m]
    viscous : Floats
        From `viscous_torque`. [N*m]

    Returns
    -------
    torque : Floats
        Sum of the three. [N*m]

    Notes
    -----
    Source: sum of torques on one shaft.

    Examples
    --------
    >>> running_torque(hydraulic=0.5, friction=0.25, viscous=0.25)
    1.0
    """
    require_not_negative(hydraulic=hydraulic, friction=friction, viscous=viscous)
    return plain(array(hydraulic) + array(friction) + array(viscous))


def breakaway_torque(*, friction: Floats, factor: Floats, hydraulic: Floats = 0.0) -> Floats:
    """Torque that starts the rotor after it stood.

    Parameters
    ----------
    friction : Floats
        Running friction of rotor and seal, catalog data. [N*m]
    factor : Floats
        Breakaway over running friction, at least 1. [-]
    hydraulic : Floats
        Torque of a pressure that is still there when it starts. [N*m]

    Returns
    -------
    torque : Floats
        Multiplied friction plus the pressure's torque. [N*m]

    Notes
    -----
    The drive is sized on the larger of this and the running torque.

    Source: common practice, no source.

    Examples
    --------
    >>> breakaway_torque(friction=0.2, factor=2.5)
    0.5
    """
    require_not_negative(friction=friction, hydraulic=hydraulic)
    require_positive(factor=factor)
    if bool(np.any(array(factor) < 1.0)):
        raise PhysicsDomainError("factor must be at least 1")
    return plain(array(friction) * array(factor) + array(hydraulic))


def encoder_step_volume(
    *, displacement: Floats, counts_per_motor_turn: Floats, gear_ratio: Floats
) -> Floats:
    """Volume of one encoder count, the finest step of the head.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution of the rotor. [m^3]
    counts_per_motor_turn : Floats
        Encoder counts per motor revolution, after quadrature. [-]
    gear_ratio : Floats
        Motor turns per rotor turn. [-]

    Returns
    -------
    volume : Floats
        ``V / (counts * gear)``. [m^3]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> step = encoder_step_volume(
    ...     displacement=0.4e-6, counts_per_motor_turn=4096, gear_ratio=16)
    >>> f"{step * 1e9:.2e} uL"
    '6.10e-03 uL'
    """
    require_positive(
        displacement=displacement,
        counts_per_motor_turn=counts_per_motor_turn,
        gear_ratio=gear_ratio,
    )
    return plain(array(displacement) / (array(counts_per_motor_turn) * array(gear_ratio)))


def backlash_volume(*, displacement: Floats, backlash: Floats) -> Floats:
    """Volume that the play of the gear hides at a change of direction.

    Parameters
    ----------
    displacement : Floats
        Volume per revolution of the rotor. [m^3]
    backlash : Floats
        Play at the rotor. [rad]

    Returns
    -------
    volume : Floats
        ``V * backlash / (2 pi)``. [m^3]

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> from math import radians
    >>> round(backlash_volume(displacement=0.4e-6, backlash=radians(1.0)) * 1e9, 3)
    1.111
    """
    require_positive(displacement=displacement)
    require_not_negative(backlash=backlash)
    return plain(array(displacement) * array(backlash) / (2.0 * np.pi))


def rotor_angle_error(*, ripple: Floats, turns: Floats) -> Floats:
    """Error of a volume that starts at any angle of the rotor, either way.

    Parameters
    ----------
    ripple : Floats
        Change of the displaced flow over one turn against its mean, either way. [-]
    turns : Floats
        Turns in which the volume is displaced. [-]

    Returns
    -------
    error : Floats
        ``ripple / (pi turns)``, at most the ripple itself. [-]

    Notes
    -----
    A flow that swings once a turn as a sine: between two angles its integral is off by no more
    than the chord, ``ripple |sin(pi turns)| / (pi turns)``. Whole turns even it out; that is not
    counted, for a shot of a stated size seldom is one.

    Source: own derivation.

    Examples
    --------
    >>> round(rotor_angle_error(ripple=0.02, turns=5.0), 6), rotor_angle_error(ripple=0.02, turns=0.1)
    (0.001273, 0.02)
    """
    require_not_negative(ripple=ripple)
    require_positive(turns=turns)
    return plain(array(ripple) * np.minimum(1.0, 1.0 / (np.pi * array(turns))))
