"""Weighings of one condition put together, each as an error from what the head is set by."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.trial.blocks import BLANK, DWELL, LINE, PRESSURE, SHOTS, SIZES
from configurator.trial.conditions import Key, key_of
from configurator.trial.distributions import Floats
from configurator.trial.plan import Run
from configurator.trial.shots import Shot
from configurator.units.grouped import grouped

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
