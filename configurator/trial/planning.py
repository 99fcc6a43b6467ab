"""From a build to the plan of its trial: its size, and what has to be done beside the runs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace

from configurator.errors import UsageError
from configurator.rules.error_budget import ErrorSum, error_parts
from configurator.rules.finding import Finding
from configurator.trial.blocks import (
    BLANK,
    DRIFT_MINUTES,
    DWELL,
    SHOTS,
    Needs,
    levels,
    stops,
)
from configurator.trial.distributions import normal_quantile
from configurator.trial.head import Head, one
from configurator.trial.plan import Run, SideFacts, TrialPlan
from configurator.trial.sample_size import (
    MOST_SHOTS,
    USUAL_STEP,
    Weighing,
    coarsest_step,
    shots_needed,
    two_sided_factor,
    weighing,
    zero_failure_count,
)
from configurator.trial.schedule import again, duration, full, within
from configurator.trial.tasks import tasks_of
from configurator.units.display import show_value
from configurator.units.kinds import ROTATION

LEAST_SHOTS = 10
"""Shots a flow, at least (common practice, no source). [-]"""

LEAST_EACH, MOST_EACH = 3, 12
"""Weighings of each stop, at least and at most (common practice, no source). [-]"""

USUAL_CONDITIONS, LUCK = 30, 1.1
"""Conditions that share the risk, about, and how far a spread comes out high; they size the stops
and nothing else. [-]"""

USUAL_SPREAD = 0.005
"""Relative standard deviation of shots of a turn and more: half of the one per cent that the
trade promises at most (common practice, no source). [-]"""

SMALL_SHOT_SPREAD = 0.01
"""The same for shots below a turn (common practice, no source). [-]"""

PASS_CHANCE = 0.9
"""Chance that a head with the expected spread passes at the first look (common practice). [-]"""

USUAL_CONFIDENCE = 0.95
"""Wanted certainty where neither the process nor anybody else states one (common practice). [-]"""

MOST_FACTOR = 3
"""Shots a flow over all looks, as a multiple of those of the first (common practice). [-]"""


@dataclass(frozen=True, slots=True)
class TrialAims:
    """What the trial shall show, and with what."""

    confidence: float | None = None
    """Over all looks; None takes that of the process. [-]"""
    reliability: float = 0.95
    """Share of shots that the tolerance shall hold. [-]"""
    spread: float | None = None
    """Expected relative standard deviation; None takes that of the trade. [-]"""
    tolerance: float | None = None
    """Either way; None takes that of the process. [-]"""
    looks: int = 2
    """How often the data may be looked at. [-]"""
    seed: int = 1
    """Of the order."""
    step: float = USUAL_STEP
    """Step of the balance at hand. [kg]"""


@dataclass(frozen=True)
class Sizing:
    """How the number of shots came about."""

    shots: int
    """At each flow. [-]"""
    by_interval: int
    """What the tolerance interval asks for. [-]"""
    least: int
    """Weighings of each stop, end and hour. [-]"""
    by_count: int
    """What a proof by counting asks for, over all flows. [-]"""
    factor: float
    """Tolerance factor at that number. [-]"""
    spread: float
    """Expected relative standard deviation. [-]"""
    weighing: Weighing
    """How shots are grouped for the balance."""
    whole: tuple[int, float] | None = None
    """Runs of the full plan and what they take, where this one is cut to some hours. [-, s]"""


def size_of(head: Head, wanted: TrialAims, *, counted: bool = True) -> Sizing:
    """Work out how many shots a trial takes; `counted` asks for a proof by counting as well.

    Raises
    ------
    UsageError
        If no number of shots can show the tolerance with the expected spread.
    """
    tolerance, confidence = _tolerance(head, wanted), _confidence(head, wanted)
    spread = expected_spread(head) if wanted.spread is None else wanted.spread
    sure = 1.0 - (1.0 - confidence) / wanted.looks
    group = weighing(shot_mass=_shot_mass(head), tolerance=tolerance, step=wanted.step)
    room = tolerance / spread
    needed = shots_needed(
        room=room,
        coverage=wanted.reliability,
        confidence=sure,
        chance=PASS_CHANCE,
        least=LEAST_SHOTS,
    )
    if needed is None:
        least = spread * normal_quantile((1.0 + wanted.reliability) / 2.0)
        raise UsageError(
            f"no trial of up to {MOST_SHOTS} shots shows +/- {tolerance * 100:.3g} % for "
            f"{wanted.reliability * 100:.3g} % of all shots where shots spread by "
            f"{spread * 100:.3g} %: they alone take {least * 100:.3g} %",
            "a spread measured on this head goes in with --spread; else ask for a wider tolerance",
        )
    by_count = zero_failure_count(reliability=wanted.reliability, confidence=confidence)
    flows = len(levels(head.sides[0]))
    shots = max(needed, math.ceil(by_count / flows / group.shots) if counted else 0)
    factor = two_sided_factor(shots, wanted.reliability, sure)
    each = 1.0 - (1.0 - sure) / USUAL_CONDITIONS
    least = LEAST_EACH
    while least < MOST_EACH and room < LUCK * two_sided_factor(
        1.0 / (1.0 / least + 1.0 / shots), wanted.reliability, each, 2 * shots
    ):
        least += 1
    return Sizing(shots, needed, least, by_count, factor, spread, group)


def _tolerance(head: Head, wanted: TrialAims) -> float:
    return head.subject.duty.tolerance if wanted.tolerance is None else wanted.tolerance


def _confidence(head: Head, wanted: TrialAims) -> float:
    if wanted.confidence is not None:
        return wanted.confidence
    stated = head.subject.question.process.confidence
    return USUAL_CONFIDENCE if stated is None else stated.high


def expected_spread(head: Head) -> float:
    """Relative standard deviation to expect before anything is weighed. [-]

    That of the trade, or what falls anew with each shot, taken as two standard deviations.
    """
    turns = head.shot * head.sides[0].share / head.sides[0].displacement
    usual = USUAL_SPREAD if turns >= 1.0 else SMALL_SHOT_SPREAD
    anew = [
        one(ErrorSum.of(error_parts(head.case, side), weighed=True).random)
        for side in head.case.sides
    ]
    return max(usual, math.hypot(*anew) / 2.0)


def _shot_mass(head: Head) -> float:
    return head.shot * sum(side.share * side.lightest for side in head.sides)


def _coarsest_step(head: Head, runs: Iterable[Run], tolerance: float) -> float:
    """Coarsest balance step that still tells in every weighing but single shots after a stop."""

    def mass(run: Run) -> float:
        if run.side:
            (side,) = (each for each in head.sides if each.name == run.side)
            return run.shots * run.turns * side.displacement * side.lightest
        first = head.sides[0]
        volume = run.shots * run.turns * first.displacement / first.share
        return volume * sum(side.share * side.lightest for side in head.sides)

    caught = [run for run in runs if run.block != BLANK]
    weighed = [mass(run) for run in caught if run.block != DWELL] or [mass(run) for run in caught]
    return coarsest_step(mass=min(weighed), tolerance=tolerance)


def _refuse_beyond_drive(head: Head) -> None:
    """A build may stand in the list because its slip is unknown, and still never reach the flow."""
    for side in head.sides:
        if side.speeds.nominal > side.fastest * (1.0 + 1e-9):
            raise UsageError(
                f"{side.whose}the nominal flow takes {show_value(side.speeds.nominal, ROTATION)} with "
                f"{side.cavity}, and its drive reaches {show_value(side.fastest, ROTATION)}: this "
                "build cannot be tried",
                "name another with --build, or narrow the list with --pick",
            )


def plan_trial(
    head: Head,
    wanted: TrialAims,
    findings: Sequence[Finding] = (),
    *,
    look: int = 1,
    further: int | None = None,
    blocks: Sequence[str] = (SHOTS,),
    hours: float | None = None,
) -> tuple[TrialPlan, Sizing]:
    """Plan the trial of a build.

    Parameters
    ----------
    head : Head
        The build at work.
    wanted : TrialAims
        What the trial shall show.
    findings : sequence of Finding
        Of the build: what is unproven in its chemistry asks for an immersion.
    look : int
        From 1; a later one weighs again what is open.
    further : int, optional
        Weighings of each condition in a later look.
    blocks : sequence of str
        What a later look weighs again.
    hours : float, optional
        Time that there is; the most informative runs that fit are planned. [h]

    Raises
    ------
    UsageError
        If no number of shots can show the tolerance with the expected spread, a drive does not
        reach the nominal flow, or not even the flows fit into the hours.
    """
    _refuse_beyond_drive(head)
    sizing = size_of(head, wanted, counted=hours is None)
    tolerance = _tolerance(head, wanted)
    needs = Needs(
        shots=sizing.shots,
        grouped=sizing.weighing.shots,
        least=sizing.least,
        seed=wanted.seed,
        tolerance=tolerance,
        step=wanted.step,
    )
    left: tuple[str, ...] = ()
    if look > 1:
        runs = again(head, needs, blocks, further or sizing.shots)
    elif hours is None:
        runs = full(head, needs)
    else:
        runs, left = within(head, needs, hours * 3600.0)
        if not runs:
            raise UsageError(
                f"--hours: the flows alone take {(duration(again(head, needs, (SHOTS,), needs.shots)) / 3600.0):.2g} h",
                "give more hours, or a tolerance or spread that takes fewer shots",
            )
        everything = full(head, replace(needs, shots=size_of(head, wanted).shots))
        sizing = replace(sizing, whole=(len(everything), duration(everything)))
    step = _coarsest_step(head, runs, tolerance)
    enough = sizing.weighing.enough and wanted.step <= step * (1.0 + 1e-9)
    sizing = replace(sizing, weighing=replace(sizing.weighing, enough=enough))
    mix = head.subject.filled.material.mix
    question = head.subject.question
    plan = TrialPlan(
        material=question.material.name,
        process=question.process.name,
        catalog=head.subject.catalog.sha256,
        parts={slot: part.name for slot, part in head.parts.items()},
        sides=tuple(
            SideFacts(**{each.name: getattr(side, each.name) for each in fields(SideFacts)})
            for side in head.sides
        ),
        tolerance=tolerance,
        confidence=_confidence(head, wanted),
        reliability=wanted.reliability,
        looks=wanted.looks,
        look=look,
        seed=wanted.seed,
        expected_spread=sizing.spread,
        most_shots=MOST_FACTOR * sizing.shots,
        temperature=head.subject.duty.temperature,
        balance_step=step,
        ratio_tolerance=None if mix is None else mix.ratio_tolerance.low,
        runs=runs,
        tasks=tuple(tasks_of(head, findings)) if look == 1 else (),
        unproven=(*left, *_beyond(head, sizing, hours)) if look == 1 else (),
    )
    return plan, sizing


def _beyond(head: Head, sizing: Sizing, hours: float | None) -> Iterator[str]:
    """What no plan of this head shows, however well it is filled in."""
    longest, tried = head.subject.duty.longest_stop, stops(head)[-1]
    if longest > tried:
        yield f"stops beyond {tried / 60.0:.3g} min" + (
            f"; the process has {longest / 60.0:.4g} min" if math.isfinite(longest) else ""
        )
    if sizing.weighing.shots > 1:
        yield f"single shots by themselves: {sizing.weighing.shots} go into a weighing"
    if hours is not None and sizing.by_count > sizing.shots * len(levels(head.sides[0])):
        yield f"a proof by counting: it takes {sizing.by_count} shots at the flows"
    if hours is None:
        yield f"wear and swelling beyond {DRIFT_MINUTES / 60.0:.0f} h"
    yield "what another operator does: the gauge study tells"
