"""The material command, in this process."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from configurator.chemistry.lookup import GRADE_ORDER
from configurator.cli.main import run
from configurator.cli.opening import EVIDENCE_VARIABLE

EXAMPLES = Path(__file__).resolve().parents[2] / "catalogs" / "examples"


@pytest.fixture(autouse=True)
def no_record_of_the_machine(monkeypatch):
    monkeypatch.delenv(EVIDENCE_VARIABLE, raising=False)


@pytest.fixture
def asked(small_catalog, capsys):
    def ask(*arguments):
        code = run(["material", "check", *map(str, arguments), "--catalog", str(small_catalog)])
        return (code, *capsys.readouterr())

    return ask


@pytest.fixture
def gappy(tmp_path):
    """The shipped grease without its list being complete."""
    text = (EXAMPLES / "materials" / "probe-grease.toml").read_text(encoding="utf-8")
    assert "complete = true" in text
    text = text.replace("complete = true", "complete = false")
    path = tmp_path / "gappy.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_known_estimated_missing_contacts_and_costs_are_all_there(asked):
    code, out, err = asked("float-putty", "--process", "gland-fill")

    assert (code, err) == (0, "")
    for said in (
        "Known:",
        "Estimated, because",
        "Missing, and nothing",
        "Contacts at up to 28 degC",
        "What would settle them:",
        "Builds now:",
        "With all of them at their good ends:",
    ):
        assert said in out
    assert max(map(len, out.splitlines())) <= 100
    assert out.replace("\n", "").isprintable()
    assert re.search(r"\bsafe\b", out) is None


def test_without_an_obvious_process_it_says_that_one_is_needed(asked):
    code, out, _ = asked("thread-retainer")

    assert code == 0
    assert "--process NAME counts it" in " ".join(out.split())
    assert "Contacts at up to 23 degC" in out
    assert "Builds now" not in out


def test_a_shipped_example_takes_its_obvious_partner_and_says_so(asked):
    out = " ".join(asked("lid-sealant")[1].split())

    assert "lid-bead; taken as its shipped partner" in out
    assert "Builds now:" in out


def test_a_file_has_no_partner(asked, gappy):
    assert "--process NAME counts it" in " ".join(asked(gappy)[1].split())


def test_several_processes_are_counted_one_by_one(asked):
    names = ["plug-grease", "hinge-dots"]
    _, out, _ = asked(
        "probe-grease", "--process", names[0], "--process", names[1], "--format", "json"
    )

    data = json.loads(out)
    assert [entry["process"]["name"] for entry in data["processes"]] == names


def test_json_says_the_same_as_the_list_of_builds(asked, gappy, small_catalog, capsys):
    _, out, err = asked(gappy, "--process", "plug-grease", "--format", "json")
    run(["builds", str(gappy), "plug-grease", "--catalog", str(small_catalog), "--format", "json"])
    builds = json.loads(capsys.readouterr().out)
    data = json.loads(out)
    (entry,) = data["processes"]

    assert err == ""
    assert entry["now"] == builds["counts"]
    assert {gap["field"] for gap in entry["gaps"]} == {
        gap["field"] for gap in (*data["estimated"], *data["missing"])
    }
    complete = next(gap for gap in entry["gaps"] if gap["field"] == "component.complete")
    assert complete["bad_end"]["fits"] == 0


def test_a_misspelt_constituent_gets_the_nearest_names(asked, tmp_path):
    text = (EXAMPLES / "materials" / "lid-sealant.toml").read_text(encoding="utf-8")
    path = tmp_path / "slip.toml"
    path.write_text(text.replace("MDI prepolymer", "MDI prepolymre"), encoding="utf-8")
    (stranger,) = json.loads(asked(path, "--format", "json")[1])["unknown_constituents"]

    assert stranger["name"] == "MDI prepolymre"
    assert any("prepolymer" in name for name in stranger["nearest"])
    assert "MDI prepolymre; did you mean" in " ".join(asked(path)[1].split())


def test_findings_of_the_shop_change_the_contacts(asked, tmp_path, small_catalog, capsys):
    shop = tmp_path / "shop.jsonl"
    added = ["evidence", "add", shop, "--date", "2026-03-04", "--material", "NBR"]
    added += ["--substance", "probe-grease", "--temperature", "23 degC", "--time", "168 h"]
    added += ["--swelling", "30 %", "--catalog", small_catalog]
    assert run(list(map(str, added))) == 0
    capsys.readouterr()

    def contact(*arguments):
        data = json.loads(asked("probe-grease", "--format", "json", *arguments)[1])
        return next(each for each in data["contacts"] if each["material"] == "NBR")

    assert contact()["basis"] != "measured"
    measured = contact("--evidence", shop)
    assert (measured["grade"], measured["basis"]) == ("not satisfactory", "measured")
    assert measured["swelling_pct"] == [0.0, 30.0]


def test_disagreeing_sources_are_both_shown(asked, tmp_path):
    text = (EXAMPLES / "materials" / "probe-grease.toml").read_text(encoding="utf-8")
    path = tmp_path / "split.toml"
    path.write_text(text.replace('"silicone oil"', '"cumene hydroperoxide"'), encoding="utf-8")
    data = json.loads(asked(path, "--format", "json")[1])
    split = [each for each in data["contacts"] if each["disagreements"]]

    assert split
    for each in split:
        grades = {voice["grade"] for voice in each["disagreements"]}
        assert len(grades) > 1
        assert each["grade"] == max(grades, key=GRADE_ORDER.index)
    assert "Sources that disagree" in asked(path)[1]


@pytest.mark.parametrize("arguments", [["no-such-material"], ["lid-sealant", "--process", "no"]])
def test_what_does_not_exist_is_exit_code_two(asked, arguments):
    code, out, err = asked(*arguments)

    assert (code, out) == (2, "")
    assert "shipped example" in err
