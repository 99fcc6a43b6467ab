"""What keys and cursors have worked out beside the screen; the engine loads with the first of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile
from pathlib import Path
from types import MappingProxyType

import numpy as np

from configurator.chemistry.cautions import DEFER
from configurator.explain.answer_paragraphs import (
    build_paragraphs,
    none_paragraphs,
    part_paragraphs,
)
from configurator.explain.break_points import break_points_of
from configurator.explain.compare import FEWEST, side_by_side
from configurator.explain.measure import measurements
from configurator.explain.paragraphs import (
    break_point_paragraph,
    conflict_paragraphs,
    measurement_paragraphs,
    remedy_paragraph,
)
from configurator.explain.remedy import remedies_for
from configurator.explain.what_if import WhatIf
from configurator.report.builds import Page, builds_csv, builds_json
from configurator.report.catalog import stated_of
from configurator.report.compare import compare_lines
from configurator.report.heading import (
    asked_in_words,
    catalog_in_words,
    deferred,
    duty_in_words,
    gap_words,
    invented_in_words,
)
from configurator.report.heads import heads_table
from configurator.report.shared_head import common_text
from configurator.report.table import builds_table
from configurator.request.question import Question
from configurator.screen.pairs import read_pairs
from configurator.tui.board import Option, Slot, Stand
from configurator.tui.build_list import BuildList, View, kept_parts
from configurator.tui.desk import IsStale, NobodyWaitsError
from configurator.tui.document import Draft
from configurator.tui.looks import STATE_STYLES, Glyphs, Spans
from configurator.tui.pictures import margin_bars
from configurator.tui.said import Said, about_part, said
from configurator.tui.screens import PageScreen
from configurator.tui.session import BuildKey, key_of
from configurator.units.grouped import grouped
from configurator.workshop.answer import Answer
from configurator.workshop.heads import EXCHANGED
from configurator.workshop.shared_head import MOST_JOBS, common_heads
from configurator.workshop.told import RankedBuild
from configurator.workshop.workshop import Workshop

MOST_CONFLICTS = 2
"""Different reasons that are told after the remedies."""

WIDEST = 104
"""Columns beyond which lines of a comparison are hard to follow."""

MOST_EXPORTED = 200
"""Rows in a file; the command writes more."""

MOST_BARS = 8
"""Margins of a build that are told first."""

FORMS: Mapping[str, str] = {
    "table": "text for people, what is listed, as `builds` prints it",
    "json": "for programs, schema 1, with all findings",
    "csv": "for a spreadsheet, one row a head or build",
    "sheet": "the data sheet of the build under the cursor: .html, .pdf, .json, or .csv of its parts",
}

ENDINGS: Mapping[str, str] = {"table": "txt", "sheet": "html"}
"""Of a file's name, where it is not the name of the form."""

Reasons = tuple[str, tuple[Said, ...]]
"""What the reasons are about, and the reasons."""


# Heads


def best_heads(answer: Answer, width: int) -> PageScreen:
    """The shortlist as `shortlist` prints it."""
    from configurator.report.shortlist import shortlist_text
    from configurator.workshop.shortlist import shortlist_of

    found = shortlist_of(answer)
    text = shortlist_text(answer, found, min(width - 6, WIDEST))
    heads = [kept_parts(each.head.best) for each in found.heads] if found else []
    return _page_of_heads("Best heads, each for a purpose", text, heads)


def _page_of_heads(title: str, text: str, heads: Sequence[Mapping[str, str]]) -> PageScreen:
    """A page with the parts of each head at the lines that begin with its number."""
    lines = text.splitlines()
    at: dict[int, Mapping[str, str]] = {}
    for number, parts in enumerate(heads, start=1):
        begin = next(n for n, line in enumerate(lines) if line.startswith(f"{number}  "))
        rest = takewhile(lambda n: lines[n].startswith("   "), range(begin + 1, len(lines)))
        at |= dict.fromkeys([begin, *rest], parts)
    spans = [[(line, "accent" if number in at else "")] for number, line in enumerate(lines)]
    return PageScreen(title, spans, at)


