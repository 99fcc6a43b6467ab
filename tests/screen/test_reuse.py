"""Rows taken over from an earlier run: the bytes of a run that judged everything, for less."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import screened
from screened import StandIn, entry, kept, rows, setup, with_entry

from configurator.errors import InputError
from configurator.screen import digests
from configurator.screen.chunk import Setup
from configurator.screen.run import EarlierRows, screen
from configurator.screen.tally import Tally
from configurator.workshop.workshop import Workshop

FORMS = ("csv", "jsonl", "parquet")


def run(out: Path, listed: StandIn, asked: Setup, earlier: Path | None = None) -> Tally:
    with kept(out, asked) as store:
        if earlier is None:
            return screen(listed, asked, store)
        with EarlierRows(earlier) as known:
            return screen(listed, asked, store, earlier=known)


@pytest.mark.parametrize("before", FORMS)
@pytest.mark.parametrize("now", FORMS)
def test_a_list_that_did_not_change_is_not_judged_again(tmp_path, quick, before, now):
    listed, processes = rows(9, bad=[2]), ("pour", "seam")
    run(tmp_path / f"earlier.{before}", listed, setup(before, processes))
    run(tmp_path / f"whole.{now}", listed, setup(now, processes))
    quick.asked.clear()
    out = tmp_path / f"again.{now}"
    tally = run(out, listed, setup(now, processes), tmp_path / f"earlier.{before}")

    assert quick.asked == []
    assert tally.reused == 16
    assert out.read_bytes() == (tmp_path / f"whole.{now}").read_bytes()


def test_a_row_more_or_changed_or_moved_costs_that_row(tmp_path, quick):
    listed = rows(12)
    run(tmp_path / "earlier.csv", listed, setup())
    longer = StandIn([entry(40), *with_entry(listed, 5, entry(5, viscosity="99 Pa*s")).entries])
    shifted = replace(
        longer,
        entries=[replace(e, number=at, line=at + 1) for at, e in enumerate(longer.entries, 1)],
    )
    run(tmp_path / "whole.csv", shifted, setup())
    quick.asked.clear()
    tally = run(tmp_path / "again.csv", shifted, setup(), tmp_path / "earlier.csv")

    assert sum(quick.asked) == 2
    assert tally.reused == 11
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


@pytest.mark.parametrize("what", ["catalog", "process", "rules", "version"])
def test_what_rests_on_something_else_is_judged_again(tmp_path, quick, monkeypatch, what):
    asked = setup()
    run(tmp_path / "earlier.csv", rows(6), asked)
    quick.asked.clear()
    match what:
        case "catalog":
            other = replace(screened.catalog(), sha256="f" * 64, one_part_sha256="f" * 64)
            asked = Setup(asked.columns, asked.form, asked.processes, Workshop(other))
        case "process":
            asked = setup(processes=("seam",))
        case "rules":
            monkeypatch.setattr("configurator.screen.chunk.rules_digest", lambda: "0" * 12)
        case "version":
            monkeypatch.setattr("configurator.screen.chunk.tool_version", lambda: "0.0")
            monkeypatch.setattr("configurator.screen.run.own_version", own_version)
    tally = run(tmp_path / "again.csv", rows(6), asked, tmp_path / "earlier.csv")

    assert sum(quick.asked) == 6
    assert tally.reused == 0


def own_version() -> str:
    return f"0.0 {digests.rules_digest()}"


def test_a_file_without_results_is_refused(tmp_path):
    (tmp_path / "list.csv").write_text("name,viscosity\nm1,10 Pa*s\n")
    with pytest.raises(InputError, match="a results file of"):
        EarlierRows(tmp_path / "list.csv")
