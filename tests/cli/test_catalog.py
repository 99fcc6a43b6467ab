"""`catalog check`, `catalog show` and `examples`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from configurator.catalog.parts import SLOTS
from configurator.cli.main import run


@pytest.fixture
def broken(small_catalog: Path, tmp_path: Path) -> Path:
    """Reads well, but a cavity's size does not exist."""
    folder = tmp_path / "broken"
    folder.mkdir()
    for path in small_catalog.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        if path.name == "cavities.toml":
            text = text.replace('size = "h2"', 'size = "h9"', 1)
        (folder / path.name).write_text(text, encoding="utf-8")
    return folder


def test_the_shipped_catalog_passes_its_own_check(capsys):
    assert run(["catalog", "check"]) == 0
    out = capsys.readouterr().out

    assert "0 errors" in out
    assert "shipped" in out


def test_an_error_is_exit_code_three_and_named(broken, capsys):
    assert run(["catalog", "check", "--catalog", str(broken)]) == 3
    out, err = capsys.readouterr()

    assert "no size is called h9" in " ".join(out.split())
    assert err == ""


def test_warnings_are_shown_and_pass(small_catalog, tmp_path, capsys):
    folder = tmp_path / "warned"
    folder.mkdir()
    for path in small_catalog.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        # Only what the small catalog still has: a size that is named must be there.
        for gone in ("h1", "h3", "h4", "h5", "h6"):
            text = text.replace(f'"{gone}", ', "").replace(f', "{gone}"', "")
        if path.name == "sizes.toml":
            spare = text.split("[[size]]")[1].replace('name = "h2"', 'name = "spare"')
            text += "\n[[size]]" + spare
        if path.name == "feeds.toml":
            feed = text.split("[[feed]]")[1].replace('name = "', 'name = "spare-', 1)
            text += "\n[[feed]]" + feed.replace('"h2"', '"spare"')
        (folder / path.name).write_text(text, encoding="utf-8")

    run(["catalog", "check", "--catalog", str(folder), "--format", "json"])
    notes = json.loads(capsys.readouterr().out)["notes"]

    assert any(note["severity"] == "warning" and "spare-" in note["where"] for note in notes)


def test_a_folder_that_cannot_be_read_is_exit_code_three(tmp_path, capsys):
    (tmp_path / "catalog.toml").write_text("schema = ", encoding="utf-8")

    assert run(["catalog", "check", "--catalog", str(tmp_path)]) == 3

    out, err = capsys.readouterr()
    assert out == ""
    assert "valid TOML" in err


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_check_prints_each_form(broken, form, capsys):
    assert run(["catalog", "check", "--catalog", str(broken), "--format", form]) == 3
    assert "h9" in capsys.readouterr().out


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_show_lists_all_slots_or_one(small_catalog, form, capsys):
    arguments = ["catalog", "show", "--catalog", str(small_catalog), "--format", form]

    assert run(arguments) == 0
    whole = capsys.readouterr().out
    assert run([*arguments, "--slot", "drive"]) == 0
    one = capsys.readouterr().out

    assert all(slot in whole for slot in SLOTS)
    assert "stepper-0.3" in whole
    assert "stepper-0.3" in one
    assert "needle-14g-50" in whole
    assert "needle-14g-50" not in one


def test_a_slot_that_does_not_exist_is_refused_with_the_nearest(capsys):
    assert run(["catalog", "show", "--slot", "statr"]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert "did you mean stator?" in err


def test_the_variable_names_the_catalog_and_the_option_wins(
    small_catalog, broken, monkeypatch, capsys
):
    monkeypatch.setenv("HEADWRIGHT_CATALOG", str(broken))

    assert run(["catalog", "show", "--slot", "size"]) == 0
    assert str(broken) in "".join(capsys.readouterr().out.split("\n"))

    assert run(["catalog", "show", "--slot", "size", "--catalog", str(small_catalog)]) == 0
    assert str(broken) not in "".join(capsys.readouterr().out.split("\n"))


def spoilt(small_catalog: Path, folder: Path, changes: dict[str, tuple[str, str]]) -> Path:
    """A copy of the small catalog with one text of some files replaced."""
    folder.mkdir()
    for path in small_catalog.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        if path.name in changes:
            before, after = changes[path.name]
            assert before in text
            text = text.replace(before, after, 1)
        (folder / path.name).write_text(text, encoding="utf-8")
    return folder


def test_faults_of_all_layers_are_told_at_once(small_catalog, tmp_path, capsys):
    folder = spoilt(
        small_catalog,
        tmp_path / "spoilt",
        {
            "drives.toml": ("schema = 1", "schema = true"),
            "seals.toml": ("temperature_high", "temperature_hi"),
            "stators.toml": ('temperature_low = { value = "', 'temperature_low = { value = "9'),
            "cavities.toml": ('name = "h2-0.02-4s"', 'name = "h2-0.02-2s"'),
        },
    )
    drives = folder / "drives.toml"
    text = drives.read_text(encoding="utf-8")
    drives.write_text(text.replace('speed_max = "', 'speed_max = "0.', 1), encoding="utf-8")
    code = run(["catalog", "check", "--catalog", str(folder)])
    out, err = capsys.readouterr()
    lines = err.splitlines()

    assert (code, out) == (3, "")
    assert any("drives.toml: schema: given 'true'; accepted: 1" in line for line in lines)
    assert any("temperature_hi" in line and "did you mean" in line for line in lines)
    assert any("the name twice" in line for line in lines)
    # Behind a head with a fault and beside unreadable parts, single figures are still judged.
    assert any(line.startswith("error: drive") and "speed_min" in line for line in lines)
    assert any(line.startswith("error: stator") for line in lines)
    assert lines[-1] == "checks between parts wait until what cannot be read is mended"
    assert not any("cannot be built" in line for line in lines)


def test_what_lacks_altogether_is_told_with_the_rest(small_catalog, tmp_path, capsys):
    folder = spoilt(small_catalog, tmp_path / "thin", {"drives.toml": ("schema = 1", "schema = 2")})
    (folder / "seals.toml").unlink()
    (folder / "practice.toml").unlink()

    assert run(["catalog", "check", "--catalog", str(folder)]) == 3
    err = capsys.readouterr().err

    assert "schema: given '2'" in err
    assert "seal: given 'no part'" in err
    assert "practice: given 'no such table'" in err
    assert "drive: given 'no part'" not in err


@pytest.mark.parametrize("given", ["true", "1.0", '"1"', "2"])
def test_a_schema_that_is_not_the_whole_number_one_is_refused(
    small_catalog, tmp_path, capsys, given
):
    folder = spoilt(
        small_catalog, tmp_path / "other", {"rotors.toml": ("schema = 1", f"schema = {given}")}
    )

    assert run(["catalog", "show", "--catalog", str(folder)]) == 3
    err = capsys.readouterr().err
    assert f"rotors.toml: schema: given '{given}'; accepted: 1" in err
    assert "did you mean" not in err


EXAMPLES = Path(__file__).resolve().parents[2] / "catalogs" / "examples"


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_every_shipped_example_is_listed(form, capsys):
    assert run(["examples", "--format", form]) == 0

    out, err = capsys.readouterr()
    assert err == ""
    for path in EXAMPLES.glob("*/*.toml"):
        assert path.stem in out


def test_names_are_those_that_builds_takes(capsys):
    run(["examples", "--format", "json"])
    data = json.loads(capsys.readouterr().out)

    for kind in ("materials", "processes"):
        for entry in data[kind]:
            assert (EXAMPLES / kind / f"{entry['name']}.toml").is_file()
