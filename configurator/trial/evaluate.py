"""From filled forms to what the head does, what is wrong with it, and the verdict."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.errors import UsageError
from configurator.trial import named as names
from configurator.trial.blocks import BATCH, LINE, PRESSURE, SHOTS, SIZES
from configurator.trial.conditions import Condition, Judged, Outlier
from configurator.trial.groups import (
    Shot,
    among,
    blank_mean,
    density_error,
    errors,
    setting_factor,
    shots_of,
)
from configurator.trial.judging import judge
from configurator.trial.named import Named
from configurator.trial.plan import SideFacts, TrialPlan, Weighings
from configurator.trial.sample_size import shown_reliability
from configurator.trial.slip_map import Catches, SlipMap, slip_map

ACCEPT, EXTEND, REJECT = "accept", "extend", "reject"


@dataclass(frozen=True)
class SideResult:
    """One side and its map; None where the catches do not tell."""

    side: SideFacts
    delivered: float
    """A turn at the nominal flow: whole shots, or catches of a side; NaN if it was not caught by
    itself. [m^3/rev]"""
    map: SlipMap | None
    density_measured: bool

    @property
    def setting(self) -> float:
        """Factor on the turns that sets this side right; each side has a drive of its own. [-]"""
        return self.side.displacement / self.delivered


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
    judged: Judged
    """Every condition by itself, and what stands out."""
    named: tuple[Named, ...]
    """What shows in the weighings."""
    drift: tuple[float, float] | None
    """Change of a shot an hour over the drift block, and its half-width at 95 %. [1/h]"""
    counted: float | None
    """Reliability that counting alone shows. [-]"""
    blanks: tuple[float, int]
    """Mean change, and how many. [kg]"""
    left_out: tuple[tuple[int, str], ...]
    """Runs that people left out, and why."""
    missing: tuple[int, ...]
    untested: tuple[str, ...]
    """What the plan or the weighings left out."""
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
    every = [*shots, *(shot for form in forms[1:] for shot in shots_of(form, correction))]
    factor = setting_factor(every)
    judged = judge(every, plan, [run for form in forms for run in form.plan.runs])
    sides = tuple(_side(first, side, shots) for side in plan.sides)
    found = _named(shots, plan, factor, sides, correction, judged=judged)
    moves = names.drift_line(shots, factor, names.temperature(shots, plan, factor)[1])
    missing = tuple(number for form in forms for number in form.missing)
    return TrialEvaluation(
        plan=plan,
        date=forms[-1].date,
        looks=len(forms),
        sides=sides,
        setting=factor,
        judged=judged,
        named=found,
        drift=None
        if moves is None
        else (float(moves.values[1]) * 60.0, moves.half_width(1, 0.95) * 60.0),
        counted=_counted(judged, plan.confidence),
        blanks=(correction, blanks),
        left_out=tuple(
            (reading.run.number, reading.left_out)
            for form in forms
            for reading in form.readings
            if reading.left_out
        ),
        missing=missing,
        untested=(
            *plan.unproven,
            *judged.thin,
            *_leaks_untold(plan, sides),
            *_ratio_untold(plan, sides),
            *_densities_untold(forms),
        ),
        verdict=verdict_of(plan, judged, found, missing, look=len(forms)),
    )


def _ratio_untold(plan: TrialPlan, sides: Sequence[SideResult]) -> Iterator[str]:
    """Whole shots alone tell no ratio: one side may give more by what the other lacks."""
    if plan.two_part and any(math.isnan(each.delivered) for each in sides):
        yield "the ratio at the nominal flow: no catch of each side by itself"


def _densities_untold(forms: Sequence[Weighings]) -> Iterator[str]:
    """Further batches whose volume follows from another one's density."""
    densities = {key: value for form in forms for key, value in form.densities.items()}
    for (batch, side), (_, measured) in densities.items():
        if batch > 1 and not measured:
            whose = f"side {side}: " if side else ""
            yield f"{whose}volume of batch {batch}, whose density was not measured: its mass alone"


def _leaks_untold(plan: TrialPlan, sides: Sequence[SideResult]) -> Iterator[str]:
    """Sides whose catches tell a leak not at all, or not to half of the tolerance."""
    for result in sides:
        side, found = result.side, result.map
        runs = [run for block in (LINE, PRESSURE) for run in plan.of(block, side=side.name)]
        if runs and found is None:
            yield f"{side.whose}leak and slip: the catches cannot tell them apart"
        elif runs and found is not None:
            half = found.leak.half / (side.displacement * min(run.speed for run in runs))
            if half > plan.tolerance / 2.0:
                yield f"{side.whose}leak: told to no better than +/- {half * 100:.2g} %"


def _counted(judged: Judged, confidence: float) -> float | None:
    """Reliability that counting alone shows; None if a weighing was outside, or is of a group."""
    levels = judged.levels
    if any(level.inside < level.count or level.grouped > 1 for level in levels):
        return None
    return shown_reliability(count=sum(level.count for level in levels), confidence=confidence)


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
    caught = among(shots, (LINE, PRESSURE, SIZES), side=side.name)
    catches = Catches(
        per_turn=np.array([shot.volume / shot.run.turns for shot in caught]),
        turns=np.array([shot.run.turns for shot in caught]),
        shots=np.array([float(shot.run.shots) for shot in caught]),
        speed=np.array([shot.run.speed for shot in caught]),
        pressure=np.array([shot.reading.pressure for shot in caught]),
        straight=np.array([shot.run.block == LINE for shot in caught], dtype=np.bool_),
    )
    found = slip_map(catches, side, density_error(form, side.name)) if caught else None
    middle = errors(shots, LINE if side.name else SHOTS, "middle", side.name)
    if side.name and not len(middle):
        middle = errors(shots, SIZES, "middle", side.name)
    delivered = side.displacement * (1.0 + float(middle.mean())) if len(middle) else math.nan
    return SideResult(side, delivered, found, form.densities[1, side.name][1])


