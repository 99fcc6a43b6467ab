"""A run: what becomes of each row, in which chunks, what goes wrong, and what is told."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
import screened
from screened import StandIn, kept, quick_verdict, rows, setup, with_entry
from shipped import EXAMPLES

from configurator.errors import CatalogError, Fault, UsageError
from configurator.screen import chunk as chunk_module
from configurator.screen.chunk import Chunk, DetourWarning, ListRow, Setup, judge_chunk
from configurator.screen.results import NOT_JUDGED, read_results
from configurator.screen.run import Pace, screen
from configurator.screen.sources import open_list, read_list
from configurator.screen.store import Stream
from configurator.screen.tally import Tally, summary_json, summary_line
from configurator.screen.verdict import NOT_READ, Verdict, verdict_on
from configurator.workshop.workshop import Workshop

FORMS = ("csv", "jsonl", "parquet")


def run(out: Path, listed: StandIn, asked: Setup, **options: object) -> Tally:
    with kept(out, asked) as store:
        return screen(listed, asked, store, **options)


def test_each_row_is_what_the_long_way_says(tmp_path):
    asked = setup(processes=("pour", "seam"))
    listed = rows(3)
    listed = with_entry(listed, 2, screened.entry(2, viscosity="1..2 Pa*s"))
    run(tmp_path / "r.csv", listed, asked)

    found = list(read_results(tmp_path / "r.csv"))
    assert [(row["row"], row["process"]) for row in found] == [
        (number, name) for number in (1, 2, 3) for name in ("pour", "seam")
    ]
    states = set()
    for row in found:
        entry = listed.entries[row["row"] - 1]
        verdict = verdict_on(
            entry.material, screened.process(row["process"]), Workshop(screened.catalog())
        )
        assert row["state"] == verdict.state
        assert (row["builds"], row["fits"], row["marginal"], row["unproven"]) == (
            verdict.builds,
            verdict.fits,
            verdict.marginal,
            verdict.unproven,
        )
        assert (row["best_build"] or "") == verdict.best_build
        assert (row["reason"] or "") == verdict.reason
        assert (row["measure_first"] or "") == verdict.measure_first
        states.add(verdict.state)
    assert len(states) > 1


@pytest.mark.parametrize("form", FORMS)
def test_a_row_that_could_not_be_read_says_so_and_the_rest_goes_on(tmp_path, quick, form):
    out = tmp_path / f"r.{form}"
    tally = run(out, rows(7, bad=[3]), setup(form))

    found = list(read_results(out))
    assert [row["row"] for row in found] == [1, 2, 3, 4, 5, 6, 7]
    bad = found[2]
    assert bad["state"] == NOT_READ
    assert bad["line"] == 4
    assert bad["viscosity"] == "many"
    assert bad["fault"].startswith("line 4: viscosity: given 'many'")
    assert bad["builds"] is None
    assert not bad["material_sha256"]
    assert tally.by_state[NOT_READ] == 1
    assert tally.exit_code("none") == 1


def test_a_stream_gets_the_head_once_and_every_row(quick):
    parts: list[str] = []
    asked = setup()
    screen(rows(20), asked, Stream(parts.append, b"head\n"), pace=Pace(rows=3, most=3))

    lines = "".join(parts).splitlines()
    assert lines[0] == "head"
    assert [line.split(",")[0] for line in lines[1:]] == [f"m{number}" for number in range(1, 21)]
    assert len(parts) == 7


def test_chunks_begin_small_and_grow_to_what_takes_some_seconds():
    pace = Pace(rows=4, most=512, seconds=3.0)
    for _ in range(10):
        pace.heard(pace.rows, pace.rows * 0.001)
    assert pace.rows == 512
    pace.heard(512, 512 * 0.1)
    assert pace.rows == 30
    pace.heard(1, 60.0)
    assert pace.rows == 1


def test_the_last_rows_are_shared_out_among_the_workers():
    """As large as before as long as there is much; then no worker gets what others could take."""
    pace = Pace(rows=1000, workers=2, about=5000)
    given = []
    while pace.given < pace.about:
        given.append(pace.next_rows())

    assert given[:2] == [1000, 1000]
    assert all(rows <= max((5000 - sum(given[:at])) / 4, 64) for at, rows in enumerate(given))
    assert len(given) < 20
    alone = Pace(rows=1000, about=5000)
    assert [alone.next_rows() for _ in range(3)] == [1000] * 3


def test_a_file_says_beforehand_how_many_rows_there_are_at_most(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text('name,note\na,"two\nlines"\nb,\n', encoding="utf-8")

    with open_list(path, folder=EXAMPLES) as entries:
        assert entries.about == 4
    assert read_list(io.BytesIO(b"name\na\n"), "pipe", base=tmp_path, folder=EXAMPLES).about == 0


def test_the_judge_gets_a_chunk_of_rows_at_once(tmp_path, quick):
    run(tmp_path / "r.csv", rows(10, bad=[2]), setup(), pace=Pace(rows=5, most=5))

    assert quick.asked == [4, 5]


def failing_on(name: str, error: Exception):
    def judge(materials, process, *_):
        if any(material.name == name for material in materials):
            raise error
        return [quick_verdict(material, process) for material in materials]

    return judge


def long_way(name: str, error: Exception):
    def verdict(material, process, *_):
        if material.name == name:
            raise error
        return quick_verdict(material, process)

    return verdict


@pytest.mark.filterwarnings("ignore::configurator.screen.chunk.DetourWarning")
def test_a_row_on_which_the_program_fails_costs_no_other(tmp_path, monkeypatch):
    error = ZeroDivisionError("x\ny")
    monkeypatch.setattr(chunk_module, "judge", failing_on("m3", error))
    monkeypatch.setattr(chunk_module, "verdict_on", long_way("m3", error))
    tally = run(tmp_path / "r.csv", rows(6), setup())

    found = list(read_results(tmp_path / "r.csv"))
    assert [row["state"] for row in found].count(NOT_JUDGED) == 1
    assert found[2]["state"] == NOT_JUDGED
    assert found[2]["fault"] == "internal error: ZeroDivisionError: x\\ny"
    assert found[2]["builds"] is None
    assert found[2]["material_sha256"]
    assert tally.exit_code("none") == 70


@pytest.mark.filterwarnings("ignore::configurator.screen.chunk.DetourWarning")
def test_where_the_quick_judge_fails_the_long_way_is_taken_and_told(tmp_path, monkeypatch):
    monkeypatch.setattr(chunk_module, "judge", failing_on("m3", ZeroDivisionError("x")))
    monkeypatch.setattr(chunk_module, "verdict_on", long_way("", ZeroDivisionError()))
    tally = run(tmp_path / "r.csv", rows(6), setup())

    assert [row["state"] for row in read_results(tmp_path / "r.csv")][2] == "ruled out"
    assert (tally.detours, tally.detour) == (4, "internal error: ZeroDivisionError: x")
    assert tally.exit_code("none") == 1


def test_a_batch_that_fails_is_told_though_each_of_its_rows_passes(tmp_path, monkeypatch):
    def judge(materials, process, *_):
        if len(materials) > 1:
            raise TypeError("shapes")
        return [quick_verdict(material, process) for material in materials]

    monkeypatch.setattr(chunk_module, "judge", judge)
    with pytest.warns(DetourWarning, match="one by one: internal error: TypeError: shapes"):
        tally = run(tmp_path / "r.csv", rows(3), setup())

    assert (tally.detours, tally.detour) == (3, "internal error: TypeError: shapes")


def test_a_catalog_that_fails_on_a_row_is_a_bad_catalog(tmp_path, monkeypatch):
    error = CatalogError([Fault("shop", "catalog", "no head", "a head")])
    monkeypatch.setattr(chunk_module, "judge", failing_on("m1", error))
    monkeypatch.setattr(chunk_module, "verdict_on", long_way("m1", error))
    tally = run(tmp_path / "r.csv", rows(4), setup())

    first = next(read_results(tmp_path / "r.csv"))
    assert first["state"] == NOT_JUDGED
    assert first["fault"].startswith("shop: catalog")
    assert tally.exit_code("none") == 3


def test_a_material_that_no_head_could_meter_is_not_judged(tmp_path, monkeypatch):
    monkeypatch.setattr(
        chunk_module,
        "judge",
        lambda materials, *_: [Verdict(NOT_READ, reason="no such head") for _ in materials],
    )
    tally = run(tmp_path / "r.csv", rows(1), setup())

    (row,) = read_results(tmp_path / "r.csv")
    assert (row["state"], row["fault"], row["reason"]) == (NOT_JUDGED, "no such head", None)
    assert tally.exit_code("none") == 1


def test_whoever_judges_by_another_version_is_refused_and_nothing_of_it_is_written(
    tmp_path, quick, monkeypatch
):
    def crew(asked, chunks):
        for chunk in chunks:
            judged = judge_chunk(asked, chunk)
            yield judged if chunk.number < 2 else replace(judged, version="9.9.9 abc")

    with pytest.raises(UsageError, match=r"a worker has headwright 9\.9\.9 abc, this run"):
        run(tmp_path / "r.csv", rows(20), setup(), crew=crew, pace=Pace(rows=2, most=2))
    assert [row["row"] for row in read_results(tmp_path / "r.csv")] == [1, 2, 3, 4]


def counted(*states: str) -> Tally:
    return Tally(len(states), {("pour", state): 1 for state in states})


@pytest.mark.parametrize(
    ("states", "none", "unproven", "marginal"),
    [
        (("fits",), 0, 0, 0),
        (("fits", "marginal"), 0, 0, 1),
        (("fits", "unproven"), 0, 1, 1),
        (("fits", "ruled out"), 1, 1, 1),
        (("fits", NOT_READ), 1, 1, 1),
        ((), 0, 0, 0),
    ],
)
def test_the_exit_code_is_one_from_the_stated_state_on(states, none, unproven, marginal):
    tally = counted(*states)

    assert tally.exit_code("none") == none
    assert tally.exit_code("unproven") == unproven
    assert tally.exit_code("marginal") == marginal


def test_a_tally_comes_back_from_its_journal():
    tally = Tally(4, {("a", "fits"): 3, ("a", NOT_READ): 1, ("b", "fits"): 4}, 1, 2, 5, 3, "x")

    assert Tally.from_json(json.loads(json.dumps(tally.as_json()))) == tally


def test_the_summary_counts_results_by_state_and_process(tmp_path, quick):
    asked = setup(processes=("pour", "seam"))
    tally = run(tmp_path / "r.csv", rows(9, bad=[9]), asked)
    told = json.loads(summary_json(tally, asked, seconds=2.0, resumed_rows=4, exit_code=1))

    assert told["rows"] == 9
    assert told["results"] == 18
    assert told["counts"] == {
        "fits": 4,
        "marginal": 4,
        "unproven": 4,
        "ruled out": 4,
        "not read": 2,
        "not judged": 0,
    }
    assert [entry["name"] for entry in told["processes"]] == ["pour", "seam"]
    assert told["processes"][0]["counts"]["fits"] == 2
    assert told["results_per_second"] == 9.0
    assert told["seconds"] == 2.0
    assert summary_line(tally, ["pour", "seam"], 2.0) == (
        "9 rows for 2 processes: 4 fits, 4 marginal, 4 unproven, 4 ruled out, 2 not read; "
        "2.0 s, 9 results a second"
    )


def test_a_chunk_says_which_rows_it_holds():
    row = ListRow(7, 9, (), None, "bad")

    assert Chunk(0, (row,)).words == "row 7"
    assert Chunk(0, (row, replace(row, number=8))).words == "rows 7 to 8"
    assert judge_chunk(setup(), Chunk(3, (replace(row, cells=("a", "b")),))).number == 3
