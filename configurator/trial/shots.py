"""Weighings as volumes and relative errors, blanks taken off."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

import numpy as np

from configurator.trial.blocks import BLANK, SHOTS
from configurator.trial.distributions import Floats
from configurator.trial.plan import Reading, Run, Weighings


@dataclass(frozen=True, slots=True)
class Shot:
    """One weighing as a relative error of a shot."""

    reading: Reading
    error: float
    """Volume over what the catalog's displacement gives, less 1. [-]"""
    volume: float
    """Of one shot. [m^3]"""

    @property
    def run(self) -> Run:
        """What was to be weighed."""
        return self.reading.run


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


def among(
    shots: Iterable[Shot],
    blocks: Collection[str],
    *,
    side: str | None = None,
    level: str | None = None,
) -> list[Shot]:
    """Shots of some blocks, of one side and one level where those are given."""
    return [
        shot
        for shot in shots
        if shot.run.block in blocks
        and side in (None, shot.run.side)
        and level in (None, shot.run.level)
    ]


def errors(shots: Iterable[Shot], block: str, level: str, side: str | None = None) -> Floats:
    """Relative errors of one level of a block, of one side if that is given."""
    found = among(shots, (block,), level=level, side=side)
    return np.array([shot.error for shot in found], dtype=np.float64)


def setting_factor(shots: Iterable[Shot]) -> float:
    """Factor on the turns that sets the mean of the nominal flow right. [-]"""
    middle = errors(shots, SHOTS, "middle")
    return 1.0 / (1.0 + float(middle.mean())) if len(middle) else 1.0
