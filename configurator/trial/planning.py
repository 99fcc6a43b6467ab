"""From a build to the plan of its trial: its size, and what has to be done beside the runs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace

from configurator.errors import UsageError
from configurator.rules.finding import Finding, State
from configurator.rules.metering import error_parts
from configurator.rules.rulebook import rule_named
from configurator.trial.blocks import BLANK, DWELL, Needs, further_runs, levels, runs_of
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
from configurator.units.display import show_value
from configurator.units.kinds import PRESSURE, ROTATION, TEMPERATURE

LEAST_SHOTS = 10
"""Shots a flow, at least (common practice, no source). [-]"""

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
    by_count: int
    """What a proof by counting asks for, over all flows. [-]"""
    factor: float
    """Tolerance factor at that number. [-]"""
    spread: float
    """Expected relative standard deviation. [-]"""
    weighing: Weighing
    """How shots are grouped for the balance."""


def size_of(head: Head, wanted: TrialAims) -> Sizing:
    """Work out how many shots a trial takes.

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
    counted = zero_failure_count(reliability=wanted.reliability, confidence=confidence)
    flows = len(levels(head.sides[0]))
    shots = max(needed, math.ceil(counted / flows / group.shots))
    factor = two_sided_factor(shots, wanted.reliability, sure)
    return Sizing(shots, needed, counted, factor, spread, group)


def _tolerance(head: Head, wanted: TrialAims) -> float:
    return head.subject.duty.tolerance if wanted.tolerance is None else wanted.tolerance


def _confidence(head: Head, wanted: TrialAims) -> float:
    if wanted.confidence is not None:
        return wanted.confidence
    stated = head.subject.question.process.confidence
    return USUAL_CONFIDENCE if stated is None else stated.high


def expected_spread(head: Head) -> float:
    """Relative standard deviation to expect before anything is weighed. [-]

    That of the trade, or what encoder and backlash make, taken as two standard deviations.
    """
    turns = head.shot * head.sides[0].share / head.sides[0].displacement
    usual = USUAL_SPREAD if turns >= 1.0 else SMALL_SHOT_SPREAD
    steps = 0.0
    for side in head.case.sides:
        parts = error_parts(head.case, side)
        steps += sum(
            one(parts[name].hard) ** 2 for name in ("encoder", "backlash") if name in parts
        )
    return max(usual, math.sqrt(steps) / 2.0)


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

    weighed = [mass(run) for run in runs if run.block not in (BLANK, DWELL)]
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
        From 1; a later one has repeatability shots alone.
    further : int, optional
        Shots a flow of a later look.

    Raises
    ------
    UsageError
        If no number of shots can show the tolerance with the expected spread, or a drive does
        not reach the nominal flow.
    """
    _refuse_beyond_drive(head)
    sizing = size_of(head, wanted)
    tolerance = _tolerance(head, wanted)
    needs = Needs(
        shots=sizing.shots if look == 1 else further or sizing.shots,
        grouped=sizing.weighing.shots,
        seed=wanted.seed,
        tolerance=tolerance,
        step=wanted.step,
    )
    runs = runs_of(head, needs) if look == 1 else further_runs(head, needs)
    step = _coarsest_step(head, runs, tolerance)
    enough = sizing.weighing.enough and wanted.step <= step * (1.0 + 1e-9)
    sizing = replace(sizing, weighing=replace(sizing.weighing, step_needed=step, enough=enough))
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
    )
    return plan, sizing


def tasks_of(head: Head, findings: Sequence[Finding]) -> Iterator[tuple[str, str]]:
    """Return what has to be done beside the runs, each with its topic.

    What is unproven in the chemistry of the build asks for an immersion.
    """
    duty = head.subject.duty
    room = show_value(duty.temperature.nominal, TEMPERATURE)
    yield (
        "before",
        (
            f"keep material, head and balance at {room} +/- 1 K for 24 h; write down batch, age and "
            "humidity; prime until the weighed density stays (common practice, no source)"
        ),
    )
    yield (
        "density",
        (
            "measure it on each batch that is weighed, for volume comes from it "
            "(ISO 2811-1; gravimetric reference procedure as in ISO 8655-6)"
        ),
    )
    yield from _pressure_tasks(head)
    yield (
        "gauge study",
        (
            "two people weigh ten shots three times each; their share of the spread stays below "
            "30 %, better 10 % (common practice, no source)"
        ),
    )
    soaked = [
        finding
        for finding in findings
        if _of_chemistry(finding) and finding.state in (State.UNPROVEN, State.MARGINAL)
    ]
    if soaked:
        yield (
            "immersion",
            (
                "168 h at the highest temperature of the process, mass, volume and hardness before "
                "and after; up to 3 % volume and 5 Shore A is satisfactory, up to 8 % and 10 "
                "limited (common practice, no source); `headwright evidence add` keeps it"
            ),
        )
    for finding in soaked:
        yield "immersion", f"{finding.rule}: {finding.reason}"
    if any(component.filler is not None for _, component in head.case.material.components):
        yield (
            "material",
            (
                "particles, density and viscosity before and after the head: a change is damage "
                "(common practice, no source)"
            ),
        )
    if len(head.sides) > 1:
        yield (
            "cure",
            (
                "hardness of cured mixed shots at five spots, for every catch of the ratio block "
                "(common practice, no source)"
            ),
        )


def _pressure_tasks(head: Head) -> Iterator[tuple[str, str]]:
    """What keeps the trial below the ratings, and how a side gets a pressure of its own."""
    work, rated = head.pressure_at(head.subject.duty.flow.high), head.pressure_allowed
    if work > rated:
        yield (
            "pressure",
            (
                f"the highest flow takes {show_value(work, PRESSURE)} and the weakest part is rated "
                f"{show_value(rated, PRESSURE)}: first measure the pressure at the slowest speed, and "
                "go no further where the rating would be passed; a wider or shorter tip, a warmer "
                "material or a stronger part comes before the trial"
            ),
        )
    if len(head.sides) > 1:
        yield (
            "sides apart",
            (
                "rows with a side are caught before the mixer, behind a restriction set to the back "
                "pressure of the row; write down the pressure that was read"
            ),
        )


def _of_chemistry(finding: Finding) -> bool:
    rule = rule_named(finding.rule.split(": ", 1)[-1])
    return rule is not None and rule.family == "chemistry"
