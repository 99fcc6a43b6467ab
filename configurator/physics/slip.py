"""Slip: what leaks back over the seal lines of a progressing cavity.

A seal line is taken as a flat slit of width b across the flow, land length L along it and gap h.
The leakage of one line, under the pressure of one stage, is the leakage of the head, for the
stages stand in series. A rigid stator has a clearance; an elastomer stator is closed up to an
opening pressure and then opens in proportion to the excess.

Form: slit models for progressing-cavity pumps (Gamboa, Olivet and Espin 2003; Zheng et al. 2018,
doi 10.1155/2018/3696930, seen as abstract). The flow in the gap is laminar with an inertial loss;
above a gap Reynolds number of about 2,000 it is turbulent, which is not modelled.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property, partial
from typing import Self

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Array,
    Floats,
    array,
    entries,
    plain,
    require_not_negative,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import each_model
from configurator.physics.rabinowitsch import SLIT, newtonian_rate_ratio
from configurator.physics.rheology import Newtonian
from configurator.physics.root import root_by_slope

BLOCK = 16_384
"""Slits taken together, so that what a search works on stays in the cache."""

INERTIAL_LOSS = 1.5
"""Loss coefficient Ki of the gap, entrance and exit together [-] (from memory)."""


@dataclass(frozen=True)
class Leakage:
    """Leakage between two bounds [m^3/s]; both are the same number for a Newtonian fluid."""

    low: Floats
    high: Floats


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
    pressure = array(pressure_per_stage)
    seal = (array(density), array(width), opening, array(land_length))
    leakage = _pressed_through(array(viscosity), *seal, pressure)
    return plain(np.where(closed, 0.0 * leakage, leakage))


def _pressed_through(viscosity: Array, *given: Array) -> Array:
    """Return the flow of one viscosity through open slits: viscous and inertial loss together."""
    density, width, gap, land_length, pressure = given
    viscous = 12.0 * land_length * viscosity / (width * gap**3)
    inertial = INERTIAL_LOSS * density / (2.0 * width**2 * gap**2)
    # This form of the root does not cancel when one of the two terms is small.
    root = np.sqrt(viscous**2 + 4.0 * inertial * pressure)
    return np.asarray(2.0 * pressure / (viscous + root))


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
    can be anywhere in the gap; where sliding dominates it is the viscosity at speed / gap. With
    every rotor at rest nothing is left to bound: both are the leakage without sliding.

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
        Low and high bound. [m^3/s]

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
    require_not_negative(
        sliding_speed=sliding_speed, gap=gap, pressure_per_stage=pressure_per_stage
    )
    require_positive(density=density, width=width, land_length=land_length)
    given = (density, width, gap, land_length, pressure_per_stage, sliding_speed)
    low, high = each_model(curve, _bounds, *(np.atleast_1d(array(value)) for value in given))
    if all(np.ndim(value) == 0 for value in given) and low.size == 1:
        return Leakage(low=float(low[0]), high=float(high[0]))
    return Leakage(low=low, high=high)


def _bounds(curve: FlowCurve, *given: Array) -> tuple[Array, Array]:
    """Return the low and the high bound; one array for both if the curve is Newtonian."""
    density, width, gap, land_length, pressure, sliding = given
    if isinstance(curve, Newtonian):
        leakage = newtonian_leakage(
            viscosity=curve.constant,
            density=density,
            width=width,
            gap=gap,
            land_length=land_length,
            pressure_per_stage=pressure,
        )
        both = array(leakage) + 0.0 * sliding
        return both, both
    with np.errstate(all="ignore"):
        known = curve.stress_of(np.ones(())) + (density + width + land_length + sliding)
        low = 0.0 * (known + (gap + pressure))
    high = low.copy()
    # Nothing is solved where nothing flows or something is unknown: most seal lines are closed.
    every = np.flatnonzero(np.isfinite(low) & (gap > 0.0) & (pressure > 0.0))
    for start in range(0, every.size, BLOCK):
        flows = every[start : start + BLOCK]
        some = curve.at(flows, low.shape)
        slit = _Slit(some, *(entries(values, low.shape, flows) for values in given))
        still = slit.pressed_only()
        film = slit.thinnest_film() if np.any(slit.sliding) else still
        low.flat[flows], high.flat[flows] = np.minimum(still, film), np.maximum(still, film)
    return low, high


@dataclass(frozen=True)
class _Slit:
    """Open slits in a row, each under a pressure above zero."""

    curve: FlowCurve
    density: Array
    width: Array
    gap: Array
    land_length: Array
    pressure: Array
    sliding: Array

    def at(self, places: NDArray[np.intp]) -> Self:
        """Return some of them."""
        values = {each.name: getattr(self, each.name)[places] for each in fields(self)[1:]}
        return type(self)(curve=self.curve.at(places, self.gap.shape), **values)

    @cached_property
    def wall_stress(self) -> Array:
        """Stress at the wall if nothing is lost to inertia [Pa]."""
        return self.gap * self.pressure / (2.0 * self.land_length)

    @cached_property
    def inertia(self) -> Array:
        """Inertial loss over the square of the flow [Pa*s^2/m^6]."""
        return INERTIAL_LOSS * self.density / (2.0 * self.width**2 * self.gap**2)

    @cached_property
    def free_rate(self) -> Array:
        """Shear rate at the wall if nothing is lost to inertia [1/s]."""
        return self.curve.rate_of(self.wall_stress)

    def _pressed(self, log_rate: Array) -> tuple[Array, Array]:
        """By how much the loss at a wall rate misses the pressure, rotor at rest."""
        rate = np.exp(log_rate)
        ratio = newtonian_rate_ratio(curve=self.curve, wall_rate=rate, power=SLIT)
        leakage = self.width * self.gap**2 / 6.0 * rate * ratio
        viscous = 2.0 * self.land_length / self.gap * self.curve.stress_of(rate)
        kinetic = self.inertia * leakage**2
        total = viscous + kinetic
        bend = self.curve.slope_of(rate)
        rise = (viscous + 2.0 * kinetic * (3.0 / ratio - 2.0)) * bend / total
        return np.log(total / self.pressure), rise

    def pressed_only(self) -> Array:
        """Return the flow with the rotor at rest, viscous and inertial loss together."""
        with np.errstate(all="ignore"):
            flows = self.free_rate > 0.0
            # Where a gap is wide, inertia holds the rate far below that of a loss without it.
            inertial = 6.0 / (self.width * self.gap**2) * np.sqrt(self.pressure / self.inertia)
            guess = np.where(flows, self.free_rate, np.nan)
            rate = np.exp(self._root(guess, np.minimum(guess, inertial), _Slit._pressed))
            rate = np.where(flows | np.isnan(self.free_rate), rate, 0.0)
            moving = np.where(rate == 0.0, 1.0, rate)
            ratio = newtonian_rate_ratio(curve=self.curve, wall_rate=moving, power=SLIT)
            return np.asarray(self.width * self.gap**2 / 6.0 * rate * ratio)

    @cached_property
    def sliding_rate(self) -> Array:
        """Shear rate that the rotor drags into the gap [1/s]."""
        return self.sliding / self.gap

    def _filmed(self, log_rate: Array) -> tuple[Array, Array]:
        """By how much a film with the viscosity at a rate misses the wall stress."""
        pressed = np.exp(log_rate)
        total = pressed + self.sliding_rate
        thin = self.curve.viscosity_of(total)
        rise = 1.0 + (self.curve.slope_of(total) - 1.0) * pressed / total
        return np.log(thin * pressed / self.wall_stress), rise

    def thinnest_film(self) -> Array:
        """Return the flow with the viscosity of the largest rate that the film can see."""
        with np.errstate(all="ignore"):
            at_sliding = self.curve.viscosity_of(self.sliding_rate)
            guess = np.fmax(self.free_rate, self.wall_stress / at_sliding)
            flows = guess > 0.0
            guess = np.where(flows, guess, np.nan)
            pressed = np.exp(self._root(guess, guess, _Slit._filmed))
            thinnest = self.curve.viscosity_of(pressed + self.sliding_rate)
            seal = (self.density, self.width, self.gap, self.land_length)
            leakage = _pressed_through(thinnest, *seal, self.pressure)
            return np.where(flows | np.isnan(self.free_rate + at_sliding), leakage, 0.0)

    def _root(
        self, guess: Array, least: Array, miss: Callable[[Self, Array], tuple[Array, Array]]
    ) -> Array:
        """Return the logarithm of the rate, not far below `least`, at which nothing is missed."""
        return root_by_slope(
            partial(miss, self),
            np.log(guess),
            np.log(least) - 60.0,
            kinked=self.curve.kinked,
            some=lambda places: partial(miss, self.at(places)),
        )
