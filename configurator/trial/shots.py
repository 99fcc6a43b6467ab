"""Single shots: their error, spread, tolerance interval and capability at each flow."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.trial.blocks import BLANK, SHOTS
from configurator.trial.plan import Reading, TrialPlan, Weighings
from configurator.trial.sample import Capability, capability, outliers
from configurator.trial.sample_size import shown_reliability, two_sided_factor

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shot:
    """One weighing as a relative error of a shot."""

    reading: Reading
    """Where it comes from."""
    error: float
    """Volume over what the catalog's displacement gives, less 1. [-]"""
    volume: float
    """Of one shot. [m^3]"""


@dataclass(frozen=True)
class Level:
    """The shots at one flow, after the head is set on the scale at the nominal flow."""

    level: str
    """low, middle or high."""
    count: int
    """Weighings. [-]"""
    grouped: int
    """Shots in each. [-]"""
    mean: float
    """Relative error. [-]"""
    deviation: float
    """Relative standard deviation of single shots. [-]"""
    factor: float
    """Tolerance factor. [-]"""
    low: float
    high: float
    """Tolerance interval of single shots. [-]"""
    capability: Capability
    """Against the tolerance."""
    inside: int
    """Weighings inside of the tolerance. [-]"""
    outliers: tuple[int, ...]
    """Runs that stand out; they count."""

    @property
    def farthest(self) -> float:
        """End of the tolerance interval that is farther from the wanted volume. [-]"""
        return max(abs(self.low), abs(self.high))


def blank_mean(weighings: Iterable[Weighings]) -> tuple[float, int]:
    """Mean change of the blanks, and how many there are; nothing is corrected below three."""
    masses = [
        reading.mass
        for each in weighings
        for reading in each.readings
        if reading.run.block == BLANK and not reading.left_out
    ]
    if len(masses) < 3:  # noqa: PLR2004 - fewer say nothing about a mean
        return 0.0, len(masses)
    return float(np.mean(masses)), len(masses)


def shots_of(weighings: Weighings, correction: float) -> tuple[Shot, ...]:
    """Every weighing that counts as volume and relative error, blanks taken off.

    The correction is the mean change of the blanks. [kg]
    """
    found = []
    for reading in weighings.readings:
        run = reading.run
        if run.block == BLANK or reading.left_out:
            continue
        ideal, density = _ideal_and_density(weighings, run.side, run.batch)
        volume = (reading.mass - correction) / density / run.shots
        found.append(Shot(reading, volume / (run.turns * ideal) - 1.0, volume))
    return tuple(found)


def _ideal_and_density(weighings: Weighings, side: str, batch: int) -> tuple[float, float]:
    """Volume a turn by the catalog, and density of what is caught. [m^3/rev, kg/m^3]"""
    plan = weighings.plan
    if side:
        facts = next(each for each in plan.sides if each.name == side)
        return facts.displacement, weighings.densities[batch, side][0].nominal
    density = sum(
        each.share * weighings.densities[batch, each.name][0].nominal for each in plan.sides
    )
    return plan.ideal_per_turn, density


def density_error(weighings: Weighings, side: str) -> float:
    """Relative half-width of the density of the first batch. [-]"""
    density, _ = weighings.densities[1, side]
    return density.width / 2.0 / density.nominal


def errors(shots: Iterable[Shot], block: str, level: str | None = None) -> Floats:
    """Relative errors of a block, of one level if that is given."""
    return np.array(
        [
            shot.error
            for shot in shots
            if shot.reading.run.block == block and level in (None, shot.reading.run.level)
        ],
        dtype=np.float64,
    )


def setting_factor(shots: Iterable[Shot]) -> float:
    """Factor on the turns that sets the mean of the nominal flow right. [-]"""
    middle = errors(shots, SHOTS, "middle")
    return 1.0 / (1.0 + float(middle.mean())) if len(middle) else 1.0


def levels_of(shots: Iterable[Shot], plan: TrialPlan, factor: float) -> tuple[Level, ...]:
    """Judge the shots of all looks at each flow, by the plan of the first and the head's factor."""
    by_level: dict[str, list[Shot]] = {}
    for shot in shots:
        if shot.reading.run.block == SHOTS:
            by_level.setdefault(shot.reading.run.level, []).append(shot)
    order = ("low", "middle", "high")
    found = [
        _level(name, by_level[name], plan, factor)
        for name in sorted(by_level, key=lambda name: order.index(name) if name in order else 3)
        if len(by_level[name]) > 1
    ]
    return tuple(found)


def _level(name: str, shots: list[Shot], plan: TrialPlan, factor: float) -> Level:
    values = np.array([(1.0 + shot.error) * factor - 1.0 for shot in shots])
    grouped = shots[0].reading.run.shots
    mean = float(values.mean())
    # The mean of a group spreads less than its shots by the root of their number.
    deviation = float(values.std(ddof=1)) * math.sqrt(grouped)
    k = two_sided_factor(len(values), plan.reliability, plan.look_confidence)
    stand_out = outliers(values)
    return Level(
        level=name,
        count=len(values),
        grouped=grouped,
        mean=mean,
        deviation=deviation,
        factor=k,
        low=mean - k * deviation,
        high=mean + k * deviation,
        capability=capability(
            mean=mean,
            deviation=deviation,
            count=len(values),
            lower=-plan.tolerance,
            upper=plan.tolerance,
        ),
        inside=int(np.count_nonzero(np.abs(values) <= plan.tolerance)),
        outliers=tuple(shots[place].reading.run.number for place in stand_out),
    )


def counted_reliability(levels: Iterable[Level], confidence: float) -> float | None:
    """Reliability that counting alone shows; None if a weighing was outside, or is of a group."""
    every = list(levels)
    if any(level.inside < level.count or level.grouped > 1 for level in every):
        return None
    return shown_reliability(count=sum(level.count for level in every), confidence=confidence)
