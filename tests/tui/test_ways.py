"""Three people's ways through the screens, from start to end, by keys alone."""

from __future__ import annotations

import json

import pytest
import tomli
from textual import events
from tui_driving import SLIM, drive
from tui_worlds import asked

from configurator.request.load import load_process
from configurator.tui.kept import bring_back, keep, set_aside
from configurator.tui.screens import PageScreen
from configurator.tui.session import Session


def test_an_engineer_goes_from_a_data_sheet_to_compared_builds(examples, tmp_path):
    """Types a process by hand, picks a part, compares two builds, keeps files and a table."""
    session = asked(examples)
    folder = tmp_path / "kept"

    async def steps(driver):
        # A material by name: the list narrows while typing.
        await driver.press("enter")
        await driver.pilot.press(*"pla")
        await driver.settle()
        assert "An invented liquid" in driver.text
        assert "gritty" not in driver.text
        await driver.press("enter")
        assert driver.line_with("MATERIAL plain")

        # A process by hand: faults say what is missing, each beside its field.
        panel = driver.app.main.duty
        panel.go(next(at for at, row in enumerate(panel.rows) if row.kind == "process"))
        await driver.press("enter")
        await driver.type("(by hand)")
        assert "4 faults in Duty" in driver.text
        for path, text in (
            ("deposit.flow", "48..60 mL/min"),
            ("tolerance", "2 %"),
            ("temperature", "20 degC"),
            ("feed_pressure", "3 barr"),
            ("feed_pressure", "3 bar"),
        ):
            place = [row.field.path if row.field else "" for row in panel.rows].index(path)
            panel.go(place)
            await driver.press("enter")
            await driver.type(text)
            if text == "3 barr":
                assert "1 fault in Duty" in driver.text
                assert driver.app.session.answer is None
        assert "144 of 432 builds" in driver.text

        # Pick a stator, go down the builds, mark two, compare them.
        await driver.press("2", *["right"] * 4, "down", "enter")
        assert session.draft.picks == {"stator": "stiff"}
        assert "(-72)" in driver.text
        await driver.press("4", "m", "down", "down", "down", "down", "m", "c")
        assert "2 builds, where they differ" in driver.text
        assert "cost_index" in driver.text
        await driver.press("escape")

        # The flow window at his pressure, and the pressures as bars.
        await driver.press("5")
        assert "most wanted" in driver.text
        await driver.press("enter")
        assert "tip joint" in driver.text

        # Files that the command reads, and a table.
        await driver.press("k")
        await driver.type(str(folder))
        await driver.press("e", "enter")
        await driver.type(str(folder / "builds.txt"))

    drive(session, steps, folder=tmp_path / "session")

    kept = load_process(folder / "my-process.toml", folder=folder)
    assert kept == session.draft.question()[0].process
    assert "72 of 432 combinations" in (folder / "builds.txt").read_text()
    assert session.answer.count == 72


def test_a_new_hire_goes_from_an_example_to_a_remedy_applied_and_undone(examples):
    """Reads the needs, sees a part shut out, brings it back by a key, and takes that back."""
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        # What each need costs.
        await driver.press("6")
        assert "144 builds now" in driver.text
        await driver.press("left")
        assert session.draft.process.at("tolerance") == "2.5 %"
        await driver.press("z")
        assert session.draft.process.at("tolerance") == "2 %"
        await driver.press("down", "o")
        await driver.press("o")
        assert session.draft.lifted == {}

        # Pick a size; a cavity of the other one is out, and Why says what brings it back.
        await driver.press("2", "down", "enter")
        assert session.draft.picks == {"size": "tall"}
        await driver.press("right", "w")
        parts, why = driver.app.main.parts, driver.app.main.why
        assert parts.option.name == "one-ml"
        assert "free size" in driver.text
        why.go(next(at for at, line in enumerate(why._lines) if line[1] is not None))
        await driver.press("enter")
        assert session.draft.picks == {}
        assert driver.line_with("free size (z undoes it)")
        await driver.press("z")
        assert session.draft.picks == {"size": "tall"}
        await driver.press("y", "z", "z")
        assert session.draft.picks == {}

        # Help lists marks and keys.
        await driver.press("question_mark")
        assert "keys and marks" in driver.text
        await driver.press("escape")

    drive(session, steps, size=SLIM)


def test_a_reviewer_reads_a_result_without_builds_and_gets_the_command(examples, tmp_path):
    """Comes with a row of a screening that has no build, and leaves with the reason."""
    session = asked(examples, "gritty", "flow")

    async def steps(driver):
        await driver.press("4")
        assert "No part is left for: cavity, outlet." in driver.text
        await driver.press("w")
        assert "largest particle against the cavity" in driver.text
        await driver.press("6")
        panel = driver.app.main.needs
        keys = [need.key for need in panel.needs]
        panel.go(keys.index("material:component.filler"))
        await driver.settle()
        await driver.press("o")
        assert session.draft.lifted
        assert session.answer.count > 0
        await driver.press("l")
        assert "headwright builds" in driver.text
        await driver.press("escape", "q")

    drive(session, steps, folder=tmp_path)

    # Leaving lost nothing: another session goes on where this one ended.
    again = Session(session.workshop, examples)
    assert bring_back(again, tmp_path / "session.json")
    assert again.draft == session.draft
    tables = tomli.loads((tmp_path / "material.toml").read_text())
    assert "filler" not in tables["component"]


