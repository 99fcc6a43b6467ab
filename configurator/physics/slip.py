"""Slip: what leaks back over the seal lines of a progressing cavity.

A seal line is taken as a flat slit of width b across the flow, land length L along it and gap h.
The leakage of one line, under the pressure of one stage, is the leakage of the head, for the
stages stand in series. A rigid stator has a clearance; an elastomer stator is closed up to an
opening pressure and then opens in proportion to the excess.

Form: slit models for progressing-cavity pumps (Gamboa, Olivet and Espin 2003; Zheng et al. 2018,
doi 10.1155/2018/3696930, seen as abstract). The flow in the gap is laminar with an inertial loss;
above a gap Reynolds number of about 2,000 it is turbulent, which is not modelled.
"""

from dataclasses import dataclass

import numpy as np

from configurator.physics.domain import (
    Array,
    Floats,
    array,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.rabinowitsch import SLIT, newtonian_rate_ratio
from configurator.physics.rheology import Newtonian
from configurator.physics.root import root_by_slope

INERTIAL_LOSS = 1.5
"""Loss coefficient Ki of the gap, entrance and exit together [-] (from memory)."""


@dataclass(frozen=True)
class Leakage:
    """Leakage between two bounds [m^3/s]; both are the same number for a Newtonian fluid."""

    low: Floats
    high: Floats
    model: str


def _flow_at_wall_rate(curve: FlowCurve, width_gap_squared: Array, rate: Array) -> Array:
    """Return the slit flow with a given wall rate, 0 where the rate is 0."""
    moving = np.where(rate == 0.0, 1.0, rate)
    ratio = newtonian_rate_ratio(curve=curve, wall_rate=moving, power=SLIT)
    return array(width_gap_squared / 6.0 * rate * ratio)


def newtonian_leakage(
    *,
    viscosity: Floats,
    density: Floats,
    width: Floats,
    gap: Floats,
    land_length: Floats,
    pressure_per_stage: Floats,
) -> Floats:
    """Leakage of a Newtonian fluid, from the viscous to the inertial limit.

    Parameters
    ----------
    viscosity : Floats
        Viscosity. [Pa*s]
    density : Floats
        Density. [kg/m^3]
    width : Floats
        Length of the seal line, across the flow. [m]
    gap : Floats
        Clearance, 0 if closed. [m]
    land_length : Floats
        Length along the flow. [m]
    pressure_per_stage : Floats
        Pressure difference over one stage. [Pa]

    Returns
    -------
    leakage : Floats
        Root of ``a mu q + B rho q^2 = dp``, ``a = 12 L/(b h^3)``, ``B = Ki/(2 b^2 h^2)``. [m^3/s]

    Notes
    -----
    Source: slit with entrance and exit loss, textbook form (from memory).

    Examples
    --------
    >>> seal = {"density": 1000.0, "width": 30e-3, "gap": 50e-6, "land_length": 2e-3,
    ...         "pressure_per_stage": 3e5}
    >>> round(newtonian_leakage(viscosity=1e-3, **seal) * 1e6, 3)
    21.899
    >>> round(newtonian_leakage(viscosity=0.1, **seal) * 1e6, 5)
    0.46864
    """
    require_positive(viscosity=viscosity, density=density, width=width, land_length=land_length)
    require_not_negative(gap=gap, pressure_per_stage=pressure_per_stage)
    height = array(gap)
    closed = height == 0.0
    opening = np.where(closed, 1.0, height)
    viscous = 12.0 * array(land_length) * array(viscosity) / (array(width) * opening**3)
    inertial = INERTIAL_LOSS * array(density) / (2.0 * array(width) ** 2 * opening**2)
    pressure = array(pressure_per_stage)
    # This form of the root does not cancel when one of the two terms is small.
    leakage = 2.0 * pressure / (viscous + np.sqrt(viscous**2 + 4.0 * inertial * pressure))
    return plain(np.where(closed, 0.0 * leakage, leakage))


def slit_leakage(
    *,
    curve: FlowCurve,
    density: Floats,
    width: Floats,
    gap: Floats,
    land_length: Floats,
    pressure_per_stage: Floats,
    sliding_speed: Floats,
) -> Leakage:
    """Leakage over one seal line, as bounds that hold for the flow curve.

    For a Newtonian fluid both bounds are `newtonian_leakage`. For any other, the low bound
    leaves the sliding of the rotor out: a yield stress then holds the gap closed, which is
    optimistic, for the sliding rotor breaks the yield. The high bound is a Newtonian film with the
    viscosity at the sliding rate plus the rate of the leakage itself, the thinnest the material
    can be anywhere in the gap; where sliding dominates it is the viscosity at speed / gap.

    Parameters
    ----------
    curve : FlowCurve
        Flow behaviour at the temperature of the gap. [curve]
    density : Floats
        Density. [kg/m^3]
    width : Floats
        Length of the seal line, across the flow. [m]
    gap : Floats
        Clearance, 0 if closed. [m]
    land_length : Floats
        Length along the flow. [m]
    pressure_per_stage : Floats
        Pressure difference over one stage. [Pa]
    sliding_speed : Floats
        Rubbing speed of the rotor, 0 at rest. [m/s]

    Returns
    -------
    leakage : Leakage
        Low and high bound, and the name of the model. [m^3/s]

    Raises
    ------
    PhysicsDomainError
        If a known argument is negative, infinite, or zero where it cannot be.

    Notes
    -----
    The bounds speak of the flow curve alone; the uncertainty of the calibration comes on top.

    Source: own bounds on the textbook slit (own derivation).

    Examples
    --------
    >>> from configurator.physics.rheology import HerschelBulkley
    >>> paste = HerschelBulkley(100.0, 50.0, 0.5)
    >>> seal = {"density": 1000.0, "width": 30e-3, "gap": 50e-6, "land_length": 2e-3}
    >>> held = slit_leakage(curve=paste, pressure_per_stage=7.9e3, sliding_speed=0.03, **seal)
    >>> held.low, held.high > 0.0
    (0.0, True)
    """
    require_not_negative(sliding_speed=sliding_speed)
    require_positive(density=density)
    if isinstance(curve, Newtonian):
        leakage = array(
            newtonian_leakage(
                viscosity=curve.constant,
                density=density,
                width=width,
                gap=gap,
                land_length=land_length,
                pressure_per_stage=pressure_per_stage,
            )
        )
        both = plain(leakage + 0.0 * array(sliding_speed))
        return Leakage(low=both, high=both, model="Newtonian slit with inertia")
    require_positive(width=width, land_length=land_length)
    require_not_negative(gap=gap, pressure_per_stage=pressure_per_stage)
    known = 0.0 * array(curve.stress(1.0))
    given = (gap, pressure_per_stage, width, land_length, sliding_speed, density, known)
    height, pressure, across, along, sliding, mass, known = np.broadcast_arrays(*map(array, given))
    low = np.array(0.0 * (height + pressure + across + along + sliding + mass + known))
    high = low.copy()
    # Nothing is solved where nothing flows or something is unknown: most seal lines are closed.
    flows = ~np.isnan(low) & (height > 0.0) & (pressure > 0.0)
    if bool(np.any(flows)):
        opening, along = height[flows], along[flows]
        slit = _Slit(
            curve=curve.at(flows),
            width=across[flows],
            gap=opening,
            land_length=along,
            density=mass[flows],
            wall_stress=opening * pressure[flows] / (2.0 * along),
            pressure=pressure[flows],
        )
        still, film = slit.pressed_only(), slit.thinnest_film(sliding[flows] / opening)
        low[flows], high[flows] = np.minimum(still, film), np.maximum(still, film)
    return Leakage(
        low=plain(low),
        high=plain(high),
        model=f"{curve.name} slit, rotor at rest to thinnest film",
    )


@dataclass(frozen=True)
class _Slit:
    """One open slit, all of one shape, under a pressure above zero."""

    curve: FlowCurve
    width: Array
    gap: Array
    land_length: Array
    density: Array
    wall_stress: Array
    pressure: Array

    def pressed_only(self) -> Array:
        """Return the flow with the rotor at rest, viscous and inertial loss together."""
        with np.errstate(all="ignore"):
            free_rate = array(self.curve.rate(plain(self.wall_stress)))
            flows = free_rate > 0.0
            start = np.log(np.where(flows, free_rate, np.nan))
            inertia = INERTIAL_LOSS * self.density / (2.0 * self.width**2 * self.gap**2)

            def miss(log_rate: Array) -> tuple[Array, Array]:
                rate = np.exp(log_rate)
                ratio = newtonian_rate_ratio(curve=self.curve, wall_rate=rate, power=SLIT)
                leakage = self.width * self.gap**2 / 6.0 * rate * ratio
                viscous = 2.0 * self.land_length / self.gap * array(self.curve.stress(plain(rate)))
                kinetic = inertia * leakage**2
                bend = array(self.curve.slope(plain(rate)))
                total = viscous + kinetic
                rise = (viscous + 2.0 * kinetic * (3.0 / ratio - 2.0)) * bend / total
                return np.log(total / self.pressure), rise

            rate = np.exp(root_by_slope(miss, start, start - 60.0, kinked=self.curve.kinked))
            rate = np.where(flows | np.isnan(free_rate), rate, 0.0)
            return _flow_at_wall_rate(self.curve, self.width * self.gap**2, rate)

    def thinnest_film(self, sliding_rate: Array) -> Array:
        """Return the flow with the viscosity of the largest rate that the film can see."""
        with np.errstate(all="ignore"):
            free_rate = array(self.curve.rate(plain(self.wall_stress)))
            at_sliding = array(self.curve.viscosity(plain(sliding_rate)))
            guess = np.fmax(free_rate, self.wall_stress / at_sliding)
            flows = guess > 0.0
            start = np.log(np.where(flows, guess, np.nan))

            def miss(log_rate: Array) -> tuple[Array, Array]:
                pressed = np.exp(log_rate)
                total = pressed + sliding_rate
                thin = array(self.curve.viscosity(plain(total)))
                rise = 1.0 + (array(self.curve.slope(plain(total))) - 1.0) * pressed / total
                return np.log(thin * pressed / self.wall_stress), rise

            pressed = np.exp(root_by_slope(miss, start, start - 60.0, kinked=self.curve.kinked))
            thinnest = array(self.curve.viscosity(plain(pressed + sliding_rate)))
            viscous = 12.0 * self.land_length * thinnest / (self.width * self.gap**3)
            inertia = INERTIAL_LOSS * self.density / (2.0 * self.width**2 * self.gap**2)
            root = np.sqrt(viscous**2 + 4.0 * inertia * self.pressure)
            leakage = 2.0 * self.pressure / (viscous + root)
            return np.where(flows | np.isnan(free_rate + at_sliding), leakage, 0.0)
