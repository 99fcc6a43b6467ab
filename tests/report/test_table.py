"""The table for people."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from configurator.report.lines import cells
from configurator.report.page import page_of
from configurator.report.table import builds_table

STATES = ("fits", "marginal", "unproven")


def strict(answer):
    return answer.with_question(replace(answer.question, strict=True))


def in_a_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("offset", [0, 900])
@pytest.mark.parametrize("name", ["sealant", "grease"])
def test_no_line_is_wider_than_asked(request, name, width, offset):
    page = page_of(request.getfixturevalue(name), offset=offset, limit=12)
    text = builds_table(page, width=width)

    assert max(cells(line) for line in text.splitlines()) <= width
    assert text.replace("\n", "").isprintable()


@pytest.mark.parametrize("offset", [0, 900])
def test_every_part_and_figure_of_a_build_is_there(grease, offset):
    page = page_of(grease, offset=offset, limit=5)
    said = in_a_line(builds_table(page))

    for build in page.builds:
        for part in build.parts.values():
            assert part.name in said
        assert build.tightest is not None
        assert build.tightest.rule in said
        assert re.search(rf"\b{build.rank} {build.state.words}\b", said)


def test_a_single_build_is_told_in_a_sentence(grease):
    said = in_a_line(builds_table(page_of(grease, limit=1)))

    assert "This build: size h" in said
    assert "In every build listed" not in said


def test_the_head_counts_each_state_and_all_combinations(grease):
    said = in_a_line(builds_table(page_of(grease, limit=1)))
    spaced = f"{grease.count:,} of {grease.considered:,} combinations".replace(",", " ")

    assert spaced in said
    for state, number in grease.counts.items():
        assert f"{number:,} {state.words}".replace(",", " ") in said


def test_rules_that_keep_builds_from_fitting_are_named_with_their_numbers(sealant):
    page = page_of(sealant, limit=4)
    said = in_a_line(builds_table(page))
    worst = [
        finding
        for finding in page.builds[0].findings
        if finding.state.words == page.builds[0].state.words
    ]

    assert "Not shown to fit:" in said
    assert worst
    for finding in worst:
        assert f"{finding.state.words}: {finding.rule}" in said
    assert any(finding.reason in said for finding in worst)


def test_builds_that_fit_need_no_excuse(grease):
    page = page_of(strict(grease), limit=4)

    assert "Not shown to fit:" not in builds_table(page)


def test_gaps_and_cautions_are_told(sealant):
    said = in_a_line(builds_table(page_of(sealant, limit=1)))

    for gap in sealant.subject.filled.notes:
        assert f"{gap.field}: {gap.says}" in said
        assert gap.settle_with in said
    assert sealant.cautions
    for caution in sealant.cautions:
        assert caution.topic in said
    # Who decides is part of each caution; it is printed once.
    assert said.count("by licensed and qualified people, decide.") == 1


def test_what_is_not_shown_is_counted(grease):
    said = in_a_line(builds_table(page_of(grease, offset=3, limit=2)))

    left = f"{grease.count - 5:,} more builds".replace(",", " ")
    assert f"{left}: --offset 5 shows the next" in said


def test_strict_says_how_many_it_hides(grease):
    page = page_of(strict(grease), limit=1)

    hidden = f"{page.hidden:,} builds not shown to fit".replace(",", " ")
    assert hidden in in_a_line(builds_table(page))


def test_colour_only_adds_to_the_words(sealant):
    page = page_of(sealant, limit=5)
    plain = builds_table(page)
    with_colour = builds_table(page, colour=True)

    assert "\x1b[" in with_colour
    assert re.sub(r"\x1b\[\d+m", "", with_colour) == plain


def test_past_the_end_the_table_says_so(ask):
    answer = ask("probe-grease", "plug-grease", outlet="needle-14g-50", feed="syringe-10")
    assert answer.count > 0
    text = builds_table(page_of(answer, offset=answer.count, limit=3))

    assert "Nothing to list" in text


def test_a_two_part_build_names_the_parts_of_both_sides(ask):
    page = page_of(ask("bay-potting", "bay-potting-pour"), limit=2)
    text = builds_table(page)
    said = in_a_line(text)

    assert max(cells(line) for line in text.splitlines()) <= 100
    (first, *_) = page.builds
    for slot, part in first.parts.items():
        assert part.name in said, slot
    assert "a.stator" in said
    assert "b.stator" in said
