"""Screens as text against those in `screens`, and what every screen has to keep."""

from __future__ import annotations

import asyncio

import pytest
from rich.style import Style
from textual.events import Click
from textual.widgets import OptionList
from tui_driving import SLIM, WIDE, drive
from tui_screens import CASES, FOLDER, STATES, name_of, screen_of
from tui_worlds import HOSTILE, asked

from configurator.report.lines import cells
from configurator.tui.keys import HELP
from configurator.tui.looks import THEMES
from configurator.tui.screens import FLOOR

LEAST_CONTRAST = 4.5


@pytest.mark.parametrize(("state", "size", "characters"), CASES, ids=str)
def test_the_screen_is_the_one_on_file(examples, state, size, characters):
    text = screen_of(examples, state, size, characters)
    expected = (FOLDER / name_of(state, size, characters)).read_text(encoding="utf-8")

    assert text == expected
    width = int(size.partition("x")[0])
    assert all(cells(line) <= width for line in text.splitlines())
    if characters == "ascii":
        assert text.isascii()


def test_no_screen_is_on_file_without_a_test():
    assert {path.name for path in FOLDER.glob("*.txt")} == {name_of(*case) for case in CASES}


def luminance(colour):
    """Relative luminance of an sRGB colour, by WCAG 2.1."""
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Contrast ratio of two colours, by WCAG 2.1; the order does not matter."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def contrasts(app):
    """The contrast of every piece of text on the screen, with the text."""
    found = []
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if not segment.text.strip() or style is None:
                continue
            assert style.color is not None, segment.text
            assert style.bgcolor is not None, segment.text
            pair = [colour.get_truecolor().hex for colour in (style.color, style.bgcolor)]
            found.append((contrast(*pair), segment.text))
    return found


def is_line(text):
    """Borders are no text: they carry nothing that is not said in words."""
    return all(character in "+-|\u250c\u2510\u2514\u2518\u2500\u2502 " for character in text)


def test_every_text_on_every_screen_can_be_read_in_every_theme(examples):
    session = asked(examples, "plain", "flow")
    ways = (["2", "down", "enter", "right", "delete"], ["4", "m"], ["6"], ["p"], ["escape", "1"])
    seen = dict.fromkeys(THEMES, 0)

    async def steps(driver):
        for keys in ways:
            await driver.press(*keys)
            if keys[-1] == "1":
                document = session.draft.material.with_value("component.density", "heavy")
                session.put(session.draft.with_document(document))
                driver.app.changed()
            for name, theme in THEMES.items():
                driver.app.theme = theme.name
                await driver.settle()
                readable = [entry for entry in contrasts(driver.app) if not is_line(entry[1])]
                seen[name] += len(readable)
                ratio, text = min(readable)
                assert ratio >= LEAST_CONTRAST, (name, text)

    drive(session, steps)
    assert min(seen.values()) > 300


