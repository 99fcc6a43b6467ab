"""What would bring a build back, and how far a build is from breaking: searches on demand."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import BaseModel

from configurator.explain.break_points import BreakPoint, break_points_of
from configurator.explain.gap_cost import Measurement
from configurator.explain.measure import measurements
from configurator.explain.prose import conflict_sentences
from configurator.explain.remedy import Remedy as Found
from configurator.explain.remedy import remedies_for
from configurator.explain.what_if import WhatIf
from configurator.report.lines import plural
from configurator.request.question import Question
from configurator.tui.desk import IsStale, NobodyWaitsError
from configurator.tui.model_tables import plain
from configurator.tui.said import Remedy, Said
from configurator.tui.wish import Wish
from configurator.units.display import figures
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

MOST_CONFLICTS = 2
"""Different reasons that are told before the remedies."""

MOST_FLIPS = 12
"""Flip points that are told: the nearest are those that matter."""


def _watching(is_stale: IsStale) -> Callable[[str], None]:
    def progress(_text: str) -> None:
        if is_stale():
            raise NobodyWaitsError

    return progress


def remedies_said(
    answer: Answer, wish: Wish, given: Mapping[str, str], is_stale: IsStale
) -> tuple[Said, ...]:
    """Changes of the duty or the picks that open a build, each applied by Enter.

    Parameters
    ----------
    answer : Answer
        To the wish.
    wish : Wish
        What is asked.
    given : Mapping[str, str]
        Parts that have to stay, by slot: the one that somebody wants back.
    is_stale : callable
        True once nobody waits any more.

    Raises
    ------
    NobodyWaitsError
        If nobody waits any more.
    """
    what_if = WhatIf(answer, given)
    found = remedies_for(what_if, progress=_watching(is_stale))
    told = (*found.single, *found.pairs)
    said = []
    if told:
        said.append(Said("Nearest changes that bring a build back, each solved anew:", "strong"))
    for remedy in told:
        said.extend(_remedy_said(answer, wish, given, remedy))
    if not told:
        said.append(Said("No change of one or two things was found that opens a build.", "out"))
    if found.hopeless:
        said.append(Said(f"Changed alone, these open nothing: {', '.join(found.hopeless)}."))
    if not found.complete:
        said.append(Said("The time ran out before everything was tried."))
    for conflict in what_if.problem.conflicts(MOST_CONFLICTS).found:
        said.append(Said("Step by step, what leaves nothing:", "strong"))
        said.extend(Said(f"  {sentence}") for sentence in conflict_sentences(conflict))
    return tuple(said)


def _remedy_said(
    answer: Answer, wish: Wish, given: Mapping[str, str], remedy: Found
) -> Iterator[Said]:
    words = " and ".join(
        f"{each.adjustment.title} {each.adjustment.now} -> {each.becomes}" for each in remedy.moves
    )
    changed = wish_after(wish, answer.subject.question, remedy.question)
    picks = {**changed.picks, **given}
    yield Said(f"  {words}", "accent", Remedy(words, replace(changed, picks=picks)))
    who = ", ".join(dict.fromkeys(each.adjustment.grants for each in remedy.moves))
    yield Said(f"    {plural(remedy.builds, 'build')}, the first is {remedy.state}; ask {who}")


def flips_said(answer: Answer, build: RankedBuild, is_stale: IsStale) -> tuple[Said, ...]:
    """How far each quantity may move before a build is ruled out, the nearest first.

    Raises
    ------
    NobodyWaitsError
        If nobody waits any more.
    """
    found = break_points_of(answer, build.parts, progress=_watching(is_stale))
    said = [Said(f"Build {build.rank} breaks when, by itself:", "strong")]
    for flip in found.points[:MOST_FLIPS]:
        said.extend(_flip_said(flip))
    if not found.points:
        said.append(Said("  nothing that was moved breaks it", "fits"))
    if found.headrooms:
        held = ", ".join(f"{each.adjustment.title} up to {each.up_to}" for each in found.headrooms)
        said.append(Said(f"It holds for: {held}."))
    if not found.complete:
        said.append(Said("The time ran out before everything was moved."))
    return tuple(said)


def _flip_said(flip: BreakPoint) -> Iterator[Said]:
    moved = flip.adjustment
    way = "rises" if moved.more else "falls"
    yield Said(f"  {moved.title} {way} from {moved.now} to {flip.at}", "marginal")
    yield Said(f"    {flip.finding.rule}: {flip.finding.reason}")
    if flip.takes_over is None:
        yield Said("    then no build is left", "out")
    elif flip.differs:
        others = ", ".join(f"{slot} {flip.takes_over[slot]}" for slot in flip.differs)
        yield Said(f"    then the first build has: {others}")


def measures_said(answer: Answer, is_stale: IsStale) -> tuple[Said, ...]:
    """What could be measured, the most telling first.

    Raises
    ------
    NobodyWaitsError
        If nobody waits any more.
    """
    found = measurements(answer, progress=_watching(is_stale))
    said = []
    if found.useful:
        said.append(Said("What to measure first, by builds settled an hour:", "strong"))
    for each in found.useful:
        said.extend(_measure_said(each))
    if not found.useful:
        said.append(Said("No build hangs on anything that is missing or wide.", "fits"))
    if found.idle:
        idle = ", ".join(each.field for each in found.idle)
        said.append(Said(f"Missing or wide, but no build hangs on it here: {idle}."))
    return tuple(said)


def _measure_said(each: Measurement) -> Iterator[Said]:
    yield Said(f"  {each.field}: {each.says}", "unproven")
    yield Said(f"    {each.test}")
    yield Said(
        f"    settles {plural(each.settled, 'build')}, puts {plural(each.at_stake, 'build')} "
        f"at stake, about {figures(each.effort.hours)} h of work"
    )
    if each.decision is not None:
        decision = each.decision
        yield Said(
            f"    the first build is {decision.below} below {decision.text}, {decision.above} above"
        )


def wish_after(wish: Wish, before: Question, after: Question) -> Wish:
    """The wish that asks for a changed request; what did not change keeps its own words.

    Parameters
    ----------
    wish : Wish
        What was asked.
    before, after : Question
        What it made, and what it should make.
    """
    for document, old, new in (
        (wish.material, before.material, after.material),
        (wish.process, before.process, after.process),
    ):
        if document is not None and old != new:
            tables = _merged(document.tables, old, new)
            wish = wish.with_document(replace(document, tables=tables, edited=True))
    return replace(wish, picks=dict(after.picks), without=dict(after.without))


def _merged(tables: Mapping[str, Any], old: BaseModel, new: BaseModel) -> dict[str, Any]:
    """The tables of the new model, with the words of the old one where nothing changed."""
    found = dict(tables)
    for name, info in type(new).model_fields.items():
        key = info.alias or name
        was, becomes = getattr(old, name, None), getattr(new, name)
        if was == becomes:
            continue
        if becomes is None or becomes == ():
            found.pop(key, None)
        elif isinstance(becomes, BaseModel) and isinstance(was, type(becomes)):
            found[key] = _merged(tables.get(key, {}), was, becomes)
        else:
            found[key] = plain(becomes)
    return found
