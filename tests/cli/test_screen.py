"""`headwright screen` as people and pipelines run it."""

from __future__ import annotations

import csv
import importlib.util
import io
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from draws import ALL
from measured_cavity import MEASURED
from screen_lists import COMMAND, HEAD, ROOT, asked, listed, row
from shipped import shipped_answer, shipped_catalog

from configurator.cli import terminal
from configurator.cli.main import run
from configurator.report.machine import number
from configurator.rules.finding import LISTED, State
from configurator.screen import workers as workers_module
from configurator.screen.result_columns import NAMES
from configurator.screen.tally import FAILING


def pairs() -> list[tuple[str, str]]:
    """Some shipped materials and the process each is meant for, as another test states it.

    All of them are compared in batches with the long way by the tests of the judge.
    """
    path = ROOT / "tests" / "request" / "test_examples.py"
    spec = importlib.util.spec_from_file_location("examples_as_stated", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    every = [*module.PAIRS.items()]
    return every if ALL else every[::4]


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.skipif(sys.platform == "win32", reason="streams are closed as a POSIX shell does")
@pytest.mark.parametrize(
    ("given", "code", "words"),
    [
        ("{list} --out {out} >&-", 0, "1 row: 1 marginal"),
        ("{list} --out {out} <&- 2>&-", 0, ""),
        ("- --out {out} <&-", 2, "standard input: LIST: given 'closed'"),
    ],
)
def test_closed_streams_do_what_a_pipeline_expects(tmp_path, given, code, words):
    path, out = tmp_path / "list.csv", tmp_path / "out.csv"
    path.write_text("file\nlid-sealant\n", encoding="utf-8")
    command = f"exec {sys.executable} -m configurator screen --process lid-bead "
    command += given.format(list=path, out=out)
    done = subprocess.run(["sh", "-c", command], capture_output=True, cwd=ROOT, check=False)

    assert done.returncode == code
    assert words in done.stderr.decode()
    assert not done.stdout
    assert out.is_file() == (code == 0)


@pytest.mark.slow
@pytest.mark.parametrize(("material", "process"), pairs(), ids=lambda name: name)
def test_a_row_is_what_builds_says_of_the_same_material(tmp_path, capsys, material, process):
    path = tmp_path / "list.csv"
    path.write_text(f"file\n{material}\n", encoding="utf-8")
    code = run(["screen", str(path), "--process", process, "--format", "jsonl"])
    (found,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    wanted = shipped_answer(material, process)

    assert code == (0 if wanted.count else 1)
    assert found["builds"] == wanted.count
    assert {state: found[state.words] for state in LISTED} == wanted.counts
    two_part = wanted.subject.question.material.two_part
    digest = wanted.subject.catalog.digest_for(two_part=two_part)
    assert digest.startswith(found["catalog_sha256"])
    assert (found["material_name"], found["process"]) == (material, process)
    assert found["fault"] is None
    if not wanted.count:
        assert found["state"] == "ruled out"
        assert found["best_build"] == ""
        assert found["reason"]
        return
    (best,) = wanted.builds(limit=1)
    assert found["state"] == best.state.words
    assert found["best_build"] == ", ".join(
        f"{slot}={part.name}" for slot, part in best.parts.items()
    )
    margins = [each.margin for each in best.findings if each.margin is not None]
    assert found["tightest_margin"] == number(min(margins))
    assert (found["reason"] == "") == (best.state is State.FITS)


def test_a_row_with_findings_and_trials_is_what_builds_says_with_them(tmp_path, capsys):
    shop = tmp_path / "shop.jsonl"
    finding = {
        "date": "2026-03-04",
        "material": "EPDM",
        "substance": "lid-sealant",
        "temperature_c": 40,
        "hours": 168,
        "grade": "not satisfactory",
    }
    shop.write_text(f"{MEASURED.line}\n{json.dumps(finding)}\n", encoding="utf-8")
    path = tmp_path / "list.csv"
    path.write_text("file\nlid-sealant\nhinge-grease\n", encoding="utf-8")
    asked = ["--evidence", str(shop), "--format"]
    run(["screen", str(path), "--process", "lid-bead", *asked, "jsonl"])
    found, other = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    run(["builds", "lid-sealant", "lid-bead", *asked, "json", "--limit", "1"])
    wanted = json.loads(capsys.readouterr().out)
    run(["builds", "lid-sealant", "lid-bead", "--format", "json", "--limit", "1"])
    without = json.loads(capsys.readouterr().out)

    assert found["builds"] == wanted["count"] != without["count"]
    digest = shipped_catalog().digest_for(two_part=False)
    assert digest.startswith(other["catalog_sha256"])
    assert wanted["catalog"]["sha256"] != without["catalog"]["sha256"]
    assert found["catalog_sha256"] != other["catalog_sha256"]
    assert len(found["evidence_sha256"]) == 12


def test_rows_come_in_order_with_the_columns_of_the_list_first(tmp_path, capsys, small_catalog):
    path = listed(tmp_path, 5, bad=(3,))
    command = asked(path, small_catalog, "--process", "plug-grease")
    code = run(command)
    out, err = capsys.readouterr()

    found = rows_of(out)
    assert [(each["name"], each["process"]) for each in found] == [
        (f"paste {number}", process)
        for number in range(1, 6)
        for process in ("lid-bead", "plug-grease")
    ]
    assert tuple(found[0])[:7] == tuple(HEAD.strip().split(","))
    assert tuple(found[0])[7:] == NAMES
    assert found[0]["lot"] == "'=L1"
    assert found[4]["state"] == "not read"
    assert found[4]["line"] == "4"
    assert "list.csv" not in found[4]["fault"]
    assert code == 1
    assert err.count("\n") == 1
    assert err.startswith("5 rows for 2 processes: ")
    assert "2 not read" in err


def test_standard_input_and_json_lines_are_read(tmp_path, headwright, small_catalog):
    line = {"name": "a", "trigger": "none", "at": "23 degC", "viscosity": "5 Pa*s"}
    done = subprocess.run(
        [*COMMAND, *asked("-", small_catalog, "--format", "jsonl", "--list-format", "jsonl")],
        input=json.dumps(line) + "\n",
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )

    assert done.returncode in {0, 1}
    (found,) = [json.loads(each) for each in done.stdout.splitlines()]
    assert found["name"] == "a"
    assert found["state"] not in {"not read", "not judged"}


def test_an_encoding_that_is_stated_is_read(tmp_path, capsys, small_catalog):
    path = tmp_path / "list.csv"
    path.write_bytes((HEAD + row(1).replace("paste", "p\xe2te")).encode("latin-1"))
    run(asked(path, small_catalog, "--encoding", "latin-1"))

    assert rows_of(capsys.readouterr().out)[0]["name"] == "p\xe2te 1"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--resume"], "--resume: only a file can be gone on with"),
        (["--out", "o.csv", "--resume", "--force"], "leave out one"),
        (["--workers", "2", "--cluster", "x"], "leave out one"),
        (["--workers", "0"], "--workers"),
        (["--out", "list.csv", "--force"], "--out list.csv: that is the list"),
        (["--summary", "list.csv", "--force"], "--summary list.csv: that is the list"),
        (["--out", "o.csv", "--summary", "o.csv"], "--summary o.csv: that is --out"),
        (["--summary", "there.json"], "--force replaces it"),
        (
            ["--out", "o.csv", "--against", "there.json", "--summary", "s", "--changes", "s"],
            "--changes s: that is --summary",
        ),
        (["--out", "o.csv", "--summary", "o.csv.journal"], "that is --summary"),
        (["--out", "o.csv", "--against", "./o.csv", "--force"], "--out o.csv: that is --against"),
        (["--out", "o.csv", "--against", "there.json", "--changes", "o.csv"], "that is --out"),
        (["--out", "o.csv", "--resume", "--summary", "there.json"], "--force replaces it"),
        (
            ["--process", "p.toml", "--summary", "p.toml", "--force"],
            "--summary p.toml: that is --process p.toml",
        ),
        (["--summary", "f.jsonl", "--evidence", "f.jsonl", "--force"], "that is --evidence"),
        (["--out", "o.txt"], "a name that ends in .csv"),
        (["--format", "parquet"], "--out FILE"),
        (["--process", "lid-bead"], "two are called 'lid-bead'"),
        (["--process", "lid-beat"], "did you mean lid-bead"),
        (["--fail-on", "fits"], "--fail-on"),
        (["--out", "no/such/o.csv"], "No such file or directory"),
    ],
)
def test_what_has_no_meaning_is_refused_before_anything_is_written(
    tmp_path, capsys, monkeypatch, arguments, says
):
    monkeypatch.chdir(tmp_path)
    listed(tmp_path, 2)
    (tmp_path / "there.json").write_text("{}")
    before = {path: path.read_bytes() for path in tmp_path.glob("*")}
    code = run(["screen", "list.csv", "--process", "lid-bead", *arguments])
    out, err = capsys.readouterr()

    assert code == 2
    assert out == ""
    assert says in err
    assert {path: path.read_bytes() for path in tmp_path.glob("*")} == before


