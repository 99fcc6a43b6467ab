"""From filled forms to what the head does, what is wrong with it, the verdict, and what is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from configurator.errors import UsageError
from configurator.trial import named as names
from configurator.trial.blocks import LINE, PRESSURE, SIZES
from configurator.trial.named import Named
from configurator.trial.plan import SideFacts, TrialPlan, Weighings
from configurator.trial.sample_size import two_sided_factor
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
from configurator.workshop.head_record import HeadRecord

ACCEPT, EXTEND, REJECT = "accept", "extend", "reject"


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


@dataclass(frozen=True, slots=True)
class TrialVerdict:
    """What the trial says."""

    word: str
    """accept, extend or reject."""
    further: int
    """Shots a flow to weigh before the next look; 0 unless `word` is extend for want of shots."""
    reasons: tuple[str, ...]
    """Sentences with numbers."""


def verdict_of(
    plan: TrialPlan,
    levels: Sequence[Level],
    named: Sequence[Named],
    missing: Sequence[int],
    *,
    look: int,
) -> TrialVerdict:
    """Apply the stop rule of the first look's plan; `look` counts the looks, this one included."""
    systematic = sum(each.effect for each in named if each.adds)
    decisive = [each for each in named if each.decides]
    limit = plan.tolerance
    reasons = [_interval_in_words(level, systematic, limit) for level in levels]
    if decisive:
        return TrialVerdict(
            REJECT, 0, (*(f"{each.topic}: {each.says}" for each in decisive), *reasons)
        )
    if missing or not levels:
        listed = ", ".join(map(str, missing[:12])) + (" ..." if len(missing) > 12 else "")  # noqa: PLR2004
        runs = "1 planned run has" if len(missing) == 1 else f"{len(missing)} planned runs have"
        text = f"{runs} no mass: {listed}" if missing else "no shots"
        return TrialVerdict(EXTEND, 0, (text, *reasons))
    if all(level.farthest + systematic <= limit for level in levels):
        return TrialVerdict(ACCEPT, 0, tuple(reasons))
    needed = [_needed(level, systematic, plan) for level in levels]
    known = [count for count in needed if count is not None]
    if len(known) < len(needed):
        text = (
            f"no number of shots up to {plan.most_shots} a flow would do with the spread, the mean "
            "and the drifts as seen"
        )
        return TrialVerdict(REJECT, 0, (text, *reasons))
    if look >= plan.looks:
        text = f"this was look {look} of {plan.looks}: no further one was planned"
        return TrialVerdict(REJECT, 0, (text, *reasons))
    further = max(count - level.count for count, level in zip(known, levels, strict=True))
    text = f"{further} further shots a flow would do if they spread as these"
    return TrialVerdict(EXTEND, max(further, 1), (text, *reasons))


def _needed(level: Level, systematic: float, plan: TrialPlan) -> int | None:
    """Shots in all that this flow would take with the spread and mean as seen."""
    room = plan.tolerance - systematic - abs(level.mean)
    if room <= 0.0:
        return None
    low, high = level.count - 1, plan.most_shots

    def enough(count: int) -> bool:
        factor = two_sided_factor(count, plan.reliability, plan.look_confidence)
        return factor * level.deviation <= room

    if high < level.count or not enough(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle
    return high


def _interval_in_words(level: Level, systematic: float, limit: float) -> str:
    widened = f", {systematic * 100:.3g} % more by drifts" if systematic else ""
    total = level.farthest + systematic
    state = "within" if total <= limit else "outside"
    return (
        f"{level.level} flow: {level.low * 100:+.3g} to {level.high * 100:+.3g} %{widened}: {state} "
        f"+/- {limit * 100:.3g} %"
    )


def records_of(evaluation: TrialEvaluation) -> tuple[HeadRecord, ...]:
    """Return what a trial leaves behind, one record a side that could be mapped."""
    return tuple(
        _record(evaluation, result, result.map)
        for result in evaluation.sides
        if result.map is not None
    )


def _record(evaluation: TrialEvaluation, result: SideResult, found: SlipMap) -> HeadRecord:
    pressure, slip = found.slip[-1]
    plan = evaluation.plan
    lost = slip.value if found.slip_is_sure else max(slip.high, 0.0)
    speeds = [
        run.speed
        for run in plan.runs
        if run.block == "pressure map" and run.side == result.side.name
    ]
    return HeadRecord(
        trial=plan.trial,
        date=evaluation.date,
        material=plan.material,
        side=_side_name(result.side.name),
        cavity=result.side.cavity,
        stator=result.side.stator,
        rigid=result.side.rigid,
        verdict=_word(evaluation.verdict.word),
        displacement_ml=_six(found.displacement.value * 1e6),
        displacement_half_ml=_six(found.displacement.half * 1e6),
        slip_ml_min=_six(lost * 6e7),
        slip_shows=found.slip_is_sure,
        pressure_bar=_six(pressure / 1e5),
        opening_bar=None if found.opening is None else _six(found.opening / 1e5),
        speed_rpm=_six(max(speeds) * 60.0),
        temperature_c=_six(plan.temperature.nominal - 273.15),
    )


def _side_name(name: str) -> Literal["", "a", "b"]:
    return "a" if name == "a" else "b" if name == "b" else ""


def _word(word: str) -> Literal["accept", "extend", "reject"]:
    return "accept" if word == "accept" else "extend" if word == "extend" else "reject"


def _six(value: float) -> float:
    return float(f"{value:.6g}")
