"""The third way, from start to end by keys: reviewing what a screening brought."""

from __future__ import annotations

import tomli
from tui_driving import SLIM, drive
from tui_results import results
from tui_worlds import asked

from configurator.tui.kept import bring_back
from configurator.tui.session import Session


async def open_results(driver, path):
    """Results by the name of their file; totals by state stand on top."""
    await driver.press("v")
    await driver.type(str(path))
    assert "x 2 ruled out" in driver.text


async def try_a_remedy(driver):
    """What would bring a build back: searched for, applied by Enter, taken back by z."""
    session = driver.app.session
    await driver.press("r")
    why = driver.app.main.why
    assert "Would open it:" in driver.text
    why.go(next(at for at, (_, remedy) in enumerate(why._lines) if remedy is not None))
    await driver.press("enter")
    assert session.answer.count > 0
    assert "(z undoes it)" in driver.text
    await driver.press("z")
    assert session.answer.count == 0


def test_a_reviewer_goes_from_results_to_a_remedy_and_back(examples, tmp_path):
    """Opens results, reads why a row is ruled out, tries what would open it, and goes on."""
    path = results(tmp_path, examples)
    session = asked(examples)
    kept = tmp_path / "session"

    async def steps(driver):
        await open_results(driver, path)

        # Only what is ruled out, and the whole reason of the row under the cursor.
        await driver.press("f")
        await driver.type("ruled")
        assert "1-2 of 2 shown of 12" in driver.text
        await driver.press("down", "w")
        assert "tip bore against largest particle" in driver.text
        await driver.press("pagedown")
        assert "filler_d99: 1.5 mm" in driver.text
        await driver.press("escape")

        # Enter opens that material with its process; the reason stands there too.
        await driver.press("enter")
        assert "coarse-liquid + mixed" in driver.text
        assert "0 of 432 builds" in driver.text
        await driver.press("w")
        assert "largest particle against the cavity" in driver.text

        await try_a_remedy(driver)

        # Back: the same row, the same filter; the next one, and the one that was not read.
        await driver.press("v")
        assert "Results: ruled out" in driver.text
        assert driver.app.reviewing.review.here.text("process") == "mixed"
        await driver.press("up")
        assert driver.app.reviewing.review.here.text("process") == "flow"
        await driver.press("f")
        await driver.type("not read")
        await driver.press("enter")
        assert "row 4 cannot be opened: viscosity" in driver.app.last_words

        # One that is unproven says what to measure first; the command for it is a key away.
        await driver.press("f")
        await driver.type("unproven")
        await driver.press("tab", "down", "down")
        assert "Measure first: chemistry of the body" in driver.text
        await driver.press("l")
        assert "headwright builds unseen flow" in driver.text
        await driver.press("escape", "q")

    drive(session, steps, size=SLIM, folder=kept)

    # Leaving lost nothing: the row that was opened is there the next time.
    again = Session(session.workshop, examples)
    assert bring_back(again, kept / "session.json")
    assert again.draft == session.draft
    tables = tomli.loads((kept / "material.toml").read_text())
    assert tables["name"] == "coarse-liquid"
    assert tables["component"]["filler"]["d99"] == "1.5 mm"
