"""Two components as one: volume shares, and how the mixture flows before it cures."""

from __future__ import annotations

import math

import numpy as np

from configurator.physics.rheology import FlowCurve, MeasuredCurve, Newtonian
from configurator.request.material import Material, Mix
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Floats

RATES = np.logspace(-3, 6, 37)
"""Shear rates at which the mixture of two curves is worked out, 1/s."""


def volume_shares(material: Material, fluids: tuple[Fluid, ...]) -> tuple[float, ...]:
    """Volume share of each side; a ratio by mass goes through the densities. [-]"""
    mix = material.mix
    if mix is None:
        return (1.0,)
    parts = [amount.nominal for amount in mix.ratio]
    if mix.by == "mass":
        parts = [amount / float(fluid.density) for amount, fluid in zip(parts, fluids, strict=True)]
    whole = sum(parts)
    return tuple(part / whole for part in parts)


def mixed_fluid(mix: Mix, fluids: tuple[Fluid, ...], shares: tuple[float, ...]) -> Fluid:
    """Flow of the freshly mixed material.

    Parameters
    ----------
    mix : Mix
        May state the mixed viscosity.
    fluids : tuple of Fluid
        Both components.
    shares : tuple of float
        Their volume shares. [-]

    Returns
    -------
    Fluid
        Thin, nominal and thick, each from the same end of both components. Without a stated
        viscosity the stresses mix logarithmically by volume at each shear rate, which is an
        estimate (Arrhenius rule of mixtures, from memory).
    """
    first, second = fluids
    stated = mix.mixed_viscosity
    if stated is not None:
        moved = [_moved(end, fluids, shares) for end in range(3)]
        curves: tuple[FlowCurve, ...] = tuple(
            Newtonian(value * factor)
            for value, factor in zip((stated.low, stated.nominal, stated.high), moved, strict=True)
        )
    else:
        curves = tuple(
            _blend(pair, shares) for pair in zip(first.curves, second.curves, strict=True)
        )
    return Fluid(
        curves=(curves[0], curves[1], curves[2]),
        density=sum(f.density * share for f, share in zip(fluids, shares, strict=True)),
        highest_rate=min(first.highest_rate, second.highest_rate),
        estimated=stated is None or first.estimated or second.estimated,
        thin_words=first.thin_words,
        thick_words=first.thick_words,
    )


def _blend(pair: tuple[FlowCurve, FlowCurve], shares: tuple[float, ...]) -> FlowCurve:
    if all(isinstance(curve, Newtonian) for curve in pair):
        logs = [math.log(float(curve.viscosity(1.0))) for curve in pair]
        return Newtonian(math.exp(sum(w * log for w, log in zip(shares, logs, strict=True))))
    stresses = [np.log(np.asarray(curve.stress(RATES))) for curve in pair]
    mixed = np.exp(sum(w * stress for w, stress in zip(shares, stresses, strict=True)))
    return MeasuredCurve(RATES.tolist(), mixed.tolist())


def _moved(end: int, fluids: tuple[Fluid, ...], shares: tuple[float, ...]) -> float:
    """How far temperature and batch move the mixture from nominal, by the components. [-]"""
    return math.exp(
        sum(
            share * math.log(fluid.viscosity()[end] / fluid.viscosity()[1])
            for fluid, share in zip(fluids, shares, strict=True)
        )
    )


def viscosity_ratio(fluids: tuple[Fluid, ...]) -> tuple[Floats, Floats]:
    """Thicker over thinner component: nominal, and the worst of the ends. [-]"""
    first, second = (fluid.apparent() for fluid in fluids)
    ratios = [np.asarray(np.maximum(a / b, b / a)) for a, b in zip(first, second, strict=True)]
    return ratios[1], np.maximum(np.maximum(ratios[0], ratios[1]), ratios[2])