# Why


def reasons_for_none(answer: Answer, draft: Draft) -> Reasons:
    """The reasons for there being no build at all."""
    return "no build", tuple(said(none_paragraphs(answer), draft, answer.question))


def reasons_of_build(answer: Answer, draft: Draft, build: RankedBuild | None) -> Reasons:
    """The reasons behind a build of the list, or behind there being none."""
    if build is None or not answer.count:
        return reasons_for_none(answer, draft)
    paragraphs = build_paragraphs(build, answer.subject.filled.notes)
    first, *rest = said(paragraphs, draft, answer.question)
    known = [each for each in build.findings if each.margin is not None]
    known.sort(key=lambda each: each.margin or 0.0)
    bars = [
        Said(each.rule, STATE_STYLES[each.state], margin=each.margin) for each in known[:MOST_BARS]
    ]
    parts = "/".join(part.name for part in build.parts.values())
    about = f"build {build.rank}" if build.rank else f"this build, {parts}"
    return about, (first, Said("Left of the limit, the least first:", "strong"), *bars, *rest)


def reasons_of_part(answer: Answer, draft: Draft, slot: Slot, option: Option) -> Reasons:
    """The reasons behind a part; of a pick that leaves nothing, why nothing is left."""
    if not answer.count and option.left == 0 and option.stand is not Stand.OUT:
        return reasons_for_none(answer, draft)
    paragraphs = part_paragraphs(answer, slot.name, option.name)
    data = [
        Said(f"  {field.replace('_', ' ')}: {text}")
        for field, text in stated_of(slot.parts[option.place])
        if text
    ]
    reasons = said(paragraphs, draft, answer.question)
    return about_part(slot, option), (*reasons, Said("Its own data", "strong"), *data)


# Searches on demand


def _watching(is_stale: IsStale) -> Callable[[str], None]:
    def progress(_text: str) -> None:
        if is_stale():
            raise NobodyWaitsError

    return progress


def remedies_said(
    answer: Answer, draft: Draft, given: Mapping[str, str], is_stale: IsStale
) -> tuple[Said, ...]:
    """Changes of the duty or the picks that open a build, each applied by Enter.

    Parts of `given` have to stay: the one that somebody wants back.
    """
    what_if = WhatIf(answer, given)
    found = remedies_for(what_if, progress=_watching(is_stale))
    conflicts = conflict_paragraphs(what_if.problem.conflicts(MOST_CONFLICTS))
    paragraphs = (remedy_paragraph(found, given), *conflicts)
    return tuple(said(paragraphs, draft, answer.question, given))


def break_points_said(
    answer: Answer, draft: Draft, build: RankedBuild, is_stale: IsStale
) -> tuple[Said, ...]:
    """How far each quantity may move before a build is ruled out, the nearest first."""
    found = break_points_of(answer, build.parts, progress=_watching(is_stale))
    return tuple(said([break_point_paragraph(found)], draft, answer.question))


def measures_said(answer: Answer, draft: Draft, is_stale: IsStale) -> tuple[Said, ...]:
    """What could be measured, the most telling first."""
    found = measurements(answer, progress=_watching(is_stale))
    return tuple(said(measurement_paragraphs(found), draft, answer.question))


def cautions_said(answer: Answer) -> tuple[Said, ...]:
    """What people have to mind, and what was put where the data sheet is silent."""
    question, catalog = answer.question, answer.subject.catalog
    asked = [
        Said("What is asked, and of what", "strong"),
        *(Said(f"  {label}: {words}") for label, words in asked_in_words(question)),
        Said(f"  Duty: {duty_in_words(answer.subject.duty)}"),
        Said(f"  Catalog: {catalog_in_words(catalog)}; {invented_in_words(catalog)}"),
    ]
    topics = [
        Said(f"  {topic}: {text}")
        for topic, text in deferred(answer.cautions_of(*answer.builds(limit=1)))
    ]
    gaps = [Said(f"  {gap_words(gap)}") for gap in answer.subject.filled.notes]
    minded = [Said("Cautions", "strong"), *topics, Said(DEFER)] if topics else []
    left_out = [Said("Left out of the data sheet", "strong"), *gaps] if gaps else []
    found = (*minded, *left_out) or (Said("No caution, and nothing left out."),)
    return (*found, *asked)


