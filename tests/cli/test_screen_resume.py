"""`headwright screen --resume`: stopped, killed, finished or changed in between."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from draws import ALL
from killing import killed_and_resumed
from screen_lists import COMMAND, ROOT, asked, listed, row

from configurator.cli.main import run
from configurator.screen.results import read_results
from configurator.screen.results_file import journal_path, load_journal

EXAMPLES = ROOT / "catalogs" / "examples"


def begun(folder: Path, catalog: Path) -> tuple[list[str], Path]:
    """A run that is through, and the command that made it."""
    out = folder / "o.csv"
    command = asked(listed(folder, 3), catalog, "--out", str(out))
    assert run(command) in {0, 1}
    return command, out


@pytest.mark.parametrize("workers", ["1", "2"])
def test_to_resume_a_run_that_is_through_changes_nothing(tmp_path, capsys, small_catalog, workers):
    command, out = begun(tmp_path, small_catalog)
    before = out.read_bytes()
    code = run(command)
    again = run([*command, "--resume", "--workers", workers])

    assert code == 2
    assert again in {0, 1}
    assert out.read_bytes() == before
    assert len(list(read_results(out))) == 3


def change_list(folder: Path, _catalog: Path) -> list[str]:
    path = folder / "list.csv"
    path.write_text(path.read_text(encoding="utf-8") + row(9), encoding="utf-8")
    return []


def change_catalog(_folder: Path, catalog: Path) -> list[str]:
    with (catalog / "practice.toml").open("a", encoding="utf-8") as file:
        file.write("# a remark\n")
    return []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (change_list, "list changed since the run began"),
        (change_catalog, "catalog changed since the run began"),
        (lambda *_: ["--process", "plug-grease"], "processes changed since the run began"),
        (lambda *_: ["--format", "jsonl"], "option --format changed since the run began"),
        (lambda *_: ["--encoding", "latin-1"], "option --encoding changed since the run began"),
        (lambda *_: ["--evidence", "shop.jsonl"], "evidence changed since the run began"),
    ],
    ids=["list", "catalog", "process", "format", "encoding", "evidence"],
)
def test_to_resume_with_something_changed_is_refused_naming_it(  # noqa: PLR0917 - fixtures
    tmp_path, capsys, monkeypatch, small_catalog, change, says
):
    monkeypatch.chdir(tmp_path)
    finding = {"date": "2026-03-04", "material": "NBR", "substance": "x", "hours": 1}
    finding |= {"temperature_c": 23, "grade": "limited"}
    (tmp_path / "shop.jsonl").write_text(json.dumps(finding) + "\n")
    catalog = tmp_path / "catalog"
    shutil.copytree(small_catalog, catalog)
    command, out = begun(tmp_path, catalog)
    before = out.read_bytes()
    capsys.readouterr()
    code = run([*command, "--resume", *change(tmp_path, catalog)])
    said = capsys.readouterr().err.splitlines()

    assert code == 2
    assert [line for line in said if says in line]
    assert [line for line in said if "--force begins anew" in line]
    assert out.read_bytes() == before


def test_a_material_file_that_changed_under_rows_that_are_done_is_refused(
    tmp_path, capsys, small_catalog
):
    shutil.copy(EXAMPLES / "materials" / "probe-grease.toml", tmp_path / "own.toml")
    path, out = tmp_path / "list.csv", tmp_path / "o.csv"
    path.write_text("file\nown.toml\n", encoding="utf-8")
    command = ["screen", str(path), "--process", "plug-grease", "--catalog", str(small_catalog)]
    command += ["--out", str(out)]
    assert run(command) in {0, 1}
    text = (tmp_path / "own.toml").read_text(encoding="utf-8")
    (tmp_path / "own.toml").write_text(text.replace('title = "', 'title = "Other ', 1))
    code = run([*command, "--resume"])

    assert code == 2
    assert "rows changed since the run began" in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="signals are other ones there")
@pytest.mark.parametrize("workers", ["1", "2"])
def test_a_run_that_the_user_stops_says_what_is_kept_and_goes_on(tmp_path, small_catalog, workers):
    path, out = listed(tmp_path, 300), tmp_path / "o.csv"
    command = [*COMMAND, *asked(path, small_catalog, "--out", str(out), "--workers", workers)]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # Whoever runs the tests in the background may have switched this signal off for us.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - no threads
    ) as process:
        assert process.stderr is not None
        until = time.monotonic() + 60
        while not journal_path(out).exists() or not load_journal(journal_path(out)).tally.rows:
            assert time.monotonic() < until
            time.sleep(0.01)
        # As a terminal does it: everybody in the group gets the signal.
        os.killpg(process.pid, signal.SIGINT)
        said = process.stderr.read()
        assert process.wait(60) == 130
    lines = said.splitlines()
    (told,) = [line for line in lines if "--resume goes on" in line]
    assert lines[-1] == "stopped"
    assert "Traceback" not in said
    kept = load_journal(journal_path(out)).tally.rows
    assert f"{kept} rows of the list are kept" in told
    assert 0 < kept < 300
    assert len(list(read_results(out))) >= kept


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="signals are other ones there")
@pytest.mark.parametrize("form", ["csv", "parquet"] if ALL else ["csv"])
def test_killed_and_resumed_at_random_moments_it_comes_to_the_same_bytes(
    tmp_path, small_catalog, form
):
    """Some kills; fifty of each form by `python -m benchmarks.screen_kill`.

    Ends at every step of the disk, in any form, are tried within one process elsewhere.
    """
    count = 40 if form == "csv" else 12
    path = listed(tmp_path, count, bad=(7, 30))
    common = [*COMMAND, *asked(path, small_catalog)]
    whole, out = tmp_path / f"whole.{form}", tmp_path / f"o.{form}"
    subprocess.run(
        [*common, "--out", str(whole)], cwd=ROOT, check=False, timeout=120, capture_output=True
    )
    kills = 4 if form == "csv" else 1
    seen = killed_and_resumed(
        [*common, "--out", str(out), "--resume"],
        out,
        whole.read_bytes(),
        kills=kills,
        delay=0.4 if form == "csv" else 0.2,
        seed=20260504,
        folder=ROOT,
    )

    assert len(seen.lines) == kills
    if form == "csv":
        assert len(set(seen.lines)) > 1
    numbers = [each["row"] for each in read_results(out)]
    assert numbers == list(range(1, count + 1))