def _named(
    shots: Sequence[Shot],
    plan: TrialPlan,
    factor: float,
    sides: Sequence[SideResult],
    correction: float,
    *,
    judged: Judged,
) -> tuple[Named, ...]:
    found: list[Named | None] = []
    for result in sides:
        caught = among(shots, (LINE, PRESSURE), side=result.side.name)
        speeds = [shot.run.speed for shot in caught]
        if result.map is not None and speeds:
            found.append(names.leak(result.map, result.side, min(speeds), plan))
            found.append(names.open_from_nothing(result.map, result.side, min(speeds)))
    by_temperature, per_kelvin = names.temperature(shots, plan, factor)
    found += [
        *(names.air(each, plan) for each in judged.conditions if each.block == SIZES),
        by_temperature,
        names.drift(shots, plan, factor, per_kelvin),
        *names.ratio(shots, plan),
        *(
            names.second_batch(each, plan)
            for each in judged.conditions
            if each.block == BATCH and not each.side
        ),
        names.evaporation(correction, shots, plan),
    ]
    return tuple(each for each in found if each is not None)


@dataclass(frozen=True, slots=True)
class TrialVerdict:
    """What the trial says."""

    word: str
    """accept, extend or reject."""
    further: int
    """Weighings of each open condition before the next look; 0 unless that would do."""
    reasons: tuple[str, ...]
    """Sentences with numbers: what fails first."""
    blocks: tuple[str, ...] = ()
    """Blocks to weigh again."""


def verdict_of(
    plan: TrialPlan, judged: Judged, named: Sequence[Named], missing: Sequence[int], *, look: int
) -> TrialVerdict:
    """Apply the stop rule of the first look's plan; `look` counts the looks, this one included."""
    systematic = sum(each.effect for each in named if each.adds)
    widened = {each.words: systematic if each.block == SHOTS else 0.0 for each in judged.conditions}
    open_ones = [each for each in judged.conditions if not each.holds(widened[each.words])]
    levels = [in_words(each, widened[each.words]) for each in judged.levels]
    reasons = [
        *(_outlier_in_words(each, plan) for each in judged.outliers if each.fails),
        *(in_words(each, widened[each.words]) for each in sorted(open_ones, key=_how_far)),
        *(f"{each.topic}: {each.says}" for each in named if each.decides),
    ]
    needed = [each.needed(widened[each.words]) for each in open_ones]
    known = [count for count in needed if count is not None]
    hopeless = len(known) < len(needed)
    certain = hopeless or len(reasons) > len(open_ones)
    if hopeless:
        reasons.append("more weighings would not bring that inside")
    rest = [text for text in levels if text not in reasons]
    if certain:
        return TrialVerdict(REJECT, 0, (*reasons, *rest))
    lacking = _lacking(judged, missing)
    if lacking:
        return TrialVerdict(EXTEND, 0, (*lacking, *reasons, *rest))
    if not open_ones:
        return TrialVerdict(ACCEPT, 0, tuple(rest))
    if look >= plan.looks:
        text = f"this was look {look} of {plan.looks}: no further one was planned"
        return TrialVerdict(REJECT, 0, (*reasons, text, *rest))
    more = [count - each.count for count, each in zip(known, open_ones, strict=True)]
    further = max(1, *more)
    blocks = tuple(sorted({block for each in open_ones for block in (each.block, each.against)}))
    text = f"{further} further weighings of each would do if they spread as these"
    return TrialVerdict(EXTEND, further, (*reasons, text, *rest), blocks)


def _how_far(condition: Condition) -> float:
    return -condition.farthest / condition.limit


def _lacking(judged: Judged, missing: Sequence[int]) -> list[str]:
    texts = [f"not tested: {text}" for text in judged.thin]
    if missing:
        listed = ", ".join(map(str, missing[:12])) + (" ..." if len(missing) > 12 else "")  # noqa: PLR2004
        runs = "1 planned run has" if len(missing) == 1 else f"{len(missing)} planned runs have"
        texts.insert(0, f"{runs} no mass: {listed}")
    return texts if judged.levels else ["no shots", *texts]


def in_words(condition: Condition, systematic: float = 0.0) -> str:
    """Return a condition's interval against its limit, as a sentence."""
    widened = f", {systematic * 100:.3g} % more by drifts" if systematic else ""
    state = "within" if condition.holds(systematic) else "outside"
    return (
        f"{condition.words}: {condition.low * 100:+.3g} to {condition.high * 100:+.3g} %{widened}: "
        f"{state} +/- {condition.limit * 100:.3g} %"
    )


def _outlier_in_words(outlier: Outlier, plan: TrialPlan) -> str:
    return (
        f"run {outlier.run.number} ({outlier.words}) stands out by {outlier.off * 100:+.3g} %, more "
        f"than +/- {plan.tolerance * 100:.3g} %: look it up; if its cause is known and gone, weigh "
        "that row again or write the cause into 'left out because'"
    )