@pytest.mark.parametrize("content", [None, b"", b"\xff\xfe\x00\xd8\x00"])
def test_a_list_that_cannot_be_read_at_all_is_bad_input(tmp_path, capsys, content):
    path = tmp_path / "list.csv"
    if content is not None:
        path.write_bytes(content)
    code = run(["screen", str(path), "--process", "lid-bead", "--out", str(tmp_path / "o.csv")])

    assert code == 2
    assert "list.csv" in capsys.readouterr().err
    assert not (tmp_path / "o.csv").exists()


def test_a_bad_catalog_has_its_own_code(tmp_path, capsys):
    assert run(asked(listed(tmp_path, 1), tmp_path)) == 3


@pytest.mark.parametrize(
    ("line", "process", "state", "codes"),
    [
        ("file\nbearing-oil\n", "pulley-drops", "fits", [0, 0, 0, 0]),
        ("file\nlid-sealant\n", "lid-bead", "marginal", [0, 0, 0, 1]),
        (HEAD + row(1), "lid-bead", "unproven", [0, 0, 1, 1]),
        ("file\ngrip-mortar\n", "grip-dots", "ruled out", [0, 1, 1, 1]),
        (HEAD + row(1, "many"), "lid-bead", "not read", [0, 1, 1, 1]),
    ],
)
def test_fail_on_says_from_which_state_on_the_exit_code_is_one(  # noqa: PLR0917 - fixtures
    tmp_path, capsys, line, process, state, codes
):
    path = tmp_path / "list.csv"
    path.write_text(line, encoding="utf-8")
    common = ["screen", str(path), "--process", process, "--fail-on"]

    assert [run([*common, level]) for level in FAILING] == codes
    assert rows_of(capsys.readouterr().out)[0]["state"] == state


