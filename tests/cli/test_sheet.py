"""The sheet command: files by their ending, whole or not at all."""

from __future__ import annotations

import json
import sys

import pytest

from configurator.cli.main import run

PAIR = ["sheet", "probe-grease", "plug-grease"]


@pytest.fixture
def asked(small_catalog, capsys):
    def ask(*arguments: str) -> tuple[int, str, str]:
        code = run([*PAIR, "--catalog", str(small_catalog), *arguments])
        return (code, *capsys.readouterr())

    return ask


def test_the_page_is_written_and_said_on_standard_error(asked, tmp_path):
    out = tmp_path / "head.html"
    code, said, told = asked("--build", "2", "--out", str(out))

    assert (code, said) == (0, "")
    assert str(out) in told
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    # The drawing library may make a folder for its settings; nothing else is left behind.
    assert [path for path in tmp_path.iterdir() if path.is_file()] == [out]


def test_the_build_is_that_of_the_list(asked, small_catalog, tmp_path, capsys):
    out = tmp_path / "head.json"
    asked("--build", "3", "--sort", "head_mass_kg", "--out", str(out))
    run(
        [
            "builds",
            *PAIR[1:],
            "--catalog",
            str(small_catalog),
            "--sort",
            "head_mass_kg",
            "--limit",
            "3",
            "--format",
            "json",
        ]
    )
    listed = json.loads(capsys.readouterr().out)["builds"][2]
    sheet = json.loads(out.read_text(encoding="utf-8"))

    assert sheet["parts"] == listed["parts"]
    assert sheet["figures"] == listed["figures"]


def test_a_build_named_by_its_parts_is_the_one_of_the_list(asked, tmp_path):
    by_rank, by_parts = tmp_path / "rank.json", tmp_path / "parts.json"
    asked("--build", "2", "--out", str(by_rank))
    ranked = json.loads(by_rank.read_text(encoding="utf-8"))
    named = ", ".join(f"{slot}={part}" for slot, part in ranked["parts"].items())

    assert asked("--build", named, "--out", str(by_parts))[0] == 0
    assert json.loads(by_parts.read_text(encoding="utf-8"))["figures"] == ranked["figures"]


PAPERS = {"head.html": ["sheet"], "form.csv": ["trial", "plan"]}


@pytest.mark.parametrize(
    ("named", "told"),
    [
        ("zz", 'accepted: a rank, or "slot=part, slot=part"'),
        ("0", "accepted: 1 to"),
        ("stator=zz", "a stator of the catalog"),
        ("stator=nbr-s", "one part for each of size, cavity"),
    ],
)
@pytest.mark.parametrize("paper", PAPERS)
def test_an_unknown_build_is_one_line_and_nothing_is_written(paper, named, told, tmp_path, capsys):
    out = tmp_path / paper

    assert run([*PAPERS[paper], *PAIR[1:], "--build", named, "--out", str(out)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert told in line
    assert not out.exists()


@pytest.mark.parametrize("paper", PAPERS)
def test_of_a_build_that_is_ruled_out_no_paper_is_made(paper, tmp_path, capsys):
    out = tmp_path / paper
    named = (
        "size=h4, cavity=h4-1.6-2s, body=hardened, rotor=chrome-l, stator=nbr-l, seal=face-small, "
        "drive=servo48-5, mixing=none, outlet=cone-0.84, feed=pail-20-epdm"
    )

    assert (
        run([*PAPERS[paper], "lid-sealant", "lid-bead", "--build", named, "--out", str(out)]) == 1
    )
    (line,) = capsys.readouterr().err.splitlines()
    assert "this one is ruled out: chemistry of the stator" in line
    assert not out.exists()


def test_a_file_that_is_there_stays_unless_forced(asked, tmp_path):
    out = tmp_path / "head.json"
    out.write_text("mine", encoding="utf-8")
    code, _, told = asked("--out", str(out))

    assert code == 2
    assert "--force" in told
    assert out.read_text(encoding="utf-8") == "mine"
    assert asked("--out", str(out), "--force")[0] == 0
    assert out.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["head.docx", "head", "head.html.txt"])
def test_another_ending_is_refused_before_any_work(asked, tmp_path, name):
    code, _, told = asked("--out", str(tmp_path / name))

    assert code == 2
    assert ".html, .pdf, .json or .csv" in told


def test_a_build_beyond_the_list_is_refused_with_its_length(asked, tmp_path):
    code, _, told = asked("--build", "9999", "--out", str(tmp_path / "a.json"))

    assert code == 2
    assert "accepted: 1 to " in told
    assert not list(tmp_path.glob("*.json"))


def test_no_build_at_all_is_said_so(small_catalog, tmp_path, capsys):
    code = run(
        [
            "sheet",
            "grip-mortar",
            "grip-dots",
            "--catalog",
            str(small_catalog),
            "--out",
            str(tmp_path / "a.json"),
        ]
    )

    assert code == 1
    assert "no build exists" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("library", "ending", "extra"),
    [("jinja2", "html", "sheet"), ("matplotlib", "html", "sheet"), ("weasyprint", "pdf", "pdf")],
)
def test_a_missing_library_is_a_line_with_the_command_that_brings_it(  # noqa: PLR0917
    asked, tmp_path, monkeypatch, library, ending, extra
):
    from configurator.report import sheet_words

    sheet_words._environment.cache_clear()
    for name in [name for name in sys.modules if name.partition(".")[0] == library]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, library, None)
    code, _, told = asked("--annex", "--out", str(tmp_path / f"head.{ending}"))
    sheet_words._environment.cache_clear()

    assert code == 2
    assert library in told
    assert f"pip install 'headwright[{extra}]'" in told
    assert len(told.splitlines()) == 1


def test_an_unwritable_place_is_a_line(asked, tmp_path):
    code, _, told = asked("--out", str(tmp_path / "none" / "head.json"))

    assert code == 2
    assert "No such file" in told


def test_the_parts_are_written_for_purchasing(asked, tmp_path):
    out = tmp_path / "parts.csv"
    code, said, _ = asked("--out", str(out))

    assert (code, said) == (0, "")
    assert out.read_text(encoding="utf-8").startswith("slots,part,title,quantity,order_text,price")


def test_another_material_before_brings_the_card_and_an_unknown_one_is_a_line(asked, tmp_path):
    out = tmp_path / "card.json"
    code, _, told = asked("--after", "lid-sealent", "--out", str(out))

    assert code == 2
    assert "lid-sealant" in told
    assert len(told.splitlines()) == 1
    assert not out.exists()
    assert asked("--after", "lid-sealant", "--out", str(out))[0] == 0
    card = json.loads(out.read_text(encoding="utf-8"))["service"]
    assert card["changeover"][0][1].startswith("Moisture-curing")


def test_a_language_file_with_a_fault_writes_nothing(asked, tmp_path):
    (tmp_path / "german.toml").write_text('partz = "Teile"', encoding="utf-8")
    out = tmp_path / "head.html"
    code, _, told = asked("--language", str(tmp_path / "german.toml"), "--out", str(out))

    assert code == 2
    assert "german.toml: partz: " in told
    assert len(told.splitlines()) == 1
    assert not out.exists()
