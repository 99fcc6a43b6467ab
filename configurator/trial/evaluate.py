"""From filled forms to what the head does, what is wrong with it, and the verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.errors import UsageError
from configurator.trial import named as names
from configurator.trial.blocks import LINE, PRESSURE, SIZES
from configurator.trial.named import Named
from configurator.trial.plan import SideFacts, TrialPlan
from configurator.trial.shots import (
    Level,
    Shot,
    blank_mean,
    counted_reliability,
    density_error,
    levels_of,
    setting_factor,
    shots_of,
)
from configurator.trial.slip_map import Catches, SlipMap, slip_map
from configurator.trial.verdict import TrialVerdict, verdict_of
from configurator.trial.weighings import Weighings


@dataclass(frozen=True)
class SideResult:
    """One side and its map; None where the catches do not tell."""

    side: SideFacts
    map: SlipMap | None
    density_measured: bool


@dataclass(frozen=True)
class TrialEvaluation:
    """What a trial shows."""

    plan: TrialPlan
    """Of the first look."""
    date: str
    """Of the last form; empty if not written."""
    looks: int
    """Forms that were read."""
    sides: tuple[SideResult, ...]
    """One a side."""
    setting: float
    """Factor on the turns that sets the nominal flow right. [-]"""
    levels: tuple[Level, ...]
    """Shots at each flow."""
    named: tuple[Named, ...]
    """What shows in the weighings."""
    counted: float | None
    """Reliability that counting alone shows. [-]"""
    blanks: tuple[float, int]
    """Mean change, and how many. [kg]"""
    left_out: tuple[tuple[int, str], ...]
    """Runs that people left out, and why."""
    missing: tuple[int, ...]
    """Runs without a mass."""
    verdict: TrialVerdict
    """By the rule of the plan."""


def evaluate(forms: Sequence[Weighings]) -> TrialEvaluation:
    """Evaluate the forms of one trial, in the order in which they were weighed.

    Raises
    ------
    UsageError
        If the forms are not the looks of one trial in their order.
    """
    first = forms[0]
    _check_looks(forms)
    plan = first.plan
    correction, blanks = blank_mean(forms)
    shots = shots_of(first, correction)
    further = [shot for form in forms[1:] for shot in shots_of(form, correction)]
    factor = setting_factor([*shots, *further])
    levels = levels_of([*shots, *further], plan, factor)
    sides = tuple(_side(first, side, shots) for side in plan.sides)
    found = _named(shots, plan, factor, sides, correction)
    missing = tuple(number for form in forms for number in form.missing)
    return TrialEvaluation(
        plan=plan,
        date=forms[-1].date,
        looks=len(forms),
        sides=sides,
        setting=factor,
        levels=levels,
        named=found,
        counted=counted_reliability(levels, plan.confidence),
        blanks=(correction, blanks),
        left_out=tuple(
            (reading.run.number, reading.left_out)
            for form in forms
            for reading in form.readings
            if reading.left_out
        ),
        missing=missing,
        verdict=verdict_of(plan, levels, found, missing, look=len(forms)),
    )


def _check_looks(forms: Sequence[Weighings]) -> None:
    trial = forms[0].plan.trial
    for place, form in enumerate(forms, start=1):
        if form.plan.trial != trial:
            raise UsageError(
                f"form {place} belongs to trial {form.plan.trial}, the first one to {trial}",
                "a trial is one material, build, catalog, tolerance and confidence: plan a further "
                "look with the options of the first, and with the evidence that it had",
            )
        if form.plan.look != place:
            raise UsageError(
                f"form {place} is of look {form.plan.look}",
                "give each look once, in order: trial evaluate FIRST.csv SECOND.csv",
            )


def _side(form: Weighings, side: SideFacts, shots: Sequence[Shot]) -> SideResult:
    caught = [
        shot
        for shot in shots
        if shot.reading.run.block in (LINE, PRESSURE, SIZES) and shot.reading.run.side == side.name
    ]
    catches = Catches(
        per_turn=np.array([shot.volume / shot.reading.run.turns for shot in caught]),
        turns=np.array([shot.reading.run.turns for shot in caught]),
        shots=np.array([float(shot.reading.run.shots) for shot in caught]),
        speed=np.array([shot.reading.run.speed for shot in caught]),
        pressure=np.array([shot.reading.pressure for shot in caught]),
        straight=np.array([shot.reading.run.block == LINE for shot in caught], dtype=np.bool_),
    )
    found = slip_map(catches, side, density_error(form, side.name)) if caught else None
    return SideResult(side, found, form.densities[1, side.name][1])


def _named(
    shots: Sequence[Shot],
    plan: TrialPlan,
    factor: float,
    sides: Sequence[SideResult],
    correction: float,
) -> tuple[Named, ...]:
    found: list[Named | None] = []
    for result in sides:
        speeds = [
            shot.reading.run.speed
            for shot in shots
            if shot.reading.run.block == LINE and shot.reading.run.side == result.side.name
        ]
        if result.map is not None and speeds:
            found.append(names.leak(result.map, result.side, min(speeds), plan))
            found.append(names.open_from_nothing(result.map, result.side, min(speeds)))
    by_temperature, per_kelvin = names.temperature(shots, plan, factor)
    found += [
        *names.air(shots, plan),
        names.first_shot(shots, plan, factor),
        by_temperature,
        names.drift(shots, plan, factor, per_kelvin),
        *names.ratio(shots, plan),
        names.second_batch(shots, plan, factor),
        names.evaporation(correction, shots, plan),
    ]
    return tuple(each for each in found if each is not None)
