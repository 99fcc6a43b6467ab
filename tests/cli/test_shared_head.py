"""The command that looks for one head for several jobs, and what it says of a bad list."""

from __future__ import annotations

import json

import pytest

from configurator.cli.main import run


@pytest.fixture
def listed(tmp_path, monkeypatch):
    """Writes a list of jobs into the folder that the command runs in."""
    monkeypatch.chdir(tmp_path)

    def write(text: str) -> str:
        (tmp_path / "jobs.csv").write_text(text, encoding="utf-8")
        return "jobs.csv"

    return write


def test_one_head_for_all_jobs_is_exit_code_zero(listed, small_catalog, capsys):
    jobs = listed(
        "note;process;material\nfirst;plug-grease;probe-grease\n;plug-grease;probe-grease\n"
    )
    given = ["common", jobs, "--catalog", str(small_catalog)]
    assert run([*given, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)

    assert [job["line"] for job in data["jobs"]] == [2, 3]
    assert data["count"] == sum(data["counts"].values()) == data["jobs"][0]["heads"]
    assert data["free"] == ["outlet", "feed"]
    assert set(data["heads"][0]["parts"]) == {
        *("size", "cavity", "body", "rotor", "stator", "seal", "drive", "mixing")
    }
    assert run([*given, "--free", "drive", "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert "drive" not in data["heads"][0]["parts"]
    assert "outlet" in data["heads"][0]["parts"]
    assert data["heads"][0]["serves"][0]["folded"].keys() == {"drive"}


def test_no_common_head_is_exit_code_one(listed, small_catalog, capsys):
    jobs = listed("material,process\nprobe-grease,plug-grease\ngrip-mortar,grip-dots\n")
    assert run(["common", jobs, "--catalog", str(small_catalog)]) == 1
    text = " ".join(capsys.readouterr().out.split())

    assert "line 3: grip-mortar, grip-dots" in text
    assert "leaving out line 3 (grip-mortar, grip-dots)" in text


def test_jobs_of_one_and_of_two_parts_are_two_questions(listed, capsys):
    jobs = listed("material,process\nhull-paste,hull-seam\nhinge-grease,hinge-dots\n")
    assert run(["common", jobs]) == 1
    text = " ".join(capsys.readouterr().out.split())
    assert text.startswith("No head serves materials of one part and of two")
    assert "2 hull-paste, hull-seam" in text
    assert "3 hinge-grease, hinge-dots" in text
    assert run(["common", jobs, "--format", "json"]) == 1
    two, one = json.loads(capsys.readouterr().out)["apart"]
    assert (two["count"], two["one_serves_all"]) == (None, True)
    assert one["count"] > 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("material,process\nprobe-greese,plug-grease\n", "line 2: material: given 'probe-greese'"),
        ("material,process\nprobe-greese,plug-grease\n", "did you mean probe-grease?"),
        ("material,process\nprobe-grease,\n", "line 2: process: given 'nothing'"),
        ("material,process\nprobe-grease\n", "line 2: row: given '1 cell'"),
        ("material,proces\nprobe-grease,plug-grease\n", "there is no column process"),
        ("material,process\n", "no row below the header"),
        ("", "given 'nothing in it'"),
        ("material,process\n" + "probe-grease,plug-grease\n" * 61, "more than 60 rows"),
        ("material,process\n\x00,plug-grease\n", "line 2"),
    ],
)
def test_a_bad_list_is_told_in_one_line(listed, text, says, capsys):
    assert run(["common", listed(text)]) == 2
    out, err = capsys.readouterr()

    assert out == ""
    assert err.count("\n") == 1
    assert says in err


def test_a_file_of_the_list_starts_from_its_folder_and_tells_its_own_faults(
    listed, tmp_path, capsys
):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "paste.toml").write_text("schema = 1\nname = 3\n", encoding="utf-8")
    (tmp_path / "mine" / "jobs.csv").write_text("material,process\npaste.toml,lid-bead\n")
    assert run(["common", "mine/jobs.csv"]) == 2
    err = capsys.readouterr().err

    assert "mine/paste.toml" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--free", "tip"], "did you mean outlet?"),
        (["--pick", "stator=nbr-z"], "did you mean nbr-"),
        (["--sort", "cost_index"], "leave it out"),
    ],
)
def test_a_bad_option_is_told_in_one_line(listed, words, says, capsys):
    jobs = listed("material,process\nprobe-grease,plug-grease\n")
    assert run(["common", jobs, *words]) == 2
    out, err = capsys.readouterr()

    assert out == ""
    assert err.count("\n") == 1
    assert says in err
