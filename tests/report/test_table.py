"""The table for people, and what stands in place of builds when there are none."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from shipped import shipped_answer
from two_part_world import TWO_PART

from configurator.explain.answer_paragraphs import part_paragraphs
from configurator.explain.why import why
from configurator.explain.why_none import why_none
from configurator.report.builds import page_of
from configurator.report.lines import cells
from configurator.report.table import builds_table, why_nothing
from configurator.rules.finding import State
from configurator.rules.losses import findings_of
from configurator.rules.spaces import conflict_in

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


def told(answer, *, strict: bool = False) -> str:
    asked = answer.with_question(replace(answer.question, strict=strict))
    return " ".join(" ".join(why_nothing(page_of(asked), 100)).split())


def test_the_rules_that_leave_no_build_are_named_with_their_numbers(ask):
    answer = ask("grip-mortar", "grip-dots")
    assert answer.count == 0

    said = told(answer)

    emptied = [slot for slot, places in answer.live.items() if not len(places)]
    misses = why_none(answer).misses
    assert len(misses) == 2
    assert f"None passes all of these at once: {'; '.join(misses)}." in said
    assert all(slot in said for slot in emptied)
    assert said.endswith("--format json shows the reasons for every part in `choices`.")


def test_a_picked_part_that_is_out_by_itself_is_told_with_the_numbers(ask):
    answer = ask("lid-sealant", "lid-bead", outlet="needle-14g-12.7")

    said = told(answer)

    assert "The picks leave no build." in said
    assert "No build with outlet=needle-14g-12.7 passes 'reach of the tip': " in said
    assert "12.7 mm" in said


def test_picks_that_do_not_go_together_are_blamed_with_the_rule(ask):
    free = ask("lid-sealant", "lid-bead")
    answer = ask("lid-sealant", "lid-bead", body="316l", cavity="h1-0.003-2s")

    said = told(answer)

    without = f"{free.count:,}".replace(",", " ")
    assert f"Without them there would be {without} builds." in said
    assert "cavity=h1-0.003-2s" in said
    # Body 316l has builds of its own, so it is no part of a minimal conflict.
    assert "body=316l" not in said


def test_strict_points_to_the_builds_that_are_not_shown_to_fit(sealant):
    assert sealant.counts[State.FITS] == 0

    said = told(sealant, strict=True)

    assert "Leave out --strict" in said
    assert f"{sealant.count:,}".replace(",", " ") in said


def test_a_size_whose_cavities_a_wish_shuts_out_is_told_with_that_wish(ask):
    """Its cavities go first and the size after them; other sizes' cavities say nothing."""
    answer = ask("thermal-paste", "regulator-pads", size="h1")

    said = told(answer)

    assert "No build with size=h1 passes 'largest particle against the cavity': " in said
    assert "not made for" not in said
    assert why_none(answer).shut_out.steps[0].nearest.finding.reason in said


def test_so_it_is_where_rules_leave_it_together_with_no_cavity(ask):
    answer = ask("hinge-grease", "hinge-dots", size="h1")

    conflict = conflict_in(answer.spaces[State.UNPROVEN], answer.picks)
    assert [(each.kind, each.name) for each in conflict] == [
        ("pick", "size"),
        ("relation", "cavity made for the size"),
    ]
    assert "No build with size=h1 passes 'rotor speed against viscosity': " in told(answer)


@pytest.mark.parametrize(
    ("material", "process", "slot", "name"),
    [
        ("lid-sealant", "lid-bead", "size", "h2"),
        ("lid-sealant", "lid-bead", "size", "h6"),
        ("hinge-grease", "hinge-dots", "size", "h5"),
        ("hinge-grease", "hinge-dots", "stator", "nbr-l"),
        ("bearing-oil", "pulley-drops", "stator", "fkm-l"),
        ("lid-sealant", "lid-bead", "cavity", "h1-0.003-2s"),
        ("hull-paste", "hull-seam", "a.size", "h6"),
    ],
)
def test_a_pick_a_part_in_question_and_the_screen_are_told_the_same(material, process, slot, name):
    """The rules that are each enough against a part, with the same numbers, wherever one asks."""
    free = shipped_answer(material, process)
    steps = [each.steps[0] for each in why(free, {slot: name}, search=False).alone]
    assert steps
    said = told(shipped_answer(material, process, **{slot: name}))
    screen = " ".join(
        sentence.text for paragraph in part_paragraphs(free, slot, name) for sentence in paragraph
    )
    for step in steps:
        assert f"'{step.name}': {step.nearest.finding.reason}" in said
        assert step.name in screen


def test_the_part_that_comes_nearest_is_the_example(ask):
    answer = ask("grip-mortar", "grip-dots")
    (cause, *_) = why_none(answer).causes
    findings = [
        finding
        for losses in answer.losses.values()
        for finding in findings_of(
            answer.left, [each for each in losses if each.title == cause.rule]
        )
    ]

    assert cause.nearest.margin == max(each.margin for each in findings)
    assert len(findings) == cause.parts


def test_what_only_the_engine_knows_is_never_named():
    """Two heavy drives weigh too much together: the classes that say so are a part of the rule."""
    drives = [{"name": "light"}, {"name": "heavy", "mass": "2 kg"}]
    world = TWO_PART.with_parts({"drive": drives}).having({"process.carrier.payload": "5.4 kg"})
    answer = world.asking({"a.drive": "heavy", "b.drive": "heavy"}).answer
    alone = world.asking({"a.drive": "heavy"}).answer

    said = told(answer)
    assert (
        "No build with a.drive=heavy and b.drive=heavy passes 'carried mass of both sides': "
        in said
    )
    assert "~" not in said
    blocked = next(each for each in alone.choices["b.drive"] if each.part.name == "heavy").blocked
    assert blocked == ("pick a.drive=heavy", "carried mass of both sides")
