"""The review of a screening on the screen: keys, mouse, sizes, hostile names, and faults."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from result_files import numbered, row, written
from test_screens import LEAST_CONTRAST, contrasts, is_line
from tui_driving import SLIM, WIDE, drive
from tui_results import LIQUID, results, screened, write_list
from tui_worlds import asked

from configurator.request.load import load_material
from configurator.screen.digests import content_digest
from configurator.screen.results import read_results
from configurator.tui.keys import REVIEW_HELP
from configurator.tui.looks import THEMES
from configurator.tui.review.review import AT_FIRST
from configurator.tui.reviewing import parts_of
from configurator.tui.screens import FLOOR, Bar
from configurator.workshop.heads import is_exchanged

HOSTILE = "[bold red]\x1b[31mtip[/] \x1b]0;x\x07{x} $y \u202e"


@pytest.fixture(scope="module")
def path(tmp_path_factory, examples):
    return results(tmp_path_factory.mktemp("screened"), examples)


def review(path, examples, steps, **options):
    return drive(asked(examples), steps, results=path, **options)


def rows_on(driver):
    """Numbers of the rows that are seen, with their states."""
    panel = driver.app.review_screen.results
    seen = range(panel.first, min(panel.first + panel.room, panel.count()))
    return [(panel.review.row(at).number, panel.review.row(at).state) for at in seen]


def test_totals_rows_and_the_row_in_words_are_seen_at_once(path, examples):
    async def steps(driver):
        assert "[all 12] . 4 fits  ? 4 unproven  x 2 ruled out  # 2 not read" in driver.text
        assert len(rows_on(driver)) == 12
        await driver.press("down", "down")
        assert "Why: tip bore against largest particle" in driver.text
        assert driver.line_with("Row 2 for flow")

    review(path, examples, steps)


def test_a_state_is_chosen_by_its_name_and_all_come_back(path, examples):
    async def steps(driver):
        await driver.press("f")
        await driver.type("unpr")
        assert {state for _, state in rows_on(driver)} == {"unproven"}
        assert "Results: unproven" in driver.text
        assert "4 rows in the state 'unproven'" in driver.text
        await driver.press("f")
        await driver.type("all")
        assert len(rows_on(driver)) == 12

    review(path, examples, steps)


def test_rows_narrow_while_somebody_types_and_escape_leaves_the_words_as_they_were(path, examples):
    async def steps(driver):
        await driver.press("slash")
        await driver.pilot.press(*"coarse")
        await driver.settle()
        assert {number for number, _ in rows_on(driver)} == {2}
        assert "with 'coarse'" in driver.text
        await driver.press("enter", "slash")
        await driver.pilot.press(*" q1fs")  # letters that are keys outside of a field
        await driver.settle()
        assert rows_on(driver) == []
        assert "No row with these words." in driver.text
        await driver.press("escape")
        assert {number for number, _ in rows_on(driver)} == {2}
        await driver.press("slash")
        await driver.type("")
        assert len(rows_on(driver)) == 12

    review(path, examples, steps)


def test_rows_are_sorted_by_a_figure_and_turned_around(path, examples):
    async def steps(driver):
        await driver.press("s")
        await driver.type("state")
        states = [state for _, state in rows_on(driver)]
        assert states == ["fits"] * 4 + ["unproven"] * 4 + ["ruled out"] * 2 + ["not read"] * 2
        assert "by state, best first" in driver.text
        await driver.press("s")
        await driver.type("state")
        assert [state for _, state in rows_on(driver)] == states[::-1]
        await driver.press("s")
        await driver.type("builds")
        assert [number for number, _ in rows_on(driver)][:2] == [5, 5]

    review(path, examples, steps)


def test_the_mouse_goes_to_a_row_filters_by_a_total_and_sorts_by_a_head(path, examples):
    async def steps(driver):
        text = driver.text.splitlines()
        totals, heads = text[2], text[3]
        await driver.pilot.click("#results", offset=(totals.index("ruled out"), 1))
        await driver.settle()
        assert {state for _, state in rows_on(driver)} == {"ruled out"}
        await driver.pilot.click("#results", offset=(totals.index("all 12"), 1))
        await driver.pilot.click("#results", offset=(heads.index("builds"), 2))
        await driver.settle()
        assert [number for number, _ in rows_on(driver)][:2] == [5, 5]
        await driver.pilot.click("#results", offset=(8, 3 + 4))
        await driver.settle()
        assert driver.app.reviewing.review.cursor == 4
        await driver.pilot.click("#results", offset=(8, 3 + 4))
        await driver.settle()
        assert driver.app.screen is driver.app.main  # a second click opens

    review(path, examples, steps)


def test_every_key_of_the_review_does_something_and_is_in_help_and_palette(path, examples):
    async def steps(driver):
        await driver.press("question_mark")
        helped = driver.app.screen.query_one("#page")._lines
        words = ["".join(text for text, _ in line) for line in helped]
        await driver.press("escape", "p")
        listed = dict(driver.app.screen.every)
        await driver.press("escape")
        for keys, deed, said in REVIEW_HELP:
            assert any(said in line for line in words)
            assert deed == "commands" or listed[deed] == said
            if deed in ("leave", "open", "panels"):
                continue
            before = driver.text
            await driver.press(keys.split(",")[0])
            assert driver.text != before, deed
            while driver.app.screen is not driver.app.review_screen:
                await driver.press("escape")
            if deed == "find":
                await driver.press("escape")

    review(path, examples, steps, folder=path.parent / "kept")


def test_the_keys_of_the_panels_name_the_review(examples):
    async def steps(driver):
        await driver.press("p")
        await driver.type("review")
        assert "Review which results" in driver.text
        await driver.press("escape", "question_mark")
        lines = driver.app.screen.query_one("#page")._lines
        assert any("In the review of a screening" in text for line in lines for text, _ in line)

    drive(asked(examples), steps)


def test_a_row_that_cannot_be_rebuilt_says_why_at_once_in_one_line(path, examples, tmp_path):
    lost = tmp_path / "results.csv"  # without the list's folder
    lost.write_bytes(path.read_bytes())

    async def steps(driver):
        await driver.press("end")
        assert "Cannot be opened: file: given 'own/plain.toml'" in driver.text
        await driver.press("enter")
        assert driver.app.screen is driver.app.review_screen
        says = driver.app.last_words
        assert says.startswith("row 6 cannot be opened: file: given 'own/pl")
        assert "\n" not in says
        await driver.press(*["up"] * 4, "enter")
        assert "row 4 cannot be opened: viscosity" in driver.app.last_words
        assert "Cannot be opened: it was not read." in driver.text
        assert driver.app.session.draft.material is None

    review(lost, examples, steps)


def test_a_row_judged_with_another_catalog_says_so_before_and_after_it_is_opened(
    path, examples, tmp_path
):
    other = tmp_path / "results.csv"
    digest = next(iter(read_results(path)))["catalog_sha256"]
    other.write_text(path.read_text().replace(f",{digest},", ",0a1b2c3d4e5f,"))

    async def steps(driver):
        assert "! judged with another catalog" in driver.text
        await driver.press("enter")
        assert "judged with another catalog" in driver.app.last_words
        assert "v goes back" in driver.app.last_words
        assert "144 of 432 builds" in driver.text

    review(other, examples, steps)


def test_the_head_of_the_best_build_of_the_row_is_under_the_cursor_whatever_sorts_the_list(
    path, examples
):

    session = asked(examples)
    session.order("volume_error_pct", strict=session.strict)

    async def steps(driver):
        await driver.press("enter")
        build = driver.app.main.builds.build
        best = next(iter(read_results(path)))["best_build"]
        parts = {slot: part.name for slot, part in build.parts.items() if not is_exchanged(slot)}
        assert parts == {s: part for s, part in parts_of(best).items() if not is_exchanged(s)}
        assert build.rank > 1
        assert driver.app.main.builds.keys

    drive(session, steps, results=path)


def test_a_best_build_that_is_not_there_any_more_is_told(path, examples, tmp_path):
    gone = tmp_path / "results.csv"
    gone.write_text(path.read_text().replace("drive=slow", "drive=gone"))

    async def steps(driver):
        await driver.press("enter")
        assert "its best build is not in this list" in driver.app.last_words
        assert driver.app.main.builds.cursor == 0

    review(gone, examples, steps)


def test_place_filter_and_order_are_kept_while_somebody_is_in_the_panels(path, examples):
    async def steps(driver):
        await driver.press("f")
        await driver.type("unproven")
        await driver.press("s")
        await driver.type("margin")
        await driver.press("down", "down", "enter")
        assert driver.app.screen is driver.app.main
        await driver.press("2", "down", "enter", "z", "v")
        assert driver.app.screen is driver.app.review_screen
        assert driver.app.reviewing.review.cursor == 2
        assert {state for _, state in rows_on(driver)} == {"unproven"}
        assert "by margin, tightest first" in driver.text
        await driver.press("v", "v")
        assert driver.app.reviewing.review.cursor == 2

    review(path, examples, steps)


def test_the_session_before_is_not_lost(path, examples, tmp_path):
    """The first row that is opened sets it aside on disk, and z brings it back."""
    session = asked(examples, "gritty", "flow")
    before = session.draft

    async def steps(driver):
        await driver.press("v")
        assert "gritty + flow" in driver.text  # asked only now that it is seen
        assert "0 of 432 builds" in driver.text
        await driver.press("v", "enter")
        assert session.draft != before
        await driver.press("z")
        assert session.draft == before
        await driver.press("q")

    (tmp_path / "session.json").write_text("{}")
    drive(session, steps, results=path, folder=tmp_path)
    assert (tmp_path / "session-1.json").read_text() == "{}"


def test_the_panels_below_ask_nothing_before_they_are_seen(path, examples):
    asked_for = []
    session = asked(examples, "plain", "flow")

    def solve(question):

        asked_for.append(question)
        return session.workshop.answer(question)

    async def steps(driver):
        assert asked_for == []
        await driver.press("v")
        assert len(asked_for) == 1
        await driver.press("v", "v")
        assert len(asked_for) == 1

    drive(session, steps, results=path, solve=solve)


def test_the_command_line_of_a_row_asks_what_the_row_was_asked(path, examples, tmp_path):
    kept = tmp_path / "kept"

    async def steps(driver):
        await driver.press("l")
        driver.command = driver.app.clipboard
        await driver.press("escape", *["down"] * 4, "l")
        assert driver.app.clipboard == "headwright builds unseen flow --catalog ours"
        await driver.press("escape", *["down"] * 2, "l")
        assert "row 4 cannot be opened" in driver.app.last_words
        words = shlex.split(driver.command)
        assert words[:2] == ["headwright", "builds"]
        assert words[3:] == ["flow", "--catalog", "ours"]
        material = load_material(Path(words[2]), folder=examples)
        assert content_digest(material) == next(iter(read_results(path)))["material_sha256"]

    review(path, examples, steps, folder=kept, options=["--catalog", "ours"])
    assert [each.name for each in (kept / "review").iterdir()] == ["plain-liquid.toml"]


# Hostile, large and broken


@pytest.mark.parametrize("suffix", ["csv", "jsonl", "parquet"])
def test_hostile_names_are_shown_as_text(tmp_path, examples, suffix):
    cells = row(name=HOSTILE, material_name=HOSTILE, process=HOSTILE, reason=HOSTILE, fault=HOSTILE)
    cells |= {"best_build": HOSTILE, "measure_first": HOSTILE, "tightest_rule": HOSTILE}
    path = written(tmp_path / f"results.{suffix}", numbered([cells, cells]))

    async def steps(driver):
        for keys in ((), ("w",), ("escape", "tab"), ("enter",), ("slash",), ("escape", "f")):
            await driver.press(*keys)
            assert driver.text.replace("\n", "").isprintable()
            assert "[bold red]" in driver.text or keys == ("escape", "f")
        says = driver.app.main.query_one("#says", Bar)
        assert "".join(text for text, _ in says._left).strip()

    review(path, examples, steps)


def test_a_list_with_hostile_names_goes_all_the_way(tmp_path, examples):
    listed = write_list(tmp_path / "list.csv", [{"name": "[red]\\x1b tip[/] $y", **LIQUID}])
    path = screened(listed, tmp_path / "results.jsonl", examples, ("flow",))

    async def steps(driver):
        assert "[red]\\x1b tip[/] $y" in driver.text
        await driver.press("enter", "1")
        assert "[red]\\x1b" in driver.text
        assert driver.text.replace("\n", "").isprintable()

    review(path, examples, steps)


def test_a_file_of_many_rows_is_read_beside_the_screen_and_scrolled(tmp_path, examples):
    rows = numbered(row(name=f"Paste {at}") for at in range(AT_FIRST + 5000))
    path = written(tmp_path / "results.csv", rows)

    async def steps(driver):
        assert f"[all {AT_FIRST // 1000 + 5} 000]" in driver.text
        await driver.press("end")
        assert f">{AT_FIRST + 5000}" in driver.text
        await driver.press("pageup", "home", "pagedown")
        assert driver.app.reviewing.review.cursor == driver.app.review_screen.results.room
        await driver.press("slash")
        await driver.pilot.press(*"paste 149")
        await driver.settle()
        expected = sum("149" in str(at) for at in range(len(rows)))
        assert f"of {expected} shown of 15 000" in driver.text

    review(path, examples, steps, size=SLIM)


def test_a_fault_far_down_is_told_in_a_line_and_the_rows_before_it_are_there(tmp_path, examples):
    path = written(tmp_path / "results.csv", numbered([row()] * (AT_FIRST + 3000)))
    lines = path.read_bytes().splitlines(keepends=True)
    lines[AT_FIRST + 2500] = b"1,2,3\n"
    path.write_bytes(b"".join(lines))

    async def steps(driver):
        assert "not read to its end" in driver.text
        assert f"line {AT_FIRST + 2501}: given '3 cells" in driver.text
        assert rows_on(driver)

    app = review(path, examples, steps, size=(180, 36))
    assert f"line {AT_FIRST + 2501}" in str(app.fault)


def test_a_last_row_that_is_torn_off_is_told(path, examples, tmp_path):
    torn = tmp_path / "results.csv"
    torn.write_bytes(path.read_bytes()[:-5])

    async def steps(driver):
        assert "11 rows, a last one torn off" in driver.text

    review(torn, examples, steps)


def test_a_file_that_is_none_is_said_where_it_was_asked_for(examples, tmp_path):
    (tmp_path / "list.csv").write_text("name\nx\n")

    async def steps(driver):
        await driver.press("v")
        await driver.type(str(tmp_path / "list.csv"))
        assert "a results file of `headwright screen`" in driver.app.last_words
        assert driver.app.screen is driver.app.main

    drive(asked(examples), steps)


# Sizes and colours


def test_every_text_of_the_review_can_be_read_in_every_theme(path, examples):
    seen = dict.fromkeys(THEMES, 0)

    async def steps(driver):
        for keys in (("down",), ("f",), ("escape", "tab"), ("tab", "end"), ("slash",)):
            await driver.press(*keys)
            for name, theme in THEMES.items():
                driver.app.theme = theme.name
                await driver.settle()
                readable = [entry for entry in contrasts(driver.app) if not is_line(entry[1])]
                seen[name] += len(readable)
                assert min(readable)[0] >= LEAST_CONTRAST, (name, min(readable))

    review(path, examples, steps)
    assert min(seen.values()) > 200


def test_no_color_takes_the_mono_theme(path, examples, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")

    async def steps(driver):
        await driver.press("down", "d")
        assert driver.app.theme == THEMES["mono"].name
        assert "NO_COLOR is set" in driver.text
        styles = [s.style for strip in driver.app.screen._compositor.render_strips() for s in strip]
        colours = {c for style in styles if style for c in (style.color, style.bgcolor) if c}
        assert all(len(set(colour.get_truecolor())) == 1 for colour in colours)

    review(path, examples, steps, theme="light")


@pytest.mark.parametrize("size", [(59, 30), (90, 19)])
def test_below_the_floor_the_review_says_so_and_grows_again(path, examples, size):
    async def steps(driver):
        assert "60x20 needed." in driver.text
        assert "Results" not in driver.text
        await driver.pilot.resize_terminal(*FLOOR)
        await driver.settle()
        assert "Results" in driver.text
        assert "60x20 needed." not in driver.text
        assert len(rows_on(driver)) >= 3
        await driver.pilot.resize_terminal(*WIDE)
        await driver.settle()
        assert len(rows_on(driver)) == 12

    review(path, examples, steps, size=size)