# Builds side by side


def marked_builds(
    answer: Answer, keys: Sequence[BuildKey], ranks: Mapping[BuildKey, int] = MappingProxyType({})
) -> tuple[RankedBuild, ...]:
    """The marked builds as they stand in an answer, under known ranks; not those that lost a part."""
    parts = answer.grid.frame.parts
    places = {slot: {part.name: at for at, part in enumerate(parts[slot])} for slot in parts}
    named = [[(dict(key).get(slot, ""), at) for slot, at in places.items()] for key in keys]
    rows = [[at.get(name, -1) for name, at in row] for row in named]
    whole = [row for row in rows if -1 not in row]
    if not whole:
        return ()
    builds = answer.described(np.array(whole, dtype=np.intp))
    return tuple(replace(each, rank=ranks.get(key_of(each), 0)) for each in builds)


def compared(
    answer: Answer,
    keys: Sequence[BuildKey],
    width: int,
    glyphs: Glyphs,
    ranks: Mapping[BuildKey, int] = MappingProxyType({}),
) -> PageScreen | str:
    """Lay marked builds side by side in so many columns, or say why there is nothing to compare.

    They keep the numbers that the list gives them, as far as these are known.
    """
    builds = marked_builds(answer, keys, ranks)
    if len(builds) < FEWEST:
        return "of the marked builds, fewer than two have all their parts left"
    lines = compare_lines(side_by_side(builds), min(width - 4, WIDEST))
    heads = ("slot (", "figure", "rule (")
    spans = [[(line, "strong" if line.startswith(heads) else "")] for line in lines]
    bars = margin_bars(builds, min(width - 4, WIDEST), glyphs)
    words: Spans = [("Left of the limit in each build, the least first:", "strong")]
    return PageScreen(
        f"{len(builds)} builds, where they differ", [*spans, [("", "")], words, *bars]
    )


# Export


def exported(answer: Answer, form: str, view: View) -> str:
    """Return what a list shows in one of `FORMS`, as the command prints it."""
    builds = BuildList(answer, view)
    for _ in range(MOST_EXPORTED // builds.page + 1):
        builds.fetch(0, MOST_EXPORTED)
    heads = [head for at in range(MOST_EXPORTED) if (head := builds.head(at)) is not None]
    bests = tuple(head.best for head in heads)
    page = Page(builds.asked, bests, 0, heads=tuple(heads) if view.folds else ())
    if form == "json":
        return builds_json(page)
    if form == "csv":
        return builds_csv(page)
    return heads_table(page) if page.heads else builds_table(page)


def sheet_for(answer: Answer, build: RankedBuild, ending: str) -> str | bytes:
    """Return the data sheet of a build in the form of a file's ending."""
    from configurator.report.sheet import sheet_as  # its libraries are an extra of their own
    from configurator.report.sheet_data import sheet_data

    return sheet_as(ending, sheet_data(answer, build))


# One head for several jobs


def common_heads_page(workshop: Workshop, path: Path, examples: Path, width: int) -> PageScreen:
    """One head for all pairs of a file, or the fewest, as `common` prints them."""
    jobs = read_pairs(path, folder=examples, most=MOST_JOBS)
    answered = []
    for group in grouped(jobs, lambda job: job.material.two_part).values():
        questions = [Question(job.material, job.process) for job in group]
        found = common_heads(workshop, questions, EXCHANGED, limit=1)
        answered.append((found, [(job.line, job.title) for job in group]))
    text = common_text(answered, min(width - 6, WIDEST))
    heads = [
        {slot: part.name for slot, part in head.parts.items()}
        for found, _ in answered
        for head in found.heads
    ]
    return _page_of_heads("One head for several jobs", text, heads)
