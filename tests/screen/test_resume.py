"""A run that is ended at any step leaves a valid file, and goes on to the same bytes."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

import pytest
from ended import FORMS, Killed, ended_at, run
from screened import QuickJudge, rows

from configurator.errors import InputError
from configurator.screen import chunk as chunk_module
from configurator.screen.results import read_results
from configurator.screen.results_file import journal_path, load_journal


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> QuickJudge:
    judge = QuickJudge()
    monkeypatch.setattr(chunk_module, "judge", judge)
    # Thousands of small files: what is asked of the disk counts here, not when it is done.
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    return judge


def holds_whole_rows(out: Path, whole: list[dict[str, object]]) -> int:
    """What is there is the beginning of what will be; returns how many rows are."""
    if not out.exists() or b"\n" not in out.read_bytes():
        return 0  # the head itself is not there yet
    found = list(read_results(out))
    assert found == whole[: len(found)]
    return len(found)


@pytest.mark.parametrize("before", [True, False], ids=["in a step", "after a step"])
@pytest.mark.parametrize("form", FORMS)
def test_ended_at_any_step_of_the_disk_it_goes_on_to_the_same_bytes(tmp_path, form, before):
    listed = rows(10, bad=[4])
    whole = tmp_path / f"whole.{form}"
    run(whole, listed, form)
    wanted, result = whole.read_bytes(), list(read_results(whole))
    step, ended = 0, True
    counts = set()
    while ended:
        step += 1
        out = tmp_path / f"{step}.{form}"
        with ended_at(step, before=before):
            try:
                run(out, listed, form)
                ended = False
            except Killed:
                pass
        counts.add(holds_whole_rows(out, result))
        tally = run(out, listed, form, chunk=4, resume=True)
        assert out.read_bytes() == wanted, step
        assert tally.rows == 10
        assert tally.results == 20
        assert load_journal(journal_path(out)).done
        assert {path.name for path in tmp_path.glob(f"*{step}.{form}*")} - {
            f"{step}.{form}.journal.new"
        } == {f"{step}.{form}", f"{step}.{form}.journal"}
        for path in tmp_path.glob(f"*{step}.{form}*"):
            path.unlink()
    assert step > 20
    assert len(counts) > (4 if form != "parquet" else 1)


@pytest.mark.parametrize("form", FORMS)
def test_ended_again_and_again_it_still_comes_to_the_same_bytes(tmp_path, form):
    listed = rows(30)
    run(tmp_path / f"whole.{form}", listed, form)
    out = tmp_path / f"r.{form}"
    for step in [3, 9, 10, 11, 14, 15, 17, 22, 23]:
        with ended_at(step, before=step % 2 == 0), contextlib.suppress(Killed):
            run(out, listed, form, chunk=1 + step % 4, resume=True)
    run(out, listed, form, resume=True)

    assert out.read_bytes() == (tmp_path / f"whole.{form}").read_bytes()


@pytest.mark.parametrize("form", FORMS)
def test_forced_over_an_earlier_file_and_ended_at_any_step_it_goes_on_too(tmp_path, form):
    listed, other = rows(7), rows(5)
    whole = tmp_path / f"whole.{form}"
    run(whole, listed, form)
    out = tmp_path / f"r.{form}"
    for step in range(1, 60):
        run(out, other, form, force=True)
        old = out.read_bytes()
        with ended_at(step, before=True):
            try:
                run(out, listed, form, force=True)
            except Killed:
                pass
            else:
                break
        with contextlib.suppress(InputError):
            # Before the first step nothing has begun: the old run is still there, and whole.
            run(out, listed, form, resume=True)
            assert out.read_bytes() == whole.read_bytes(), step
            continue
        assert out.read_bytes() == old
    assert step > 20


def test_only_the_rows_that_are_missing_are_judged(tmp_path, quick):
    out = tmp_path / "r.csv"
    with ended_at(20, before=True), pytest.raises(Killed):
        run(out, rows(30), chunk=2)
    held = load_journal(journal_path(out)).tally.rows
    assert 0 < held < 30
    quick.asked.clear()
    run(out, rows(30), resume=True)

    assert sum(quick.asked) == 2 * (30 - held)


def test_a_run_that_is_through_stays_as_it_is(tmp_path, quick):
    for form in FORMS:
        out = tmp_path / f"r.{form}"
        first = run(out, rows(5), form)
        before = out.read_bytes()
        quick.asked.clear()
        again = run(out, rows(5), form, resume=True)

        assert again == first
        assert out.read_bytes() == before
        assert quick.asked == []


def test_to_resume_what_has_not_begun_is_to_begin(tmp_path):
    run(tmp_path / "r.csv", rows(5), resume=True)

    assert len(list(read_results(tmp_path / "r.csv"))) == 10


def test_a_journal_whose_file_was_moved_away_hinders_no_new_run(tmp_path):
    out = tmp_path / "r.csv"
    run(out, rows(5))
    out.rename(tmp_path / "monday.csv")
    run(out, rows(6))
    out.rename(tmp_path / "tuesday.csv")
    run(out, rows(7), resume=True)

    assert len(list(read_results(out))) == 14
