"""Searches on demand: remedies that are applied to the draft, break points, and giving up."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_driving import SLIM, drive
from tui_worlds import asked

from configurator.explain.measure import measurements
from configurator.tui.board import Stand
from configurator.tui.desk_work import (
    NobodyWaitsError,
    break_points_said,
    cautions_said,
    measures_said,
    remedies_said,
)
from configurator.tui.document import draft_after
from configurator.workshop.heads import heads_of, is_exchanged
from configurator.workshop.shortlist import shortlist_of


def solved(session):
    session.solved(session.workshop.answer(session.to_solve))
    return session


def never() -> bool:
    return False


def test_cautions_and_gaps_are_told_as_the_command_line_tells_them(examples):
    answer = solved(asked(examples, "plain", "flow")).answer
    texts = [each.text for each in cautions_said(answer)]

    assert answer.cautions
    assert answer.subject.filled.notes
    for caution in answer.cautions:
        assert any(text.startswith(f"  {caution.topic}: ") for text in texts)
    for gap in answer.subject.filled.notes:
        assert any(gap.field in text and gap.settle_with in text for text in texts)


def test_every_remedy_that_is_told_has_builds_when_it_is_applied(examples):
    session = solved(asked(examples, "gritty", "flow"))
    said = remedies_said(session.answer, session.draft, {}, never)
    remedies = [entry.remedy for entry in said if entry.remedy is not None]

    assert remedies
    for remedy in remedies:
        question, faults = remedy.draft.question()
        assert faults == ()
        assert session.workshop.answer(question).count > 0


def test_a_remedy_for_a_part_keeps_that_part(examples):
    session = solved(asked(examples, "plain", "flow"))
    session.pick("size", "tall")
    said = remedies_said(session.answer, session.draft, {"cavity": "one-ml"}, never)
    remedies = [entry.remedy for entry in said if entry.remedy is not None]

    assert remedies
    for remedy in remedies:
        assert remedy.draft.picks["cavity"] == "one-ml"
        assert session.workshop.answer(remedy.draft.question()[0]).count > 0


def test_break_points_name_the_rule_that_gives_way(examples):
    session = solved(asked(examples, "plain", "flow"))
    (build,) = session.answer.builds(limit=1)
    said = "\n".join(
        entry.text for entry in break_points_said(session.answer, session.draft, build, never)
    )

    assert said.startswith("How far each quantity may move by itself:")
    assert "breaks at" in said
    assert "stands as far as was tried" in said
    assert any(finding.rule in said for finding in build.findings)


def test_what_to_measure_is_what_the_builds_hang_on(examples):
    session = solved(asked(examples, "unseen", "flow"))
    said = "\n".join(entry.text for entry in measures_said(session.answer, session.draft, never))
    found = measurements(session.answer)

    assert found.useful
    assert all(each.test in said for each in found.useful)
    with pytest.raises(NobodyWaitsError):
        measures_said(session.answer, session.draft, lambda: True)


def test_a_search_ends_when_nobody_waits(examples):
    session = solved(asked(examples, "gritty", "flow"))

    with pytest.raises(NobodyWaitsError):
        remedies_said(session.answer, session.draft, {}, lambda: True)


def test_a_draft_after_a_change_makes_the_changed_request_and_keeps_other_words(examples):
    session = solved(asked(examples, "plain", "flow"))
    before = session.draft.question()[0]
    other = asked(examples, "gritty", "mixed").draft.question()[0]
    filler = other.material.component.filler
    component = before.material.component.model_copy(update={"filler": filler, "complete": False})
    after = replace(
        before,
        material=before.material.model_copy(update={"component": component}),
        process=before.process.model_copy(update={"tolerance": other.process.tolerance}),
        picks={"stator": "stiff"},
    )
    draft = draft_after(session.draft, before, after)
    question, faults = draft.question()

    assert faults == ()
    assert question == after
    assert draft.material.at("component.flow.viscosity") == "10 Pa*s"
    assert draft_after(session.draft, before, before) == session.draft


def test_a_key_finds_remedies_and_enter_applies_one(examples):
    session = asked(examples, "gritty", "flow")

    async def steps(driver):
        await driver.press("4", "r")
        why = driver.app.main.why
        assert "Would open it:" in driver.text
        why.go(next(at for at, line in enumerate(why._lines) if line[1] is not None))
        await driver.press("enter")
        assert session.answer.count > 0
        await driver.press("z")
        assert session.answer.count == 0

    drive(session, steps)


def test_a_head_is_opened_left_and_picked_and_an_order_asked_by_a_click_on_its_column(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        panel = driver.app.main.builds
        await driver.press("down", "enter")
        head = panel.shown.view.opened
        assert driver.line_with(f"Builds of head {head.rank}")
        assert len(panel.shown) == heads_of(session.answer, limit=2)[1].builds
        await driver.press("down", "escape")
        assert driver.line_with("4 Heads")
        assert panel.build.rank == head.rank

        line = driver.text.splitlines().index(driver.line_with(" margin "))
        place = driver.text.splitlines()[line].index(" cost") + 1
        await driver.pilot.click(offset=(place, line))
        await driver.settle()
        assert session.sort == "cost_index"
        await driver.pilot.click(offset=(place, line))
        await driver.settle()
        assert session.sort == "shortfall_steps"

        await driver.press("slash")
        await driver.type("brass stiff")
        assert {b.parts["body"].name for b in panel.shown.fetched()} == {"brass"}
        await driver.press("i")
        assert session.draft.picks["body"] == "brass"
        assert "outlet" not in session.draft.picks
        await driver.press("z", "slash")
        assert not session.draft.picks
        assert panel.shown.view.words == ""

    drive(session, steps, size=(200, 50))


def test_columns_move_sideways_and_a_click_on_a_slot_goes_to_its_parts(examples):
    async def steps(driver):
        panel = driver.app.main.builds
        session = driver.app.session
        second = panel.head(60)[0][3][0]
        await driver.press("o")
        assert session.sort == "least_margin_pct"
        shown = [panel.shown.row(at).rank for at in range(len(panel.shown.fetched()))]
        order = replace(session.answer.question, sort="least_margin_pct")
        heads = heads_of(session.workshop.answer(order), limit=len(shown))
        assert shown == [each.best.rank for each in heads]
        assert panel._columns[0].order == "least_margin_pct"
        await driver.press("o")
        assert session.sort == "shortfall_steps"
        for each in panel._columns[1:]:
            await driver.press("right")
            texts = panel.head(60)[0]
            assert texts[1][0].startswith("margin")
            assert [text.strip() for text, style in texts if style == "cursor"] == [each.head]
        assert panel.head(60)[0][3][0] != second
        await driver.press(*["left"] * len(panel._columns), "right", "o")
        assert driver.app.main.active == "2"
        assert driver.app.main.parts.slot.name == second.strip()

    drive(asked(examples, "plain", "flow"), steps)


def test_keys_in_the_hints_and_names_of_slots_and_tabs_take_the_mouse(examples):
    async def steps(driver):
        async def click(words):
            line = driver.line_with(words)
            await driver.pilot.click(
                offset=(line.index(words), driver.text.splitlines().index(line))
            )
            await driver.settle()

        await click("2 Parts")
        assert driver.app.main.active == "2"
        await click("stator ")
        assert driver.app.main.parts.slot.name == "stator"
        await click("? keys")
        assert "keys and marks" in driver.text

    drive(asked(examples, "plain", "flow"), steps, size=SLIM)


def test_heads_are_listed_folded_and_the_best_for_each_purpose_are_told(examples):
    async def steps(driver):
        await driver.press("4", "g")
        assert "4 Builds: by state" in driver.text
        await driver.press("g")
        assert "4 Heads: by state" in driver.text
        ranks = [build.rank for build in driver.app.main.builds.shown.fetched()]
        assert ranks[0] == 1
        assert ranks != sorted(range(1, len(ranks) + 1))
        await driver.press("b")
        assert "Best heads, each for a purpose" in driver.text
        assert "least cost" in driver.text
        assert "Enter pick the parts of a head" in driver.text
        session = driver.app.session
        best = shortlist_of(session.answer).heads[0].head.best
        wanted = {slot: p.name for slot, p in best.parts.items() if not is_exchanged(slot)}
        await driver.press("enter")
        assert session.draft.picks == wanted
        assert driver.line_with("parts of the head picked")
        await driver.press("z", "b", "home", "enter", "i")
        assert not session.draft.picks  # the first line tells of no head
        await driver.press("escape")

    drive(asked(examples, "plain", "flow"), steps)


@pytest.mark.parametrize("size", [SLIM, (200, 60)])
def test_every_head_of_a_column_is_explained_where_the_cursor_is(examples, size):
    async def steps(driver):
        panel = driver.app.main.builds
        explained = {text.strip() for line in driver.app.main.words(106) for text, _ in line[:1]}
        words = {word.strip() for text in explained for word in text.split(", ")} | explained
        heads = {each.head for each in panel._columns}
        assert {head.rpartition(".")[2] for head in heads if "," not in head} <= words
        assert {head for head in heads if "," in head} <= words
        for digit in "123456":
            await driver.press(digit, "question_mark")
            assert "Words of this panel" in driver.text
            await driver.press("escape")

    drive(asked(examples, "pair", "mixed"), steps, size=size)


def test_the_map_says_what_it_shows_and_what_was_said_goes_with_its_panel(examples):
    async def steps(driver):
        await driver.press("4", "enter")
        assert driver.app.last_words.startswith("builds of this head")
        await driver.press("5")
        assert not driver.app.last_words
        await driver.press("t")
        assert driver.line_with("Trade-off: cost index against volume error")

    drive(asked(examples, "plain", "flow"), steps, size=SLIM)


def test_a_part_that_is_out_is_told_by_the_first_rule_against_it(examples):
    async def steps(driver):
        session, parts = driver.app.session, driver.app.main.parts
        await driver.press("2")
        found = 0
        for slot in session.board.slots:
            for option in slot.options:
                parts.show_slot(slot.name, option.name)
                await driver.settle()
                if option.stand is Stand.OUT:
                    said = [each.text.strip() for each in driver.app.main.why.said]
                    assert parts.reason in said
                    assert not any(
                        text.startswith("Nor ") for text in said[: said.index(parts.reason) + 1]
                    )
                    assert not parts.reason.endswith(":")
                    found += 1
        assert found

    drive(asked(examples, "gritty", "flow"), steps)
