from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from configurator.errors import Fault, InputError
from configurator.request.load import (
    load_material,
    load_process,
    material_files,
    material_from,
    process_files,
)
from configurator.units.interval import Basis

FaultsAfter = Callable[[Callable[[dict[str, Any]], None]], tuple[Fault, ...]]

GOOD = """\
schema = 1
name = "own-oil"
title = "An oil"
trigger = "none"

[component]
density = "0.9 g/cm^3"

[component.flow]
model = "newtonian"
at = "23 degC"
viscosity = "2 Pa*s"
"""


def _write(folder: Path, text: str, name: str = "own.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _refused(path: Path, examples: Path) -> tuple[Fault, ...]:
    with pytest.raises(InputError) as caught:
        load_material(path, folder=examples)
    assert caught.value.exit_code == 2
    for fault in caught.value.faults:
        assert fault.line().isprintable()
    return caught.value.faults


def test_a_shipped_example_is_found_by_its_name(examples: Path) -> None:
    assert load_material("lid-sealant", folder=examples).name == "lid-sealant"
    assert load_process("lid-bead", folder=examples).name == "lid-bead"


@pytest.mark.parametrize("given", ["true", "1.0", '"1"', "2"])
def test_a_schema_that_is_not_the_whole_number_one_is_refused(
    tmp_path: Path, examples: Path, given: str
) -> None:
    path = _write(tmp_path, GOOD.replace("schema = 1", f"schema = {given}"))
    (fault,) = _refused(path, examples)

    assert (fault.field, fault.given, fault.accepted) == ("schema", given, "1")
    assert not fault.hint


def test_an_unknown_name_gets_the_nearest_ones(examples: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_material("lid-sealent", folder=examples)

    (fault,) = caught.value.faults
    assert (fault.where, fault.given) == ("MATERIAL", "lid-sealent")
    assert fault.hint == "did you mean lid-sealant?"
    assert "bearing-oil" in fault.accepted


def test_a_process_name_is_not_looked_up_among_materials(examples: Path) -> None:
    with pytest.raises(InputError):
        load_material("lid-bead", folder=examples)


@pytest.mark.parametrize(
    ("load", "name", "said"),
    [
        (load_material, "lid-bead", "lid-bead is a process; the order is MATERIAL PROCESS"),
        (load_process, "lid-sealant", "lid-sealant is a material; the order is MATERIAL PROCESS"),
    ],
)
def test_a_name_given_for_the_other_argument_is_told_as_that(
    examples: Path, load: Any, name: str, said: str
) -> None:
    with pytest.raises(InputError) as caught:
        load(name, folder=examples)

    (fault,) = caught.value.faults
    assert fault.hint == said


def test_a_file_given_for_the_other_argument_is_one_line(examples: Path) -> None:
    for load, kind, other in (
        (load_material, "processes/lid-bead.toml", "a process file"),
        (load_process, "materials/bay-potting.toml", "a material file"),
    ):
        with pytest.raises(InputError) as caught:
            load(examples / kind, folder=examples)

        (fault,) = caught.value.faults
        assert fault.given == other
        assert fault.hint == "the order is MATERIAL PROCESS"


def test_a_name_whose_file_is_there_asks_for_its_ending(
    tmp_path: Path, examples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _write(tmp_path, GOOD)
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError) as caught:
        load_material("own", folder=examples)

    (fault,) = caught.value.faults
    assert "there is a file own.toml" in fault.hint


def test_a_shipped_name_with_an_ending_is_told_as_that(examples: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_process("lid-bead.toml", folder=examples)

    (fault,) = caught.value.faults
    assert fault.given == "no such file"
    assert fault.hint == "lid-bead, without an ending, is a shipped example"


def test_an_empty_examples_folder_says_that_a_file_is_wanted(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_process("lid-bead", folder=tmp_path)

    assert caught.value.faults[0].accepted == "a file, or the name of a shipped example"
    assert material_files(tmp_path) == process_files(tmp_path) == ()


def test_a_path_is_read_as_a_file(tmp_path: Path, examples: Path) -> None:
    path = _write(tmp_path, GOOD)

    assert load_material(str(path), folder=examples).name == "own-oil"
    assert load_material(path, folder=examples).name == "own-oil"


def test_a_file_without_the_ending_is_read_when_it_is_there(
    tmp_path: Path, examples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _write(tmp_path, GOOD, "own-oil")
    monkeypatch.chdir(tmp_path)

    assert load_material("own-oil", folder=examples).title == "An oil"


def test_a_folder_with_an_examples_name_does_not_hide_the_example(
    tmp_path: Path, examples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "lid-sealant").mkdir()
    monkeypatch.chdir(tmp_path)

    assert load_material("lid-sealant", folder=examples).name == "lid-sealant"


@pytest.mark.parametrize("name", ["", "..", "x" * 5000, "\x00", "no\x1b[31mcolour", "a\nb"])
def test_an_odd_name_is_one_harmless_line(name: str, examples: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_material(name, folder=examples)

    assert str(caught.value).isprintable()


@pytest.mark.parametrize("name", ["missing.toml", "../../x.toml", "a/" * 3000, "\x00/x.toml"])
def test_a_path_that_leads_nowhere_is_one_harmless_line(name: str, examples: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_material(name, folder=examples)

    assert str(caught.value).isprintable()


def test_values_take_the_basis_of_the_file_unless_they_state_their_own(
    sealant: dict[str, Any],
) -> None:
    as_shipped = material_from(sealant, "own.toml").component
    measured = material_from(sealant | {"basis": "measured"}, "own.toml").component

    assert as_shipped is not None
    assert as_shipped.density is not None
    assert as_shipped.density.basis is Basis.DATASHEET
    assert as_shipped.flow.index is not None
    assert as_shipped.flow.index.basis is Basis.MEASURED
    assert measured is not None
    assert measured.density is not None
    assert measured.density.basis is Basis.MEASURED


def test_an_unknown_basis_is_one_fault_with_the_words_that_exist(
    sealant_faults: FaultsAfter,
) -> None:
    (fault,) = sealant_faults(lambda tables: tables.update(basis="guess"))

    assert fault.field == "basis"
    assert "datasheet" in fault.accepted


@pytest.mark.parametrize(
    ("written", "given", "says"),
    [
        ('"2,5 Pa*s"', "2,5 Pa*s", "write 2.5 Pa*s"),
        ("2.5", "2.5", "write a unit"),
        ('"2.5"', "2.5", "write a unit"),
        ('"2.5 bar"', "2.5 bar", "bar is a"),
        ('"2.5 Pa*z"', "2.5 Pa*z", "Pa*z"),
        ("nan", "nan", "write a unit"),
        ('"nan Pa*s"', "nan Pa*s", "write a number"),
        ('"inf Pa*s"', "inf Pa*s", "write a number"),
        ('"-3 Pa*s"', "-3 Pa*s", "must be above zero"),
        ('"9..2 Pa*s"', "9..2 Pa*s", "reversed"),
    ],
)
def test_a_bad_quantity_is_one_line_with_field_and_correction(
    written: str, given: str, says: str, tmp_path: Path, examples: Path
) -> None:
    path = _write(tmp_path, GOOD.replace('"2 Pa*s"', written))

    (fault,) = _refused(path, examples)

    assert fault.where == str(path)
    assert fault.field == "component.flow.viscosity"
    assert fault.given == given
    assert "a viscosity" in fault.accepted
    # An unknown unit is answered with a near one instead of being repeated.
    assert says in fault.hint or says == "Pa*z"


def test_an_unknown_key_gets_the_nearest_one(tmp_path: Path, examples: Path) -> None:
    path = _write(tmp_path, GOOD.replace("density =", "densty ="))

    (fault,) = _refused(path, examples)

    assert (fault.field, fault.hint) == ("component.densty", "did you mean density?")


def test_all_faults_of_a_file_come_in_one_go(sealant_faults: FaultsAfter) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        tables["colour"] = "grey"
        component = tables["component"]
        component["density"] = "1,4 g/cm^3"
        component["flow"]["index"] = "-0.4"
        component["filler"]["volume_fraction"] = "80 %"
        component["filler"]["d50"] = "50 um"
        component["constituents"] += [{"name": "mdi  Prepolymer", "mass_fraction": "70 %"}]

    assert {fault.field for fault in sealant_faults(spoil)} == {
        "colour",
        "component.density",
        "component.flow.index",
        "component.filler.volume_fraction",
        "component.filler.d50",
        "component.constituents[3].name",
        "component.constituents",
    }


def test_no_fault_is_said_twice(sealant_faults: FaultsAfter) -> None:
    faults = sealant_faults(lambda tables: tables["component"]["flow"].update(index="-1"))

    assert len(faults) == len(set(faults)) == 1


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe\x00bad",
        b"",
        b"schema = ",
        b"schema = 1\nschema = 1",
        b"x = " + b"[" * 5000,
        b"x" + b".a" * 50_000 + b" = 1",
        b"x = " + b"9" * 100_000,
        b'name = "\x1b[2J"',
        b'"\\u001b[31m" = 1',
        b"component = 3",
        b"component = [1, 2]",
        b"[[component]]\nflow = []",
        b"[component]\nflow = { points = [[1], 2, {}] }",
        b"trigger = 1979-05-27T07:32:00Z",
        b"schema = 1e400",
        b"basis = [1]",
        b"basis = {}",
    ],
)
def test_a_broken_file_never_escapes_as_anything_but_an_input_error(
    content: bytes, tmp_path: Path, examples: Path
) -> None:
    path = tmp_path / "own.toml"
    path.write_bytes(content)

    _refused(path, examples)
    with pytest.raises(InputError):
        load_process(path, folder=examples)


def test_a_file_of_50_megabytes_is_refused_by_its_size(tmp_path: Path, examples: Path) -> None:
    path = tmp_path / "own.toml"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)

    (fault,) = _refused(path, examples)

    assert (fault.given, fault.accepted) == ("50 MB", "a TOML file of at most 2 MB")


def test_a_folder_is_not_a_file(tmp_path: Path, examples: Path) -> None:
    (fault,) = _refused(tmp_path, examples)

    assert fault.given == "a folder"


@pytest.mark.parametrize("text", ["red \x1b[31m alarm", "two\nlines", "back\u202ewards"])
def test_control_characters_in_names_are_refused_and_shown_harmlessly(
    text: str, sealant_faults: FaultsAfter
) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        tables["title"] = text
        tables["component"]["constituents"][0]["name"] = text
        tables["component"]["filler"]["name"] = text

    faults = sealant_faults(spoil)

    assert [fault.field for fault in faults] == [
        "title",
        "component.filler.name",
        "component.constituents[1].name",
    ]
    assert all(fault.line().isprintable() for fault in faults)


def test_a_note_may_have_lines_but_no_terminal_escapes(
    sealant: dict[str, Any], sealant_faults: FaultsAfter
) -> None:
    assert material_from(sealant | {"note": "two\nlines"}, "own.toml").note == "two\nlines"

    (fault,) = sealant_faults(lambda tables: tables.update(note="\x1b]0;title\x07"))
    assert fault.field == "note"


def test_a_material_can_come_from_a_row_of_a_list(sealant: dict[str, Any]) -> None:
    sealant["component"]["density"] = "heavy"

    with pytest.raises(InputError) as caught:
        material_from(sealant, "list.csv row 7")

    assert caught.value.faults[0].where == "list.csv row 7"


def test_reading_leaves_the_tables_as_they_were(sealant: dict[str, Any]) -> None:
    before = repr(sealant)

    material_from(sealant, "own.toml")

    assert repr(sealant) == before
