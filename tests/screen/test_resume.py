"""A run that is ended goes on to the same bytes, or says in one line why not."""

from __future__ import annotations

import contextlib
import json
from dataclasses import replace
from pathlib import Path

import pytest
import screened
from ended import FORMS, Killed, ended_at, run
from screened import StandIn, kept, rows, setup, with_entry

from configurator.errors import InputError
from configurator.screen.results import read_results
from configurator.screen.results_file import journal_path, load_journal
from configurator.screen.run import screen

pytestmark = pytest.mark.usefixtures("quick")


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