def test_json_is_exported_with_every_pick(examples, tmp_path):
    session = asked(examples, "plain", "flow")
    session.pick("stator", "stiff")

    async def steps(driver):
        await driver.press("e")
        await driver.type("json")
        await driver.type(str(tmp_path / "out.json"))
        assert driver.line_with("written: ")

    drive(session, steps)
    data = json.loads((tmp_path / "out.json").read_text())
    fresh = session.workshop.answer(session.draft.question()[0])
    assert data["count"] == fresh.count == 72
    assert data["considered"] == fresh.considered


@pytest.mark.parametrize("key", ["s", "p", "k"])
def test_keys_typed_ahead_of_a_box_that_closes_do_no_harm(examples, tmp_path, monkeypatch, key):
    """Two Enters in one read, as of a key held down or a pasted line break."""
    monkeypatch.chdir(tmp_path)  # k keeps files there
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("4", key)
        for _ in range(3):
            driver.app.post_message(events.Key("enter", "\r"))
        await driver.settle()
        assert driver.app.is_running

    app = drive(session, steps, folder=tmp_path)
    assert not app.return_code


def test_a_box_that_is_closed_before_it_is_there_does_no_harm(examples):
    """Help and Escape in one read."""
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        page = PageScreen("Keys and marks", [])
        driver.app.push_screen(page)
        page.go_back()
        await driver.settle()
        page.on_mount()  # comes last where the terminal has both keys at once
        assert driver.app.is_running

    assert not drive(session, steps).return_code


@pytest.mark.parametrize("name", ["x" * 300, "~nobody-of-that-name/builds.json"])
def test_a_name_that_is_no_file_is_said_and_nothing_is_lost(examples, tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    session = asked(examples, "plain", "flow")

    async def steps(driver):
        await driver.press("e")
        await driver.type("json")
        await driver.type(name)
        assert driver.line_with("not written: ")

    assert not drive(session, steps).return_code
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_session_is_opened_and_the_present_one_kept(examples, tmp_path):
    first = asked(examples, "plain", "flow")
    first.pick("stator", "stiff")
    keep(first, tmp_path)
    set_aside(tmp_path)
    session = asked(examples, "gritty", "flow")

    async def steps(driver):
        await driver.press("4", "h")
        assert "plain with flow" in driver.text
        await driver.press("enter")
        assert session.draft == first.draft
        await driver.press("z")
        assert session.draft.material.name == "gritty"

    keep(session, tmp_path)
    drive(session, steps, folder=tmp_path)


def test_a_file_that_is_there_is_replaced_after_a_question_and_never_else(examples, tmp_path):
    session = asked(examples, "plain", "flow")
    path = tmp_path / "builds.txt"
    path.write_text("mine")

    async def steps(driver):
        for answer, written in (("keep", False), ("replace", True)):
            await driver.press("e", "enter")
            await driver.type(str(path))
            assert "there already" in driver.text
            await driver.type(answer)
            assert (path.read_text() != "mine") is written
        assert "plain" in path.read_text()
        await driver.press("k")
        await driver.type(str(tmp_path))
        await driver.press("1", "slash")
        await driver.type("process tolerance")
        await driver.press("enter")
        await driver.type("3 %")
        await driver.press("k")
        await driver.type(str(tmp_path))
        await driver.type("replace")
        assert driver.line_with("written: ")

    drive(session, steps)
    assert "3 %" in (tmp_path / "flow.toml").read_text()


def test_one_head_for_several_jobs_and_a_sheet_of_the_opened_build_are_to_be_had_by_keys(
    examples, tmp_path
):
    pytest.importorskip("jinja2")
    session = asked(examples, "plain", "flow")
    (tmp_path / "jobs.csv").write_text("material,process\nplain,flow\nplain,flow\n")
    sheet = tmp_path / "sheet.html"

    async def steps(driver):
        await driver.press("x")
        await driver.type(str(tmp_path / "jobs.csv"))
        assert "One head for several jobs" in driver.text
        await driver.press("enter")
        assert set(session.draft.picks) == {*session.answer.frame.slots} - {"outlet", "feed"}
        assert session.answer.count
        await driver.press("z", "4", "enter", "down")
        name = driver.app.main.builds.build.parts["outlet"].name
        await driver.press("e")
        await driver.type("sheet")
        await driver.type(str(sheet))
        assert driver.line_with("written: ")
        assert name in sheet.read_text()
        await driver.press("e")
        await driver.type("sheet")
        await driver.type(str(tmp_path / "parts.csv"))
        assert name in (tmp_path / "parts.csv").read_text()

    drive(session, steps)
