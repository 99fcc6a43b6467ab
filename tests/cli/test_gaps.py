"""`headwright gaps` as people and pipelines run it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from configurator.cli.main import run
from configurator.screen.hypothetical.every import CAVEAT

HEAD = "name,at,viscosity,shear_rate,density,trigger\n"
THIN = "thin paste,23 degC,6 Pa*s,10 1/s,1.4 g/cm^3,none\n"
THICK = "stiff paste,23 degC,9000 Pa*s,10 1/s,1.4 g/cm^3,none\n"


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text(HEAD + THIN + THICK, encoding="utf-8")
    return path


def asked(path: Path | str, small_catalog: Path, *more: str) -> list[str]:
    return ["gaps", str(path), "--process", "hinge-dots", "--catalog", str(small_catalog), *more]


def test_the_table_names_what_is_missing_and_what_is_idle(listed, small_catalog, capsys) -> None:
    code = run(asked(listed, small_catalog))
    out, err = capsys.readouterr()

    assert code == 1
    assert "1 row without a build" in out
    assert " ".join(CAVEAT.split()) in " ".join(out.split())
    assert "Parts that are in no build of any row" in out
    assert max(map(len, out.splitlines())) <= 100
    assert err == ""


def test_json_and_csv_are_for_programs(listed, small_catalog, capsys) -> None:
    run(asked(listed, small_catalog, "--format", "json"))
    data = json.loads(capsys.readouterr().out)
    run(asked(listed, small_catalog, "--format", "csv"))
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))

    assert data["schema"] == 1
    assert data["rows"] == 2
    assert [row["material"] for row in data["unserved"]] == ["stiff-paste"]
    assert data["opening"] == len(data["parts"]) == len(rows)
    assert data["rules"][0].keys() == {"name", "says"}


def test_a_served_list_ends_with_nothing_to_say(tmp_path, small_catalog, capsys) -> None:
    path = tmp_path / "list.csv"
    path.write_text(HEAD + THIN, encoding="utf-8")

    assert run(asked(path, small_catalog)) == 0
    assert "none: every row has a build" in capsys.readouterr().out


def test_a_list_comes_from_a_pipe_as_well(listed, small_catalog, capsys, monkeypatch) -> None:
    run(asked(listed, small_catalog))
    wanted = capsys.readouterr().out
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(listed.read_bytes())))
    run(asked("-", small_catalog))

    assert capsys.readouterr().out == wanted


def test_rows_that_cannot_be_read_are_told_on_the_error_stream(
    tmp_path, small_catalog, capsys
) -> None:
    path = tmp_path / "list.csv"
    path.write_text(HEAD + THIN.replace("6 Pa*s", "many") + THIN, encoding="utf-8")

    assert run(asked(path, small_catalog)) == 1
    out, err = capsys.readouterr()
    assert "1 row passed over" in out
    assert "row 1, line 2: " in err
    assert "viscosity" in err


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--process", "hinge-dots"], "two are called 'hinge-dots'"),
        (["--process", "lid-beed"], "lid-bead"),
        (["--limit", "0"], "--limit"),
        (["--format", "parquet"], "--format"),
        (["--encoding", "klingon"], "encoding"),
    ],
)
def test_options_that_have_no_meaning_are_refused(
    listed, small_catalog, capsys, more, said
) -> None:
    assert run(asked(listed, small_catalog, *more)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_a_list_that_is_not_there_is_refused(small_catalog, capsys) -> None:
    assert run(asked("nowhere.csv", small_catalog)) == 2
    assert "no such file" in capsys.readouterr().err


def test_help_names_the_exit_codes(capsys) -> None:
    assert run(["gaps", "--help"]) == 0
    out = capsys.readouterr().out
    assert "Exit codes:" in out
    assert "hypothetical" in out
