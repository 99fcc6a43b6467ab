"""Every word of the screen is explained by `?` where the cursor is."""

from __future__ import annotations

import re

import pytest
from tui_driving import drive
from tui_worlds import asked

from configurator.cli.tui import examples_folder
from configurator.request.orders import ORDERS
from configurator.rules.finding import LISTED
from configurator.tui.document import blank, open_document
from configurator.tui.form import fields_of
from configurator.tui.keys import WORDS, field_words, word_lines
from configurator.tui.looks import ASCII
from configurator.tui.panels.build_columns import columns_for
from configurator.tui.panels.window import PICTURES
from configurator.tui.pictures import age_chart, flow_chart, pictured
from configurator.workshop.heads import heads_of

QUESTIONS = [("plain", "flow"), ("pair", "mixed")]


def explained(digit):
    return "\n".join("".join(text for text, _ in line) for line in word_lines(digit, 400)).lower()


def lacks(words, digit):
    """Words that the panel's explanations do not hold."""
    told = explained(digit)
    bare = {re.sub(r"^[ab]\. ?", "", word).lower() for word in words}
    return sorted(word for word in bare if not re.search(rf"(?<!\w){re.escape(word)}(?!\w)", told))


def answered(examples, question):
    session = asked(examples, *question)
    return session.workshop.answer(session.to_solve)


def test_every_field_of_every_form_is_explained():
    shipped = [
        open_document("material" if "trigger" in path.read_text() else "process", str(path), path)
        for path in examples_folder().rglob("*.toml")
    ]
    fields = {
        field.path
        for document in [*shipped, blank("material"), blank("process")]
        for field in fields_of(document)
    }
    assert len(fields) > 60
    assert sorted(path for path in fields if not field_words(path)) == []
    assert field_words("no_such_field") == ""


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_column_and_state_of_heads_is_explained(examples, question):
    heads = heads_of(answered(examples, question), limit=20)
    words = {column.head for column in columns_for(heads, ORDERS[0], ASCII)}
    assert lacks({*words, *(state.words for state in LISTED)}, "4") == []
    assert lacks(["word of nobody"], "4") == ["word of nobody"]


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_slot_is_explained(examples, question):
    slots = {slot for slot in answered(examples, question).frame.slots if slot != "outlet"}
    assert lacks(slots, "2") == []
    assert lacks(["outlet"], "2") == []


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_picture_and_every_name_in_it_is_explained(examples, question):
    answer = answered(examples, question)
    shown = pictured(answer, answer.builds(limit=1)[0])
    names = {*PICTURES.values()}
    for window in shown.windows:
        drawn = "\n".join("".join(t for t, _ in line) for line in flow_chart(window, 90, 30, ASCII))
        names |= {word for word in ("least slip", "most slip", "nominal") if word in drawn}
    names |= set(shown.chain.parts)
    if shown.ages is not None:
        assert age_chart(shown.ages, 90, 30, ASCII)
        names |= {*shown.ages.limits, "oldest", "nominal"}
    assert lacks(names, "5") == []


def test_the_heads_of_needs_are_explained(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("6")
        head = driver.line_with("without it")
        assert lacks(re.findall(r"need|value|without it|blocks", head), "6") == []

    drive(session, steps)


def test_the_field_under_the_cursor_comes_first(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        duty = driver.app.main.duty
        await driver.press("1")
        duty.go(
            next(n for n, row in enumerate(duty.rows) if row.field and row.field.label == "density")
        )
        await driver.press("question_mark")
        assert "Where the cursor is" in driver.text
        assert "carried mass" in driver.text

    drive(session, steps)


def test_every_panel_has_words():
    assert {*WORDS} == {*"123456"}
