"""The results file: columns, cells, digests, three forms that hold the same, and reading back."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
import screened
from screened import Entry, StandIn, kept, quick_verdict, rows, setup

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.errors import InputError, UsageError
from configurator.report.machine import csv_text
from configurator.request.load import material_from
from configurator.screen import chunk as chunk_module
from configurator.screen.chunk import Setup
from configurator.screen.digests import content_digest, rules_digest
from configurator.screen.result_columns import NAMES
from configurator.screen.results import cell, form_of, heads_of, read_results
from configurator.screen.run import screen
from configurator.screen.tally import Tally

FORMS = ("csv", "jsonl", "parquet")


def run(out: Path, listed: StandIn, asked: Setup, **options: object) -> Tally:
    with kept(out, asked) as store:
        return screen(listed, asked, store, **options)


def test_all_three_forms_hold_the_same(tmp_path, quick):
    told = {}
    for form in FORMS:
        run(tmp_path / f"r.{form}", rows(9, bad=[2]), setup(form, ("pour", "seam")))
        told[form] = [
            {name: value or None for name, value in row.items()}
            for row in read_results(tmp_path / f"r.{form}")
        ]

    assert len(told["csv"]) == 18
    assert told["jsonl"] == told["parquet"]
    assert told["csv"] == told["jsonl"]
    assert isinstance(told["parquet"][0]["builds"], int)


def test_counts_beyond_64_bits_are_kept_in_every_form(tmp_path, monkeypatch):
    monkeypatch.setattr(
        chunk_module,
        "judge",
        lambda materials, process, *_: [
            replace(quick_verdict(material, process), state="fits", fits=10**21 + 1)
            for material in materials
        ],
    )
    for form in FORMS:
        run(tmp_path / f"r.{form}", rows(1), setup(form))
        (row,) = read_results(tmp_path / f"r.{form}")
        assert row["fits"] == 10**21 + 1


def test_columns_of_the_list_come_first_and_give_way_only_to_ours():
    heads = heads_of(("name", "row", "list_row", "state"))

    assert heads[:4] == ("name", "list_list_row", "list_row", "list_state")
    assert heads[4:] == NAMES
    assert len(set(heads)) == len(heads)


@pytest.mark.parametrize("columns", [("row", "list_row"), ("list_row", "row"), ("state",) * 1])
def test_no_two_columns_are_called_alike(columns):
    heads = heads_of(columns)

    assert len(set(heads)) == len(heads)


DANGEROUS = ("=1+1", "+SUM(A1)", "-2 Pa*s", "@cmd", "\t=1", "\r=1", "  =1")


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_cell_of_the_list_is_run_by_a_spreadsheet_and_it_reads_back(tmp_path, quick, text):
    first = screened.entry(1)
    odd = Entry(1, 2, {"name": text, "viscosity": 'a,"b"'}, first.material)
    run(tmp_path / "r.csv", StandIn([odd]), setup())

    with (tmp_path / "r.csv").open(encoding="utf-8", newline="") as file:
        raw = next(csv.DictReader(file))
    assert raw["name"].startswith("'")
    assert raw["reason"].startswith("'+")
    (row,) = read_results(tmp_path / "r.csv")
    assert row["name"] == text.replace("\t", "\\t").replace("\r", "\\r")
    assert row["viscosity"] == 'a,"b"'
    assert row["reason"].startswith("+volume")


@pytest.mark.parametrize(
    "value", [*DANGEROUS, "two\nlines", "a,b", '"', "\x1b[31m", None, -0.25, 3.0]
)
def test_a_cell_is_written_as_every_other_csv_of_the_program(value):
    other = next(csv.reader([csv_text(["x"], [[value, "end"]]).splitlines()[1]]))

    assert [cell(value), "end"] == other


def test_a_row_is_one_line_whatever_its_cells_hold(tmp_path, quick):
    first = screened.entry(1)
    odd = Entry(1, 2, {"name": "a\nb\r\nc\u2028d\x00", "viscosity": "\ud800" * 3}, first.material)
    for form in FORMS:
        out = tmp_path / f"r.{form}"
        run(out, StandIn([odd, screened.entry(2)]), setup(form))
        assert len(list(read_results(out))) == 2
    assert len((tmp_path / "r.csv").read_bytes().splitlines()) == 3
    assert len((tmp_path / "r.jsonl").read_bytes().splitlines()) == 2


def test_a_long_cell_is_kept_whole(tmp_path, quick):
    long = "xylene 5..10 %; " * 1000
    first = screened.entry(1)
    run(tmp_path / "r.csv", StandIn([replace(first, cells={"name": long})]), setup())

    (row,) = read_results(tmp_path / "r.csv")
    assert row["name"] == long


@pytest.mark.parametrize("form", FORMS)
def test_an_empty_list_gives_an_empty_file_of_results(tmp_path, form):
    tally = run(tmp_path / f"r.{form}", rows(0), setup(form))

    assert list(read_results(tmp_path / f"r.{form}")) == []
    assert tally.exit_code("none") == 0


def test_one_amount_in_two_units_is_one_digest_and_another_amount_is_not():
    def digest(viscosity: str, **more: object) -> str:
        tables = screened.SMALL.having({"component.flow.viscosity": viscosity}).material
        return content_digest(material_from({**tables, **more}, "row"))

    assert digest("20 Pa*s") == digest("20000 mPa*s") == digest("20 Pa*s", title="Other")
    assert digest("20 Pa*s") != digest("20.01 Pa*s")
    assert digest("20 Pa*s") != digest("20 Pa*s +/- 1 %")
    assert digest("20 Pa*s") != digest("20 Pa*s", trigger="light")


def test_every_row_names_what_it_rests_on(tmp_path, quick):
    finding = EvidenceRecord.model_validate(
        {
            "date": "2026-03-04",
            "material": "NBR",
            "substance": "x",
            "temperature_c": 23,
            "hours": 1,
            "grade": "limited",
        }
    )
    plain = setup()
    asked = replace(plain, workshop=replace(plain.workshop, evidence=Evidence((finding,))))
    run(tmp_path / "r.csv", rows(2), asked)

    first, second = read_results(tmp_path / "r.csv")
    assert first["material_sha256"] == content_digest(screened.material(1))
    assert first["material_sha256"] != second["material_sha256"]
    assert first["process_sha256"] == content_digest(screened.process())
    assert first["catalog_sha256"] == screened.catalog().sha256[:12]
    assert first["rules_sha256"] == rules_digest()
    assert len(first["evidence_sha256"]) == 12
    assert first["tool_version"]


def test_a_torn_last_line_is_no_row(tmp_path, quick):
    out = tmp_path / "r.csv"
    run(out, rows(3), setup())
    out.write_bytes(out.read_bytes()[:-9])

    assert [row["row"] for row in read_results(out)] == [1, 2]


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("r.csv", b"a,b\n1,2\n", "columns"),
        ("r.csv", b"", "nothing"),
        ("r.csv", b"\xff\xfe\n", "not UTF-8"),
        ("r.jsonl", b"[]\n", "no JSON object"),
        ("r.jsonl", b"{\n", "no JSON"),
        ("r.jsonl", b'{"row": 1}\n', "columns"),
        ("r.parquet", b"PAR1", "Parquet file of results"),
        ("missing.csv", None, "no such file"),
    ],
)
def test_what_is_no_results_file_is_one_line(tmp_path, name, content, says):
    if content is not None:
        (tmp_path / name).write_bytes(content)

    with pytest.raises(InputError, match=says) as error:
        list(read_results(tmp_path / name))
    assert "\n" not in str(error.value)


def test_a_damaged_row_is_named_by_its_line(tmp_path, quick):
    out = tmp_path / "r.csv"
    run(out, rows(3), setup())
    lines = out.read_text(encoding="utf-8").splitlines(keepends=True)
    cells = lines[2].split(",")
    cells[2] = "x"
    out.write_text(lines[0] + lines[1] + ",".join(cells), encoding="utf-8")

    with pytest.raises(InputError, match="line 3: given 'row 'x''"):
        list(read_results(out))


def test_the_form_follows_from_the_name_unless_it_is_stated():
    assert form_of(None, None) == "csv"
    assert form_of(Path("a.CSV"), None) == "csv"
    assert form_of(Path("a.jsonl"), None) == "jsonl"
    assert form_of(Path("a.parquet"), None) == "parquet"
    assert form_of(Path("a.txt"), "jsonl") == "jsonl"
    with pytest.raises(UsageError, match=r"a name that ends in .csv"):
        form_of(Path("a.txt"), None)
    with pytest.raises(UsageError, match="--out FILE"):
        form_of(None, "parquet")
