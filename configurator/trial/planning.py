"""From a build to the plan of its trial."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from configurator.errors import UsageError
from configurator.rules.finding import Finding, State
from configurator.rules.metering import error_parts
from configurator.rules.rulebook import rule_named
from configurator.trial.balance import USUAL_STEP, Weighing, weighing
from configurator.trial.blocks import Needs, further_runs, levels, runs_of
from configurator.trial.distributions import normal_quantile
from configurator.trial.head import Head, one
from configurator.trial.plan import Plan, SideFacts
from configurator.trial.sample_size import (
    MOST_SHOTS,
    shots_needed,
    two_sided_factor,
    zero_failure_count,
)
from configurator.units.display import show_value
from configurator.units.kinds import TEMPERATURE

LEAST_SHOTS = 10
"""Shots a flow, at least (common practice, no source). [-]"""

USUAL_SPREAD = 0.005
"""Relative standard deviation of shots of a turn and more: half of the one per cent that the
trade promises at most (common practice, no source). [-]"""

SMALL_SHOT_SPREAD = 0.01
"""The same for shots below a turn (common practice, no source). [-]"""

PASS_CHANCE = 0.9
"""Chance that a head with the expected spread passes at the first look (common practice). [-]"""

MOST_FACTOR = 3
"""Shots a flow over all looks, as a multiple of those of the first (common practice). [-]"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the trial shall show, and with what.

    Attributes
    ----------
    confidence : float
        Over all looks. [-]
    reliability : float
        Share of shots that the tolerance shall hold. [-]
    spread : float or None
        Expected relative standard deviation; None takes that of the trade. [-]
    tolerance : float or None
        Either way; None takes that of the process. [-]
    looks : int
        How often the data may be looked at. [-]
    seed : int
        Of the order.
    step : float
        Step of the balance at hand. [kg]
    """

    confidence: float = 0.95
    reliability: float = 0.95
    spread: float | None = None
    tolerance: float | None = None
    looks: int = 2
    seed: int = 1
    step: float = USUAL_STEP


@dataclass(frozen=True)
class Sizing:
    """How the number of shots came about.

    Attributes
    ----------
    shots : int
        At each flow. [-]
    by_interval : int
        What the tolerance interval asks for. [-]
    by_count : int
        What a proof by counting asks for, over all flows. [-]
    factor : float
        Tolerance factor at that number. [-]
    spread : float
        Expected relative standard deviation. [-]
    weighing : Weighing
        How shots are grouped for the balance.
    """

    shots: int
    by_interval: int
    by_count: int
    factor: float
    spread: float
    weighing: Weighing


def size_of(head: Head, wanted: Wanted) -> Sizing:
    """Work out how many shots a trial takes.

    Raises
    ------
    UsageError
        If no number of shots can show the tolerance with the expected spread.
    """
    tolerance = _tolerance(head, wanted)
    spread = expected_spread(head) if wanted.spread is None else wanted.spread
    sure = 1.0 - (1.0 - wanted.confidence) / wanted.looks
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
    counted = zero_failure_count(reliability=wanted.reliability, confidence=wanted.confidence)
    flows = len(levels(head.sides[0]))
    shots = max(needed, math.ceil(counted / flows / group.shots))
    factor = two_sided_factor(shots, wanted.reliability, sure)
    return Sizing(shots, needed, counted, factor, spread, group)


def _tolerance(head: Head, wanted: Wanted) -> float:
    return head.subject.duty.tolerance if wanted.tolerance is None else wanted.tolerance


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
    """Mass of one shot, with water's density where none is known: light is the hard case. [kg]"""
    return head.shot * sum(
        side.share * (1000.0 if side.density is None else side.density.low) for side in head.sides
    )


def plan_trial(
    head: Head,
    wanted: Wanted,
    findings: Sequence[Finding] = (),
    *,
    look: int = 1,
    further: int | None = None,
) -> tuple[Plan, Sizing]:
    """Plan the trial of a build.

    Parameters
    ----------
    head : Head
        The build at work.
    wanted : Wanted
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
        If no number of shots can show the tolerance with the expected spread.
    """
    sizing = size_of(head, wanted)
    tolerance = _tolerance(head, wanted)
    group = sizing.weighing.shots
    if look == 1:
        runs = runs_of(head, Needs(sizing.shots, group, wanted.seed))
    else:
        runs = further_runs(head, Needs(further or sizing.shots, group, wanted.seed))
    mix = head.subject.filled.material.mix
    request = head.subject.request
    plan = Plan(
        material=request.material.name,
        process=request.process.name,
        catalog=head.subject.catalog.sha256,
        parts={slot: part.name for slot, part in head.parts.items()},
        sides=tuple(
            SideFacts(
                name=side.name,
                cavity=side.cavity,
                stator=side.stator,
                rigid=side.rigid,
                displacement=side.displacement,
                stages=side.stages,
                opening_pressure=side.opening_pressure,
                share=side.share,
                density=side.density,
            )
            for side in head.sides
        ),
        tolerance=tolerance,
        confidence=wanted.confidence,
        reliability=wanted.reliability,
        looks=wanted.looks,
        look=look,
        seed=wanted.seed,
        expected_spread=sizing.spread,
        most_shots=MOST_FACTOR * sizing.shots,
        temperature=head.subject.duty.temperature,
        balance_step=sizing.weighing.step_needed,
        ratio_tolerance=None if mix is None else mix.ratio_tolerance.low,
        runs=runs,
        tasks=tuple(_tasks(head, findings)) if look == 1 else (),
    )
    return plan, sizing


def _tasks(head: Head, findings: Sequence[Finding]) -> Iterator[tuple[str, str]]:
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


def _of_chemistry(finding: Finding) -> bool:
    rule = rule_named(finding.rule.split(": ", 1)[-1])
    return rule is not None and rule.family == "chemistry"
