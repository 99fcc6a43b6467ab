"""The evidence command, and its findings in the list of builds."""

from __future__ import annotations

import csv
import io
import json

import pytest

from configurator.cli.main import run
from configurator.cli.measured import EVIDENCE_VARIABLE

HEAD = "date,material,grade_name,substance,temperature,time,swelling,hardness_change,grade,note"
GOOD = "2026-03-04,NBR,,probe-grease,28 degC,168 h,2.1 %,-2,,dry"
PAIR = ["builds", "probe-grease", "plug-grease"]


@pytest.fixture(autouse=True)
def no_record_of_the_machine(monkeypatch):
    monkeypatch.delenv(EVIDENCE_VARIABLE, raising=False)


@pytest.fixture
def shop(tmp_path):
    return tmp_path / "shop.jsonl"


@pytest.fixture
def results(tmp_path):
    def write(*lines):
        path = tmp_path / "results.csv"
        path.write_text("\n".join((HEAD, *lines)) + "\n", encoding="utf-8")
        return str(path)

    return write


@pytest.fixture
def asked(small_catalog, capsys):
    def ask(*arguments):
        code = run([*map(str, arguments), "--catalog", str(small_catalog)])
        return (code, *capsys.readouterr())

    return ask


def test_results_are_taken_over_once(asked, shop, results):
    assert asked("evidence", "import", shop, results(GOOD))[:2] == (
        0,
        "1 new finding, 0 already held, 0 not readable\n",
    )
    before = shop.read_bytes()
    assert asked("evidence", "import", shop, results(GOOD))[:2] == (
        0,
        "0 new findings, 1 already held, 0 not readable\n",
    )
    assert shop.read_bytes() == before


def test_a_broken_line_is_told_and_the_others_are_taken(asked, shop, results):
    code, out, err = asked("evidence", "import", shop, results("half", GOOD))

    assert code == 2
    assert out == "1 new finding, 0 already held, 1 not readable\n"
    assert err.count("\n") == 1
    assert "line 2" in err
    assert json.loads(asked("evidence", "show", shop, "--format", "json")[1])["count"] == 1


def test_a_finding_added_by_hand_is_graded_by_its_numbers(asked, shop):
    one = ["evidence", "add", shop, "--date", "2026-03-04", "--material", "NBR"]
    one += ["--substance", "probe-grease", "--temperature", "28 degC", "--time", "7 d"]

    assert asked(*one, "--swelling", "5 %")[:2] == (0, "1 new finding, graded limited\n")
    assert asked(*one, "--swelling", "5 %")[:2] == (0, "0 new findings, graded limited\n")
    code, out, err = asked(*one, "--swelling", "5")
    assert (code, out) == (2, "")
    assert "write a unit" in err


def test_the_table_shows_what_is_held(asked, shop, results):
    asked("evidence", "import", shop, results(GOOD))
    code, out, err = asked("evidence", "show", shop)

    assert (code, err) == (0, "")
    for said in ("2026-03-04", "NBR", "probe-grease", "28", "168", "2.1", "satisfactory", "dry"):
        assert said in out
    assert max(map(len, out.splitlines())) <= 100


def test_what_is_shown_as_csv_can_be_taken_over_again(asked, shop, results, tmp_path):
    asked("evidence", "import", shop, results(GOOD, GOOD.replace("2.1 %", "-1 %")))
    shown = tmp_path / "shown.csv"
    shown.write_text(asked("evidence", "show", shop, "--format", "csv")[1], encoding="utf-8")

    assert len(list(csv.DictReader(io.StringIO(shown.read_text(encoding="utf-8"))))) == 2
    assert asked("evidence", "import", tmp_path / "other.jsonl", shown)[0] == 0
    assert (tmp_path / "other.jsonl").read_bytes() == shop.read_bytes()


def test_findings_that_speak_of_nothing_are_told(asked, shop, results):
    lines = [GOOD.replace("NBR,", "NBE,"), GOOD.replace("NBR,", "NBR,compound 7")]
    code, _, err = asked("evidence", "import", shop, results(*lines))

    assert code == 0
    assert "'NBE': no wetted material of that code is known; did you mean NBR" in err
    assert "'compound 7'" in err
    assert "counts for none" in err


@pytest.mark.parametrize("command", [["evidence", "show"], [*PAIR, "--evidence"]], ids=str)
def test_a_record_that_is_not_there_is_refused(asked, command):
    code, out, err = asked(*command, "shpo.jsonl")

    assert (code, out) == (2, "")
    assert "no such file" in err


def test_the_environment_names_the_record_where_no_option_does(asked, shop, results, monkeypatch):
    asked("evidence", "import", shop, results(GOOD))
    monkeypatch.setenv(EVIDENCE_VARIABLE, str(shop))

    assert "probe-grease" in asked("evidence", "show")[1]
    monkeypatch.setenv(EVIDENCE_VARIABLE, "nowhere.jsonl")
    assert asked(*PAIR)[0] == 2


def findings_of(text, rule):
    data = json.loads(text)
    return data, [
        finding
        for build in data["builds"]
        for finding in build["findings"]
        if finding["rule"] == rule
    ]


def test_a_measured_contact_is_shown_as_measured_with_its_date(asked, shop, results):
    asked("evidence", "import", shop, results(GOOD))
    arguments = [*PAIR, "--pick", "stator=nbr-s", "--format", "json", "--limit", "2"]
    before, tables = findings_of(asked(*arguments)[1], "chemistry of the stator")
    after, measured = findings_of(
        asked(*arguments, "--evidence", shop)[1], "chemistry of the stator"
    )

    assert {finding["basis"] for finding in tables} != {"measured"}
    assert {finding["basis"] for finding in measured} == {"measured"}
    assert all("2026-03-04" in finding["reason"] for finding in measured)
    assert before.keys() == after.keys()


def test_a_failed_soak_takes_the_part_out(asked, shop, results):
    asked("evidence", "import", shop, results(GOOD.replace("2.1 %", "40 %")))
    data = json.loads(asked(*PAIR, "--format", "json", "--evidence", shop)[1])

    choice = next(each for each in data["choices"]["stator"] if each["part"] == "nbr-s")
    assert choice["builds"] == 0
    assert any("2026-03-04" in reason["reason"] for reason in choice["reasons"])


def test_a_soak_of_one_part_leaves_others_of_its_material_alone(asked, shop, results):
    failed = GOOD.replace("NBR,", "NBR,nbr-s").replace("2.1 %", "40 %")
    asked("evidence", "import", shop, results(failed))
    data = json.loads(asked(*PAIR, "--format", "json", "--evidence", shop)[1])

    left = {
        slot: {each["part"]: each["builds"] for each in data["choices"][slot]}
        for slot in ("stator", "seal")
    }
    assert left["stator"]["nbr-s"] == 0
    assert left["seal"]["lip-nbr"] > 0


def test_broken_lines_of_the_record_are_told_and_the_rest_counts(asked, shop, results):
    asked("evidence", "import", shop, results(GOOD.replace("2.1 %", "40 %")))
    with shop.open("a", encoding="utf-8") as file:
        file.write("{half a line\n")
    code, out, err = asked(*PAIR, "--format", "json", "--evidence", shop)

    assert code == 0
    assert "line 2" in err
    choice = next(each for each in json.loads(out)["choices"]["stator"] if each["part"] == "nbr-s")
    assert choice["builds"] == 0
