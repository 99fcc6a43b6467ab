"""`headwright tui --open`: what it refuses before any screen, and what it opens."""

from __future__ import annotations

import json

import pytest
from measured_cavity import MEASURED
from result_files import numbered, row, written

from configurator.catalog.load import shipped_folder
from configurator.cli.main import run
from configurator.errors import Fault, InputError
from configurator.screen.results import read_results
from configurator.tui.app import HeadwrightApp
from configurator.tui.review.rebuilt import rebuild
from configurator.tui.review.result_row import ResultRow

LIST = shipped_folder() / "examples" / "lists" / "one-part.csv"


@pytest.fixture
def opened(monkeypatch):
    """The applications that the command opened, instead of a screen."""
    apps = []
    monkeypatch.setattr(HeadwrightApp, "run", lambda app, **options: apps.append((app, options)))
    return apps


@pytest.fixture
def path(tmp_path):
    return written(tmp_path / "results.csv", numbered([row(), row()]))


def test_it_opens_results(opened, path):
    assert run(["tui", "--open", str(path), "--ascii"]) == 0
    ((app, _),) = opened
    assert len(app.reviewing.review) == 2
    assert app.ascii_only
    assert app.session.draft.material is None


def test_shipped_materials_are_rebuilt_with_the_shipped_catalog(opened, tmp_path, capsys):
    listed = tmp_path / "list.csv"
    listed.write_text("".join(LIST.read_text().splitlines(keepends=True)[:3]))
    out = tmp_path / "results.jsonl"
    assert run(["screen", str(listed), "--process", "lid-bead", "--out", str(out)]) == 0
    assert run(["tui", "--open", str(out)]) == 0
    bench = opened[0][0].reviewing.review.bench
    for cells in read_results(out):
        found = rebuild(ResultRow(cells), bench)
        assert found.refusals == found.differs == ()
    capsys.readouterr()


def test_folders_and_processes_that_are_named_are_taken(opened, path, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    (own / "list.csv").write_text("name\n")
    process = own / "pour.toml"
    shipped = shipped_folder() / "examples" / "processes" / "lid-bead.toml"
    process.write_text(shipped.read_text().replace('name = "lid-bead"', 'name = "pour"'))
    arguments = ["--list", str(own / "list.csv"), "--process", str(process)]
    assert run(["tui", "--open", str(path), *arguments]) == 0
    bench = opened[0][0].reviewing.review.bench
    assert bench.folders == (path.parent, own)
    assert [each.name for each in bench.processes] == ["pour"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ((",pour,paste,marginal,", ",pour,paste,splendid,"), "line 2: given 'state 'splendid''"),
        ((",reason,", ",cause,"), "no reason"),
        (("0.1.0\n", "0.1.0\n1,2,3\n"), "line 3: given '3 cells, 23 wanted'"),
    ],
)
def test_a_broken_file_is_one_clear_line_before_any_screen(opened, path, capsys, change, words):
    text = path.read_text()
    assert change[0] in text
    path.write_text(text.replace(*change, 1))
    assert run(["tui", "--open", str(path)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert words in line
    assert opened == []


def test_an_empty_file_is_one_clear_line_before_any_screen(opened, path, capsys):
    path.write_bytes(b"")
    assert run(["tui", "--open", str(path)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "line 1: given 'nothing'" in line
    assert opened == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--open", "no-such.csv"], "no such file"),
        (["--open", "."], "a folder"),
        (["lid-sealant", "lid-bead", "--open", "r.csv"], "Enter on a row opens that of the row"),
        (["--list", "list.csv"], "come with --open RESULTS"),
        (["--open", "r.csv", "--list", "no-such.csv"], "the list that was screened"),
        (["--process", "lid-bead"], "come with --open RESULTS"),
    ],
)
def test_bad_input_is_refused_before_any_screen(opened, capsys, arguments, words):
    assert run(["tui", *arguments]) == 2
    assert words in capsys.readouterr().err
    assert opened == []


def test_a_process_that_cannot_be_read_is_refused_before_any_screen(opened, path, capsys):
    assert run(["tui", "--open", str(path), "--process", "no-such-process"]) == 2
    assert "no-such-process" in capsys.readouterr().err
    assert opened == []


def test_a_fault_that_was_found_while_reading_is_said_again_at_the_end(
    opened, path, capsys, monkeypatch
):
    def fail(app, **_):
        fault = Fault(str(path), "line 99999", "no row", "a row of results")
        app.reviewing.review.fault = InputError([fault])

    monkeypatch.setattr(HeadwrightApp, "run", fail)
    assert run(["tui", "--open", str(path)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "line 99999" in line
    assert opened == []


def test_heads_that_a_shop_measured_count_on_the_screen_as_in_builds(opened, tmp_path, capsys):
    shop = tmp_path / "shop.jsonl"
    shop.write_text(MEASURED.line + "\n")
    out = tmp_path / "results.csv"
    listed = tmp_path / "list.csv"
    listed.write_text("file\nlid-sealant\nhinge-grease\n")
    with_shop = ["--evidence", str(shop)]
    screened = ["screen", str(listed), "--process", "lid-bead", "--out", str(out)]
    assert run([*screened, *with_shop]) == 0
    assert run(["tui", "--open", str(out), *with_shop]) == 0
    assert run(["tui", "--open", str(out)]) == 0
    (with_it, _), (without, _) = opened
    rows = [ResultRow(cells) for cells in read_results(out)]

    for each in rows:
        assert rebuild(each, with_it.reviewing.review.bench).differs == ()
    findings = "judged with other findings of the shop"
    other = rebuild(rows[0], without.reviewing.review.bench).differs
    assert other == ("judged with another catalog", findings)
    assert rebuild(rows[1], without.reviewing.review.bench).differs == (findings,)

    session = with_it.session
    session.open("material", "lid-sealant")
    session.open("process", "lid-bead")
    capsys.readouterr()
    assert run(["builds", "lid-sealant", "lid-bead", "--format", "json", *with_shop]) == 0
    told = json.loads(capsys.readouterr().out)
    answer = with_it.solve(session.to_solve)
    assert answer.count == told["count"] == rows[0].cells["builds"]
    assert answer.count != without.solve(session.to_solve).count