def test_the_summary_is_json_with_counts_and_duration(tmp_path, capsys, small_catalog):
    path, told = listed(tmp_path, 4, bad=(2,)), tmp_path / "sum.json"
    out = tmp_path / "o.csv"
    code = run(asked(path, small_catalog, "--summary", str(told), "--out", str(out)))
    data = json.loads(told.read_text(encoding="utf-8"))

    assert capsys.readouterr().out == ""
    assert data["exit_code"] == code == 1
    assert data["rows"] == data["results"] == 4
    assert data["counts"]["not read"] == 1
    assert sum(data["counts"].values()) == 4
    assert data["seconds"] > 0
    assert data["results_per_second"] > 0


def test_progress_is_for_a_person_alone(tmp_path, capsys, monkeypatch, small_catalog):
    path = listed(tmp_path, 20)
    common = asked(path, small_catalog)
    run(common)
    assert "\r" not in capsys.readouterr().err
    monkeypatch.setattr(terminal, "watched", lambda: True)
    run(common)
    out, err = capsys.readouterr()

    assert "\r4 rows" in err
    assert "\r20 rows, " in err
    assert "results a second" in err
    assert re.search(r"\r +\r", err)  # the line goes when the run is over
    assert "\r" not in out


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_a_reader_that_stops_reading_ends_the_run_quietly(tmp_path, small_catalog):
    path = listed(tmp_path, 400)
    with subprocess.Popen(
        [*COMMAND, *asked(path, small_catalog)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        assert process.stdout.readline().startswith("name,")
        process.stdout.close()
        said = process.stderr.read()
        assert process.wait(60) == 141
    assert said == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_a_full_standard_output_is_one_line(tmp_path, small_catalog):
    path = listed(tmp_path, 2)
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COMMAND, *asked(path, small_catalog)],
            cwd=ROOT,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )

    assert done.returncode == 2
    assert done.stderr.splitlines()[-1] == "standard output: No space left on device"


