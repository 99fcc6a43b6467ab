"""What would bring a build back, and how far a build is from breaking: searches on demand."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from configurator.explain.break_points import break_points_of
from configurator.explain.measure import measurements
from configurator.explain.paragraphs import (
    break_point_paragraph,
    conflict_paragraphs,
    measurement_paragraphs,
    remedy_paragraph,
)
from configurator.explain.remedy import remedies_for
from configurator.explain.what_if import WhatIf
from configurator.tui.desk import IsStale, NobodyWaitsError
from configurator.tui.draft import Draft
from configurator.tui.said import Said, said
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

MOST_CONFLICTS = 2
"""Different reasons that are told after the remedies."""


def _watching(is_stale: IsStale) -> Callable[[str], None]:
    def progress(_text: str) -> None:
        if is_stale():
            raise NobodyWaitsError

    return progress


def remedies_said(
    answer: Answer, draft: Draft, given: Mapping[str, str], is_stale: IsStale
) -> tuple[Said, ...]:
    """Changes of the duty or the picks that open a build, each applied by Enter.

    Parameters
    ----------
    answer : Answer
        To the draft.
    draft : Draft
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
    conflicts = conflict_paragraphs(what_if.problem.conflicts(MOST_CONFLICTS))
    paragraphs = (remedy_paragraph(found, given), *conflicts)
    return tuple(said(paragraphs, draft, answer.subject.question, given))


def break_points_said(
    answer: Answer, draft: Draft, build: RankedBuild, is_stale: IsStale
) -> tuple[Said, ...]:
    """How far each quantity may move before a build is ruled out, the nearest first.

    Raises
    ------
    NobodyWaitsError
        If nobody waits any more.
    """
    found = break_points_of(answer, build.parts, progress=_watching(is_stale))
    return tuple(said([break_point_paragraph(found)], draft, answer.subject.question))


def measures_said(answer: Answer, draft: Draft, is_stale: IsStale) -> tuple[Said, ...]:
    """What could be measured, the most telling first.

    Raises
    ------
    NobodyWaitsError
        If nobody waits any more.
    """
    found = measurements(answer, progress=_watching(is_stale))
    return tuple(said(measurement_paragraphs(found), draft, answer.subject.question))