def test_the_contrast_test_sees_a_pale_text():
    assert contrast("#777777", "#888888") < LEAST_CONTRAST
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_no_color_takes_the_mono_theme_and_stays_readable(examples, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("2")
        assert driver.app.theme == THEMES["mono"].name
        await driver.press("d")
        assert driver.app.theme == THEMES["mono"].name
        styles = [s.style for strip in driver.app.screen._compositor.render_strips() for s in strip]
        colours = {c for style in styles if style for c in (style.color, style.bgcolor) if c}
        assert all(len(set(colour.get_truecolor())) == 1 for colour in colours)
        grounds = {style.bgcolor for style in styles if style and style.bgcolor}
        assert len(grounds) >= 2  # the cursor is still seen
        readable = [entry for entry in contrasts(driver.app) if not is_line(entry[1])]
        assert min(readable)[0] >= LEAST_CONTRAST

    drive(session, steps, theme="light")


def test_a_hostile_title_is_shown_as_text(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("2")
        driver.app.main.parts.show_slot("outlet", "odd")
        await driver.settle()
        shown = driver.line_with("[bold red]")
        assert "[bold red]\\x1b[31m" in shown
        assert "\x1b" not in driver.text
        await driver.press("w")
        assert "\x1b" not in driver.text
        await driver.press("2", "slash")
        assert "[bold red]" in driver.text
        assert "\x1b" not in driver.text

    drive(session, steps)
    assert "\x1b" in HOSTILE


def test_a_hostile_name_in_a_document_is_shown_as_text(examples):
    session = asked(examples, "plain", "flow")
    for path in ("name", "title"):
        document = session.draft.material.with_value(path, "[red]\x1b]0;x\x07[/]")
        session.put(session.draft.with_document(document))

    async def steps(driver):
        await driver.press("1")
        assert "[red]\\x1b]0;x\\x07[/]" in driver.text
        assert driver.text.replace("\n", "").isprintable()

    drive(session, steps)


@pytest.mark.parametrize("size", [(59, 30), (90, 19), (20, 5)])
def test_below_the_floor_the_screen_says_so_and_grows_again(examples, size):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        assert "60x20 needed." in driver.text
        assert "Parts" not in driver.text
        await driver.pilot.resize_terminal(*FLOOR)
        await driver.settle()
        assert "Parts" in driver.text
        assert "60x20 needed." not in driver.text

    drive(session, steps, size=size)


def test_a_resize_goes_from_one_panel_to_all_and_back(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("1")
        assert "4 Heads: by state" not in driver.text
        await driver.pilot.resize_terminal(*WIDE)
        await driver.settle()
        assert all(f"{digit} " in driver.text for digit in "12345")
        assert "4 Heads: by state" in driver.text
        await driver.pilot.resize_terminal(*SLIM)
        await driver.settle()
        assert "4 Heads: by state" not in driver.text

    drive(session, steps, size=SLIM)


def test_every_key_of_the_help_does_something(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        for keys, action, _ in HELP:
            assert callable(getattr(driver.app.main, f"action_{action}"))
            if action != "leave":
                await driver.press(keys.split(",")[0])
                while len(driver.app.screen_stack) > 1:
                    await driver.press("escape")

    drive(session, steps)


def test_duty_shows_what_matters_then_what_is_set_then_all_and_goes_to_faults(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        panel = driver.app.main.duty
        await driver.press("1")
        shown = [len(panel.rows)]
        paths = [row.field.path for row in panel.rows if row.field is not None]
        assert "tolerance" in paths
        assert "title" not in paths
        for _ in range(2):
            await driver.press("a")
            shown.append(len(panel.rows))
        assert shown == sorted(set(shown))
        await driver.press("a")
        assert len(panel.rows) == shown[0]

        await driver.press("j")
        assert driver.app.last_words == "no fault in Duty"
        for path in ("tolerance", "feed_pressure"):
            document = session.draft.process.with_value(path, "much")
            session.put(session.draft.with_document(document))
        driver.app.changed()
        await driver.settle()
        seen = []
        for _ in range(3):
            await driver.press("j")
            seen.append(panel.current.field.path)
        assert seen == ["tolerance", "feed_pressure", "tolerance"]

    drive(session, steps)


def test_letters_are_typed_into_a_field_and_do_nothing_else(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("1", "slash")
        await driver.type("material title")
        assert driver.app.main.duty.current.field.path == "title"
        await driver.press("enter")
        await driver.pilot.press(*"qz1")
        await driver.settle()
        assert driver.app.is_running
        await driver.press("escape")
        assert session.draft.material.title == "An invented liquid"
        await driver.press("enter")
        await driver.pilot.press(*"qz")
        await driver.press("enter")
        assert session.draft.material.title == "An invented liquidqz"

    drive(session, steps)


def test_a_mouse_goes_there_and_a_second_click_acts(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        parts = driver.app.main.parts
        parts.show_slot("stator")
        await driver.settle()
        top = len(parts.edges()[0])
        await driver.pilot.click("#parts", offset=(4, top + 2))
        await driver.settle()
        assert parts.cursor == 1
        assert session.draft.picks == {}
        await driver.pilot.click("#parts", offset=(4, top + 2))
        await driver.settle()
        assert session.draft.picks == {"stator": parts.slot.options[1].name}

    drive(session, steps)


def test_a_click_that_comes_after_the_list_was_narrowed_takes_what_was_clicked(examples):
    """Keys and clicks of one burst: the list under the click is a shorter one by then."""
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("p")
        listed = driver.app.screen.query_one(OptionList)
        at = next(n for n, each in enumerate(listed.options) if each.id == "strict")
        late = OptionList.OptionSelected(listed, listed.options[at], at)
        await driver.press("m", "a", "p")
        assert at >= listed.option_count
        listed.post_message(late)
        await driver.settle()
        assert session.strict

        await driver.press("p")
        entries = driver.app.screen.query_one(OptionList)
        await driver.press("m", "a", "p")
        here = Click(entries, 1, 1, 0, 0, 1, False, False, False, style=Style(meta={"option": at}))
        entries.post_message(here)
        await driver.press("escape")
        assert driver.app.screen is driver.app.main

    drive(session, steps)


def test_a_slow_engine_blocks_no_key_and_shows_that_it_works(examples):
    """The old counts stay, marked as old, until the newest question is answered."""
    import threading

    from configurator.tui.form import fields_of

    session = asked(examples, "plain", "flow")
    gate = threading.Event()
    gate.set()
    solved = []

    def slow(question):
        assert gate.wait(20)
        solved.append(question.process.tolerance.text)
        return session.workshop.answer(question)

    async def steps(driver):
        app = driver.app
        gate.clear()
        for text in ("3 %", "4 %", "5 %", "6 %"):
            field = next(f for f in fields_of(session.draft.process) if f.path == "tolerance")
            session.type("process", field, text)
            app.changed()
            await driver.pilot.pause()
        await driver.pilot.press("2", "right")
        assert driver.app.main.parts.slot.name == "cavity"
        assert "~144 of" in driver.text
        await asyncio.sleep(0.8)
        await driver.pilot.pause()
        assert "~ solving" in driver.text
        gate.set()
        await driver.settle()
        assert "~" not in driver.text.splitlines()[0]

    drive(session, steps, solve=slow)
    # The first of the four was at work already; of the rest only the newest was.
    assert solved in (["2 %", "3 %", "6 %"], ["2 %", "6 %"])


def test_a_fault_of_the_engine_is_said_and_nothing_is_lost(examples):
    session = asked(examples, "plain", "flow")

    def broken(_request):
        raise ZeroDivisionError("no such luck")

    async def steps(driver):
        assert "internal error" in driver.text
        assert "~ solving" not in driver.text
        await driver.press("1")
        assert "MATERIAL plain" in driver.text

    drive(session, steps, solve=broken)


def test_states_of_the_compared_screens_are_those_that_are_asked_for():
    assert {"empty", "normal", "no-build", "unproven", "bad-input", "two-part"} <= set(STATES)


def test_an_old_list_that_is_looked_at_does_not_keep_the_new_one_away(examples):
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("4")
        old = driver.app.main.builds.shown
        session.pick("stator", "stiff")
        driver.app.changed()
        driver.app.listed.fetch(old, 100, 110)
        await driver.settle()
        assert driver.app.main.builds.shown is not old
        assert driver.app.main.builds.shown.total == 72

    drive(session, steps)
