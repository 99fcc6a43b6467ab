"""The whole of an explanation as data: prose and JSON are made of nothing else."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from configurator.catalog.parts import Part
from configurator.explain.break_points import BUDGET as BREAK_BUDGET
from configurator.explain.break_points import BreakPoints, break_points_of
from configurator.explain.chosen import completed, judged, neighbours, parts_named
from configurator.explain.conflict import Conflict, Conflicts
from configurator.explain.conflict_problem import CONFLICTS
from configurator.explain.remedy import BUDGET, Remedies, remedies_for
from configurator.explain.searches import Progress
from configurator.explain.what_if import WhatIf
from configurator.rules.finding import Finding, State
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

TIGHTEST = 3
"""Margins of a listed build that are told."""


@dataclass(frozen=True, slots=True)
class Swap:
    """Another part in one slot that makes a build stand, all others as they are."""

    slot: str
    part: str
    state: str


@dataclass(frozen=True, slots=True)
class Why:
    """Why something is out, what it leaves, or what holds it up."""

    answer: Answer
    asked: Mapping[str, str]
    """The parts in question, by slot; none if the whole request is."""
    count: int
    """Builds that hold them."""
    conflicts: Conflicts | None = None
    """Why there are none; None if there are."""
    alone: tuple[Conflict, ...] = ()
    """For one part: every rule, pick or exclusion that is enough against it by itself."""
    build: RankedBuild | None = None
    """The whole build in question, or the first of the list where there are builds."""
    broken: tuple[Finding, ...] = ()
    """Rules that rule that build out, the first first."""
    doubts: tuple[Finding, ...] = ()
    """What does not fit about it where it stands, that of the parts in question first."""
    tightest: tuple[Finding, ...] = ()
    """Its least margins beside those, where it stands."""
    swaps: tuple[Swap, ...] = ()
    """Other parts, one at a time, with which it would stand."""
    remedies: Remedies | None = None
    """Changes that open builds; None if none were looked for."""
    breaks: BreakPoints | None = None
    """How far the build is from breaking; None if it does not stand or nobody asked."""


def why(
    answer: Answer,
    asked: Mapping[str, str] | None = None,
    *,
    limit: int = CONFLICTS,
    search: bool = True,
    budget: float | None = None,
    progress: Progress = lambda _text: None,
) -> Why:
    """Explain a request, a part, or a build.

    Parameters
    ----------
    answer : Answer
        The request.
    asked : Mapping[str, str], optional
        Parts in question, by slot: one for a part, all for a build; none for the request.
    limit : int
        Most conflicts to tell.
    search : bool
        True to look for remedies or break points, which takes seconds.
    budget : float, optional
        Processor time for that; each search has its own if none is given. [s]
    progress : callable, optional
        Told what is being tried.

    Raises
    ------
    InputError
        If a slot or part does not exist.
    """
    names = dict(asked or {})
    parts = parts_named(answer, names, "--part or --build")
    what_if = WhatIf(answer, {slot: part.name for slot, part in parts.items()})
    whole = completed(answer, parts) if names else None
    build = None if whole is None else replace(judged(answer, [whole])[0], rank=0)
    here = answer
    if build is not None and what_if.takes(build.parts):
        count = int(build.state is not State.RULED_OUT)  # its own findings say all
    else:
        asked_for = what_if.answer(answer.subject.question) if names else answer
        assert asked_for is not None  # the request itself was within reach of the formulas
        here, count = asked_for, asked_for.count
    if count:
        build = build or here.first
        assert build is not None  # there are some
        found = Why(
            answer,
            names,
            count,
            build=build,
            doubts=doubts_of(answer, build, names),
            tightest=tightest_of(build),
        )
        if search:
            time = BREAK_BUDGET if budget is None else budget
            points = break_points_of(answer, build.parts, budget=time, progress=progress)
            found = replace(found, breaks=points)
        return found
    problem = what_if.problem
    alone = problem.alone if len(names) == 1 else ()
    found = Why(
        answer=answer,
        asked=names,
        count=0,
        conflicts=problem.conflicts(limit, alone),
        alone=tuple(problem.told(frozenset({item})) for item in alone),
        swaps=_swaps(here, parts)
        if whole is None
        else tuple(
            Swap(each.slot, each.part.name, each.state.words)
            for each in neighbours(answer, whole)
            if each.state is not State.RULED_OUT
        ),
    )
    if build is not None:
        broken = tuple(each for each in build.findings if each.state is State.RULED_OUT)
        found = replace(found, build=build, broken=broken)
    if search:
        time = BUDGET if budget is None else budget
        remedies = remedies_for(what_if, budget=time, progress=progress)
        found = replace(found, remedies=remedies)
    return found


def doubts_of(
    answer: Answer, build: RankedBuild, asked: Collection[str] = ()
) -> tuple[Finding, ...]:
    """The findings of a build that do not fit: those on some slots first, then the worst."""
    judgements = answer.left.evaluation.rules.judgements
    about = {each.title for each in judgements if not set(asked).isdisjoint(each.scope)}
    found = [finding for finding in build.findings if finding.state > State.FITS]
    return tuple(sorted(found, key=lambda each: (each.rule not in about, -each.state)))


def tightest_of(build: RankedBuild, most: int = TIGHTEST) -> tuple[Finding, ...]:
    """The findings of a build that fit with the least margins, the least first."""
    fits = (finding for finding in build.findings if finding.state is State.FITS)
    measured = [finding for finding in fits if finding.margin is not None]
    return tuple(sorted(measured, key=lambda finding: finding.margin or 0.0)[:most])


def _swaps(here: Answer, parts: Mapping[str, Part]) -> tuple[Swap, ...]:
    """Other parts in place of picked ones, one slot at a time, with which there is a build."""
    if any(not len(places) for places in here.live.values()):
        return ()
    fixed = [slot for slot in here.picks if len(parts) > 1 or slot not in parts]
    left = here.spaces[State.UNPROVEN].remaining(here.picks)
    found = []
    for slot in fixed:
        for at, place in enumerate(here.live[slot]):
            if int(left[slot][at]):
                found.append(Swap(slot, here.frame.parts[slot][int(place)].name, ""))
    return tuple(found)
