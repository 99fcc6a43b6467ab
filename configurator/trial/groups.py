"""Weighings as volumes, and those of one condition put together, each as an error of the head."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.trial.blocks import BLANK, DWELL, LINE, PRESSURE, SHOTS, SIZES
from configurator.trial.conditions import Key, key_of
from configurator.trial.distributions import Floats
from configurator.trial.plan import Reading, Run, Weighings
from configurator.units.grouped import grouped


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


WHOLE, CATCH, PART = "whole shots", "catches", "shots of a side"
"""What spreads alike: the spread of conditions of a kind is pooled."""

AGAINST = {WHOLE: SHOTS, CATCH: LINE, PART: SIZES}
"""Block of what each kind is compared with."""


@dataclass
class Gathered:
    """The weighings of one condition."""

    key: Key
    runs: list[Run]
    """As planned, one a weighing."""
    values: Floats
    """Relative to the reference; as caught."""
    compared: float
    """Weighings behind what it is compared with: infinite for itself, none where there is nothing."""

    @property
    def block(self) -> str:
        """What the runs are for."""
        return self.key[0]

    @property
    def side(self) -> str:
        """Side that is caught by itself, or empty."""
        return self.key[1]

    @property
    def kind(self) -> str:
        """Whole shots, catches or shots of a side."""
        if self.block == SIZES and not self.side and self.runs[0].level:
            return WHOLE
        if self.block == SIZES or (self.block == DWELL and self.side):
            return PART
        return CATCH if self.side or self.block in (LINE, PRESSURE) else WHOLE

    @property
    def scale(self) -> float:
        """From the spread of weighings to that of single shots."""
        return math.sqrt(self.runs[0].shots)

    @property
    def judged(self) -> bool:
        """Whether the process comes here, and there is something to compare with."""
        if not self.compared:
            return False
        return self.block not in (LINE, PRESSURE, SIZES) or bool(self.runs[0].level)


def groups_of(shots: Sequence[Shot]) -> list[Gathered]:
    """Put weighings together by condition."""
    caught = (shot for shot in shots if shot.run.block != BLANK)
    by_key = grouped(caught, lambda shot: key_of(shot.run))
    found = []
    for key, members in by_key.items():
        runs = [shot.run for shot in members]
        reference = _reference(runs[0], by_key)
        base = float(np.mean([shot.error for shot in reference or members]))
        values = (1.0 + np.array([shot.error for shot in members])) / (1.0 + base) - 1.0
        compared = math.inf if reference is members else float(len(reference))
        found.append(Gathered(key, runs, values, compared))
    return found


def _reference(run: Run, by_key: Mapping[Key, list[Shot]]) -> list[Shot]:
    """What the head is set by: whole shots, turns or shots of a side at the middle of everything.

    Empty where nothing is there to compare with.
    """
    whole = run.block not in (LINE, PRESSURE, SIZES) or (run.block == SIZES and run.level)
    if not run.side and whole:
        return by_key.get((SHOTS, "", "middle"), [])
    if run.block == SIZES and not run.level:
        return by_key[key_of(run)]
    if run.block == DWELL:
        return by_key.get((SIZES, run.side, run.turns), [])
    catches = [
        shot
        for key, members in by_key.items()
        if key[0] in (LINE, PRESSURE) and key[1] == run.side
        for shot in members
        if shot.run.level
    ]
    middle = [shot for shot in catches if shot.run.level == "middle"] or catches
    lowest = min((shot.run.pressure for shot in middle), default=0.0)
    found = [shot for shot in middle if shot.run.pressure == lowest]
    if not run.side and any(key_of(shot.run) == key_of(run) for shot in found):
        # What all catches are compared with stands itself against whole shots: a start between.
        return by_key.get((SHOTS, "", "middle"), [])
    return found or (by_key[key_of(run)] if run.block == SIZES else [])
