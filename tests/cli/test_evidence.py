"""The evidence command, and its findings in the list of builds."""

from __future__ import annotations

import csv
import io
import json

import pytest

from configurator.cli.main import run
from configurator.cli.opening import EVIDENCE_VARIABLE

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


@pytest.mark.parametrize(
    ("substance", "said"),
    [
        ("probe-grese", "did you mean probe-grease?"),
        ("MDI prepolymr", "did you mean MDI prepolymer"),
        ("MDIprepolymer", "did you mean MDI prepolymer?"),
        ("hull-paste", "did you mean hull-paste a or hull-paste b?"),
        ("our own brew", "a material file of exactly that name alone"),
    ],
)
def test_a_substance_that_nobody_knows_is_told_with_the_nearest_name(asked, shop, substance, said):
    one = ["evidence", "add", shop, "--date", "2026-03-04", "--material", "NBR", "--time", "7 d"]
    one += ["--temperature", "28 degC", "--swelling", "1 %", "--substance", substance]
    code, out, err = asked(*one)

    assert (code, out) == (0, "1 new finding, graded satisfactory\n")
    assert len(err.splitlines()) == 1
    assert f"'{substance}'" in err
    assert said in err


@pytest.mark.parametrize(
    "substance", ["probe-grease", "hull-paste b", "MDI  Prepolymer", "Probe-Grease"]
)
def test_a_substance_that_is_known_is_taken_without_a_word(asked, shop, substance):
    one = ["evidence", "add", shop, "--date", "2026-03-04", "--material", "NBR", "--time", "7 d"]
    one += ["--temperature", "28 degC", "--swelling", "1 %", "--substance", substance]

    assert asked(*one)[::2] == (0, "")


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--date", "2026-3-4", "finding: date: given '2026-3-4'; accepted: a date such as"),
        ("--temperature", "900 degC", "a temperature from -100 to 400 degC"),
        ("--grade", "good", "satisfactory, limited or not satisfactory"),
        ("--grade", "satisfactory", "the measured change makes this limited, not satisfactory"),
        ("--kind", "soak", "immersion, trial or withdrawal"),
        ("--time", "0 h", "accepted: a time"),
    ],
)
def test_a_finding_is_refused_in_words_of_this_program(asked, shop, option, value, said):
    one = {
        "--date": "2026-03-04",
        "--material": "NBR",
        "--substance": "probe-grease",
        "--temperature": "28 degC",
        "--time": "168 h",
        "--swelling": "5 %",
        option: value,
    }
    code, out, err = asked(
        "evidence", "add", shop, *(text for pair in one.items() for text in pair)
    )

    assert (code, out) == (2, "")
    assert said in err
    assert "  " not in err
    assert "should" not in err
    assert not shop.exists()


def test_a_broken_line_of_the_record_is_told_in_words_of_this_program(asked, shop):
    shop.write_text('{"date": 3}\nnot json\n{"kind": "head trial"}\n', encoding="utf-8")
    code, _, err = asked("evidence", "show", shop)

    assert code == 0
    assert len(err.splitlines()) == 3
    assert "line 2: given 'not json'" in err
    assert "Input" not in err
    assert "Invalid JSON" not in err


def test_measured_heads_are_shown_with_the_findings(asked, shop, results):
    record = {
        "kind": "head trial",
        "trial": "0" * 12,
        "date": "2026-03-04",
        "material": "probe-grease",
        "side": "",
        "cavity": "h2-0.04-2s",
        "stator": "nbr-s",
        "rigid": False,
        "verdict": "reject",
        "displacement_ml": 0.0412,
        "displacement_half_ml": 0.0001,
        "slip_ml_min": 0.2,
        "slip_shows": False,
        "pressure_bar": 5.6,
        "opening_bar": None,
        "speed_rpm": 60.0,
        "temperature_c": 23.0,
    }
    shop.write_text(json.dumps(record) + "\n", encoding="utf-8")
    alone = asked("evidence", "show", shop)[1]
    asked("evidence", "import", shop, results(GOOD))
    both = asked("evidence", "show", shop)[1]
    data = json.loads(asked("evidence", "show", shop, "--format", "json")[1])

    assert "No findings" not in alone
    for said in ("h2-0.04-2s", "0.0412 +/- 0.0001", "up to 0.2 at 5.6 bar", "reject", "not used"):
        assert said in " ".join(alone.split())
    assert "1 finding" in both
    assert "1 side of measured heads" in both
    assert data["count"] == 1
    # A record of an older trial says nothing of what the head was set by.
    untold = ("delivered_ml", "tolerance_pct", "drift_pct_h", "drift_half_pct_h")
    assert data["head_trials"] == [record | dict.fromkeys(untold)]
    assert max(map(len, both.splitlines())) <= 100
