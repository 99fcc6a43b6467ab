"""Two components as one: volume shares, and how the mixture flows before it cures."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from configurator.physics.rheology import FlowCurve, MeasuredCurve, Newtonian
from configurator.request.estimates import READING_RATE
from configurator.request.material import Material, Mix
from configurator.rules.fluid import PRACTICE_RATE, Fluid
from configurator.rules.frame import Floats
from configurator.units.quantity import Quantity

RATES = np.logspace(-3, 6, 37)
"""Shear rates at which the mixture of two curves is worked out, 1/s."""


Batches = tuple[FlowCurve, FlowCurve]
"""Thin and thick at one temperature."""

Ends = Sequence[tuple[float, float]]
"""Volume shares of both sides, at each end of the ratio. [-]"""


class VolumeShare(NamedTuple):
    """Volume share of a side in the whole flow; arrays for many requests at once. [-]"""

    low: float
    nominal: float
    high: float


def volume_shares(material: Material, fluids: tuple[Fluid, ...]) -> tuple[VolumeShare, ...]:
    """Volume share of each side; a ratio by mass goes through the densities."""
    mix = material.mix
    if mix is None:
        return (VolumeShare(1.0, 1.0, 1.0),)
    parts = [np.array(amount.interval.ends) for amount in mix.ratio]
    if mix.by == "mass":
        # The lighter a side may be, the more of it there is.
        parts = [
            amount / np.array([fluid.density_ends[1], fluid.density, fluid.density_ends[0]])
            for amount, fluid in zip(parts, fluids, strict=True)
        ]
    first, second = parts
    return (
        VolumeShare(*(first / (first + second[::-1])).tolist()),
        VolumeShare(*(second / (second + first[::-1])).tolist()),
    )


def mixed_fluid(mix: Mix, fluids: tuple[Fluid, ...], shares: tuple[VolumeShare, ...]) -> Fluid:
    """Flow of the freshly mixed material, each end from the same end of both components.

    The stresses mix logarithmically by volume at each shear rate, which is an estimate (Arrhenius
    rule of mixtures, from memory). A stated viscosity is that at the temperature at which the
    components are stated, at the rates of a lone reading; that mixture gives its shape and its
    change with temperature.
    """
    first, second = fluids
    minor, usual, major = ((part, 1.0 - part) for part in shares[0])
    nominal = _blend((first.nominal, second.nominal), usual)
    reference = _blend((first.reference, second.reference), usual)
    middle = 1.0
    ends = (usual,) if shares[0].low == shares[0].high else (minor, major)
    if mix.mixed_viscosity is None:
        warm, cold = (
            _batches((first.warm, second.warm), ends),
            _batches((first.cold, second.cold), ends),
        )
    else:
        read = float(reference.viscosity(READING_RATE.nominal))
        middle = mix.mixed_viscosity.nominal / read
        warm, cold = _as_stated(mix.mixed_viscosity, fluids, ends)
    stated = mix.mixed_viscosity is not None and isinstance(nominal, Newtonian)
    return Fluid(
        curves=(warm[0], nominal.scaled(middle), cold[1]),
        reference=reference.scaled(middle),
        warm=warm,
        cold=cold,
        corners=(),
        by_heat=((1.0, 1.0), (1.0, 1.0)),
        density=usual[0] * first.density + usual[1] * second.density,
        density_ends=(
            min(
                part * first.density_ends[0] + rest * second.density_ends[0] for part, rest in ends
            ),
            max(
                part * first.density_ends[1] + rest * second.density_ends[1] for part, rest in ends
            ),
        ),
        lowest_rate=max(first.lowest_rate, second.lowest_rate),
        highest_rate=min(first.highest_rate, second.highest_rate),
        estimated=not stated or first.estimated or second.estimated,
        thin_words=first.thin_words,
        thick_words=first.thick_words,
    )


def _batches(pair: tuple[Batches, Batches], ends: Ends) -> Batches:
    """Thin and thick of a mixture at one temperature, the same object where nothing moves it."""
    (thin, thick), (thin_2, thick_2) = pair
    low = _beyond(np.minimum, [_blend((thin, thin_2), end) for end in ends])
    if len(ends) == 1 and thin is thick and thin_2 is thick_2:
        return low, low
    return low, _beyond(np.maximum, [_blend((thick, thick_2), end) for end in ends])


def _as_stated(stated: Quantity, fluids: tuple[Fluid, ...], ends: Ends) -> tuple[Batches, Batches]:
    """A mixture through its stated viscosity, warmest and coldest: thin and thick batch.

    What the components' own amounts are off by is in the reading; their shapes are not, and at
    which shear rate it was read is not said. So each shape that a mixture of corners can have goes
    through the reading at each of these rates. Heat moves it by what it moves the components.
    """
    first, second = fluids
    heat = [
        [
            [one ** end[0] * other ** end[1] for one, other in zip(*each, strict=True)]
            for end in ends
        ]
        for each in zip(first.by_heat, second.by_heat, strict=True)
    ]
    corners = [(*fluid.corners, fluid.reference) for fluid in fluids]
    thin: FlowCurve
    thick: FlowCurve
    if all(isinstance(curve, Newtonian) for each in corners for curve in each):
        thin, thick = Newtonian(stated.low), Newtonian(stated.high)
    elif math.isnan(ends[0][0]):
        thin = thick = Newtonian(math.nan)
    else:
        rates = np.concatenate([RATES, READING_RATE.ends])
        one, other = (np.log(np.array([curve.stress(rates) for curve in each])) for each in corners)
        mixed = [a * one[:, np.newaxis] + b * other[np.newaxis] for a, b in ends]
        shapes, read = np.split(np.stack(mixed), [len(RATES)], axis=-1)
        read -= np.log(READING_RATE.ends)
        low = (shapes - read.max(axis=-1, keepdims=True)).min(axis=(0, 1, 2))
        high = (shapes - read.min(axis=-1, keepdims=True)).max(axis=(0, 1, 2))
        thin = MeasuredCurve(RATES.tolist(), (stated.low * np.exp(low)).tolist())
        thick = MeasuredCurve(RATES.tolist(), (stated.high * np.exp(high)).tolist())

    def moved(by: list[list[float]]) -> Batches:
        least, most = min(each[0] for each in by), max(each[1] for each in by)
        low = thin.scaled(least)
        return (low, low) if thin == thick and least == most else (low, thick.scaled(most))

    return moved(heat[0]), moved(heat[1])


def _blend(pair: Batches, shares: tuple[float, float]) -> FlowCurve:
    if all(isinstance(curve, Newtonian) for curve in pair):
        logs = [math.log(float(curve.viscosity(1.0))) for curve in pair]
        return Newtonian(math.exp(sum(w * log for w, log in zip(shares, logs, strict=True))))
    if math.isnan(shares[0]):
        return Newtonian(math.nan)  # how much there is of each is not known
    stresses = [np.log(np.asarray(curve.stress(RATES))) for curve in pair]
    mixed = np.exp(sum(w * stress for w, stress in zip(shares, stresses, strict=True)))
    return MeasuredCurve(RATES.tolist(), mixed.tolist())


def _beyond(take: Callable[..., NDArray[np.float64]], curves: Sequence[FlowCurve]) -> FlowCurve:
    """The least or the greatest of curves at every rate."""
    if len(curves) == 1:
        return curves[0]
    if all(isinstance(curve, Newtonian) for curve in curves):
        return Newtonian(float(take(*(curve.viscosity(1.0) for curve in curves))))
    return MeasuredCurve(RATES.tolist(), take(*(curve.stress(RATES) for curve in curves)).tolist())


def viscosity_ratio(fluids: tuple[Fluid, ...]) -> tuple[Floats, Floats]:
    """Thicker over thinner component: nominal, and the worst inside of the ranges. [-]

    Both components have one temperature, and batches of their own.
    """
    first, second = fluids
    nominal = first.nominal.viscosity(PRACTICE_RATE) / second.nominal.viscosity(PRACTICE_RATE)
    nominal = np.asarray(np.maximum(nominal, 1.0 / nominal))
    worst = nominal
    for one, other in ((first.warm, second.warm), (first.cold, second.cold)):
        (thin, thick), (thin_2, thick_2) = (
            [np.asarray(curve.viscosity(PRACTICE_RATE)) for curve in each] for each in (one, other)
        )
        worst = np.maximum(worst, np.maximum(thick / thin_2, thick_2 / thin))
    return nominal, np.asarray(worst)
