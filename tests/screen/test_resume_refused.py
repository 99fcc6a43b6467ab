"""What is not gone on with: something changed, or the file is not as the run left it."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path

import pytest
import screened
from ended import FORMS, Killed, ended_at, run
from screened import QuickJudge, StandIn, kept, rows, setup, with_entry

from configurator.errors import InputError
from configurator.screen import chunk as chunk_module
from configurator.screen.results import read_results
from configurator.screen.results_file import journal_path, load_journal
from configurator.screen.run import screen


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> QuickJudge:
    judge = QuickJudge()
    monkeypatch.setattr(chunk_module, "judge", judge)
    # Thousands of small files: what is asked of the disk counts here, not when it is done.
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    return judge


@pytest.mark.parametrize("form", FORMS)
def test_a_file_that_is_there_is_refused_and_untouched_without_force(tmp_path, form):
    out = tmp_path / f"r.{form}"
    run(out, rows(5), form)
    before = out.read_bytes(), journal_path(out).read_bytes()

    with pytest.raises(InputError, match="--resume goes on with it, --force replaces it"):
        run(out, rows(4), form)
    assert (out.read_bytes(), journal_path(out).read_bytes()) == before
    run(out, rows(4), form, force=True)
    assert len(list(read_results(out))) == 8


def test_a_parquet_run_that_is_under_way_is_refused_without_resume(tmp_path):
    out = tmp_path / "r.parquet"
    with ended_at(20, before=True), pytest.raises(Killed):
        run(out, rows(30), "parquet")

    assert not out.exists()
    with pytest.raises(InputError, match=r"r\.parquet\.part\.jsonl.*--resume goes on"):
        run(out, rows(30), "parquet")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("list", "list changed since the run began: given 'bbb'; accepted: aaa, as then"),
        ("catalog", "catalog changed since the run began"),
        ("evidence", "evidence changed since the run began: given 'none'; accepted: aaa, as then"),
        ("tool version", "tool version changed"),
        ("rules", "rules changed"),
        ("option --encoding", "option --encoding changed"),
    ],
)
def test_to_resume_with_something_else_is_refused_naming_it(tmp_path, name, says):
    out, asked = tmp_path / "r.csv", setup()
    with kept(out, asked, changes={name: "aaa"}) as store:
        screen(rows(2), asked, store)
    before = out.read_bytes()

    with pytest.raises(InputError) as error:
        kept(out, asked, resume=True, changes={name: "" if name == "evidence" else "bbb"})
    assert says in str(error.value)
    assert str(error.value).count("\n") == 0
    assert out.read_bytes() == before


def test_to_resume_with_other_processes_or_columns_names_both(tmp_path):
    out = tmp_path / "r.csv"
    asked = setup()
    with kept(out, asked) as store:
        screen(rows(2), asked, store)

    other = replace(setup(processes=("pour", "seam")), columns=("name",))
    with pytest.raises(InputError) as error:
        kept(out, other, resume=True)
    assert "columns of the list changed" in str(error.value)
    assert "processes changed" in str(error.value)


def half_done(out: Path, listed: StandIn) -> None:
    with ended_at(45, before=True), pytest.raises(Killed):
        run(out, listed, chunk=2)
    assert 2 < load_journal(journal_path(out)).tally.rows < len(listed.entries)


def test_a_row_that_is_done_and_reads_otherwise_now_is_refused(tmp_path):
    out, listed = tmp_path / "r.csv", rows(20)
    half_done(out, listed)

    changed = with_entry(listed, 2, screened.entry(2, viscosity="99 Pa*s"))
    same_cells = replace(changed.entries[1], cells=listed.entries[1].cells)
    with pytest.raises(InputError, match="rows changed since the run began"):
        run(out, with_entry(listed, 2, same_cells), resume=True)
    with pytest.raises(InputError, match="rows changed since the run began: given '2 rows'"):
        run(out, rows(2), resume=True)
    run(out, with_entry(listed, 20, screened.entry(20, viscosity="99 Pa*s")), resume=True)
    assert len(list(read_results(out))) == 40


def test_more_rows_than_a_run_that_is_through_are_refused(tmp_path):
    out = tmp_path / "r.csv"
    run(out, rows(3))

    with pytest.raises(InputError, match="given 'more rows'; accepted: 3 rows"):
        run(out, rows(4), resume=True)


@pytest.mark.parametrize(
    ("harm", "says"),
    [
        (lambda raw: raw[:-200], "lost its end"),
        (lambda raw: raw.replace(b"m1,", b"m9,", 1), "changed since"),
    ],
)
def test_a_file_that_was_harmed_is_refused_and_untouched(tmp_path, harm, says):
    out, listed = tmp_path / "r.csv", rows(20)
    half_done(out, listed)
    length = load_journal(journal_path(out)).length
    out.write_bytes(harm(out.read_bytes()[:length]))
    before = out.read_bytes()

    with pytest.raises(InputError, match=f"{says}.*--force begins anew"):
        run(out, listed, resume=True)
    assert out.read_bytes() == before


@pytest.mark.parametrize("raw", [b"", b"[]", b"{}", b'{"schema": 1}', b"\xff", b"[" * 90_000])
def test_a_journal_that_is_none_is_one_line(tmp_path, raw):
    out = tmp_path / "r.csv"
    run(out, rows(3))
    journal_path(out).write_bytes(raw)

    with pytest.raises(InputError, match="no such journal") as error:
        run(out, rows(3), resume=True)
    assert "\n" not in str(error.value)


def test_a_file_without_its_journal_is_not_gone_on_with(tmp_path):
    out = tmp_path / "r.csv"
    run(out, rows(3))
    journal_path(out).unlink()

    with pytest.raises(InputError, match="no journal beside it"):
        run(out, rows(3), resume=True)


def test_a_journal_of_another_version_is_refused(tmp_path):
    out = tmp_path / "r.csv"
    run(out, rows(3))
    data = json.loads(journal_path(out).read_text())
    journal_path(out).write_text(json.dumps({**data, "schema": 99}))

    with pytest.raises(InputError, match="given 'version 99'"):
        run(out, rows(3), resume=True)