def test_lost_workers_are_a_line_and_a_code(tmp_path, capsys, monkeypatch, small_catalog):
    path, out = listed(tmp_path, 8), tmp_path / "o.csv"

    def lost(*_: object, **__: object):
        raise workers_module.WorkerLostError("rows 1 to 4", "the worker ended 3 times")
        yield

    monkeypatch.setattr(workers_module, "in_processes", lost)
    code = run(asked(path, small_catalog, "--out", str(out), "--workers", "2"))

    assert code == 70
    assert capsys.readouterr().err.splitlines()[-1].startswith("rows 1 to 4: the worker ended")


@pytest.mark.parametrize(
    ("module", "arguments", "says"),
    [
        ("pyarrow", ["--out", "o.parquet"], "pip install 'headwright[parquet]'"),
        ("distributed", ["--cluster", "tcp://127.0.0.1:1"], "pip install 'headwright[cluster]'"),
    ],
)
def test_what_is_not_installed_is_named_with_how_to_get_it(  # noqa: PLR0917 - fixtures
    tmp_path, capsys, monkeypatch, module, arguments, says
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(sys.modules, module, None)
    code = run(["screen", str(listed(tmp_path, 1)), "--process", "lid-bead", *arguments])

    assert code == 2
    assert says in capsys.readouterr().err


def test_help_and_refusals_load_nothing_heavy_and_a_plain_run_no_extra():
    code = (
        "import sys\n"
        "from configurator.cli.main import run\n"
        "assert run(['screen', '--help']) == 0\n"
        "assert run(['screen', 'a']) == 2\n"
        "heavy = {'numpy', 'pydantic', 'dask', 'distributed', 'pyarrow', 'rich'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "assert run(['screen', 'none.csv', '--process', 'lid-bead']) == 2\n"
        "heavy = {'dask', 'distributed', 'pyarrow', 'rich', 'pint'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, timeout=60
    )


def test_a_run_against_itself_finds_everything_the_same(tmp_path, capsys, small_catalog):
    path = listed(tmp_path, 3)
    first, second = tmp_path / "first.csv", tmp_path / "second.csv"
    run([*asked(path, small_catalog), "--out", str(first)])
    run([*asked(path, small_catalog), "--out", str(second), "--against", str(first)])

    assert "against" in capsys.readouterr().err
    assert first.read_bytes() == second.read_bytes()


def test_against_without_a_file_of_its_own_is_refused(tmp_path, capsys, small_catalog):
    path = listed(tmp_path, 1)
    first = tmp_path / "first.csv"
    run([*asked(path, small_catalog), "--out", str(first)])
    capsys.readouterr()

    assert run([*asked(path, small_catalog), "--against", str(first)]) == 2
    assert "--out" in capsys.readouterr().err
