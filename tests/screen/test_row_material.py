"""Rows and their materials: the same as files, refused in the same words."""

from __future__ import annotations

import json
import os
import pickle
from pathlib import Path
from typing import Any

import pytest
from flat_rows import EXAMPLES, MATERIAL_FILES, csv_list, entries, entry, flat_row, material_tables

from configurator.request.load import load_material
from configurator.screen.header import Row
from configurator.screen.row_material import RowReader
from configurator.screen.sources import entry_of
from configurator.units.cell import short_name

ONE = {
    "name": "test glue",
    "trigger": "none",
    "viscosity": "20 Pa*s",
    "at": "23 degC",
}
TWO = {
    "name": "test resin",
    "trigger": "two-part",
    "a_viscosity": "4 Pa*s",
    "a_at": "23 degC",
    "b_viscosity": "2 Pa*s",
    "b_at": "23 degC",
    "ratio": "2:1",
    "ratio_by": "volume",
    "ratio_tolerance": "5 %",
    "pot_life": "40 min",
    "pot_life_at": "23 degC",
    "pot_life_definition": "gel time",
}


def fault(row: dict[str, str], **changes: str) -> str:
    refused = entry(csv_list([row | changes]))

    assert refused.material is None
    assert refused.fault.isprintable()
    return refused.fault


@pytest.mark.parametrize("path", MATERIAL_FILES, ids=lambda path: path.stem)
def test_a_shipped_example_as_a_row_is_the_same_material(path: Path) -> None:
    tables = material_tables(path.stem)
    wanted = load_material(path.stem, folder=EXAMPLES)

    assert entry(csv_list([flat_row(tables)])).material == wanted
    for as_json in (tables, flat_row(tables)):
        assert entry(json.dumps(as_json).encode()).material == wanted


def test_all_shipped_examples_fit_into_one_list() -> None:
    rows = [flat_row(material_tables(path.stem)) for path in MATERIAL_FILES]

    made = entries(csv_list(rows, separator=";", end="\r\n", codec="utf-16"))

    assert [each.material for each in made] == [
        load_material(path.stem, folder=EXAMPLES) for path in MATERIAL_FILES
    ]


def test_the_shortest_rows_are_materials() -> None:
    for row in (ONE, TWO):
        assert entry(csv_list([row])).fault == ""


def test_a_row_without_a_name_is_called_by_its_number() -> None:
    second = entries(csv_list([ONE, {key: ONE[key] for key in ONE if key != "name"}]))[1]

    assert second.material is not None
    assert (second.material.name, second.material.title) == ("row-2", "Row 2")


def test_a_title_alone_gives_the_name() -> None:
    made = entry(csv_list([ONE | {"name": "", "title": "Grey glue"}])).material

    assert made is not None
    assert (made.name, made.title) == ("grey-glue", "Grey glue")


def test_a_name_without_a_usable_letter_is_kept_as_the_title_only() -> None:
    greek = "\N{GREEK SMALL LETTER ALPHA}\N{GREEK SMALL LETTER BETA}"
    made = entry(csv_list([ONE | {"name": greek}])).material

    assert made is not None
    assert (made.name, made.title) == ("row-1", greek)


def test_a_long_name_is_cut_to_a_title_that_says_so() -> None:
    made = entry(csv_list([ONE | {"name": "glue " * 60}])).material

    assert made is not None
    assert made.title.endswith("...")
    assert len(made.title) == 160
    assert len(made.name) <= 60


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Glue No. 7", "glue-no.-7"),
        ("a" * 90, "a" * 60),
        ("--+x", "x"),
        ("???", ""),
        ("4+1", "4+1"),
    ],
)
def test_a_short_name_is_made_of_free_text(text: str, wanted: str) -> None:
    assert short_name(text) == wanted


def test_a_fault_names_list_line_column_what_was_given_and_what_is_accepted() -> None:
    assert fault(ONE, viscosity="20").startswith(
        "viscosity: given '20'; accepted: a viscosity with its unit, for example "
        '"20 Pa*s", above zero and at most 1e+07 Pa*s; write a unit'
    )


def test_a_fault_names_the_nearest_word() -> None:
    assert "trigger: given 'moistur'" in fault(ONE, trigger="moistur")
    assert fault(ONE, trigger="anerobic").endswith("did you mean anaerobic?")


def test_all_faults_of_a_row_stand_in_one_line_in_the_order_of_the_columns() -> None:
    line = fault(ONE, viscosity="3,5 Pa*s", at="hot", trigger="?")

    trigger, viscosity, at = line.split(" | ")
    assert trigger.startswith("trigger: ")
    assert viscosity.startswith("viscosity: given '3,5 Pa*s'")
    assert viscosity.endswith("write 3.5 Pa*s")
    assert at.startswith("at: given 'hot'")


def test_very_many_faults_are_counted() -> None:
    line = fault(dict.fromkeys(TWO, "?"))

    assert line.endswith(" more")
    assert len(line) < 5000


def test_what_a_two_part_row_lacks_is_named_column_by_column() -> None:
    line = fault({"name": "half", "trigger": "two-part", "a_viscosity": "2 Pa*s"})

    assert "a_at: given 'nothing'" in line
    assert "b_at: given 'nothing'" in line
    assert "ratio: given 'nothing'" in line


def test_a_filler_without_a_name_asks_for_the_column_filler() -> None:
    assert "filler: given 'nothing'; accepted: required" in fault(ONE, filler_d99="30 um")


def test_a_model_names_the_columns_that_it_needs() -> None:
    assert "model: given 'power law'; accepted: a power law flow needs consistency, index" in fault(
        ONE, model="power law"
    )
    assert (
        "a_model: given 'power law'; accepted: a power law flow needs a_consistency, a_index"
        in fault(TWO, a_model="power law")
    )
    assert "a newtonian flow takes no b_consistency" in fault(TWO, b_consistency="2 Pa*s^n")


def test_a_remark_names_columns_and_no_keys() -> None:
    line = fault(TWO, b_filler="glass", b_filler_crush_pressure="20 bar")

    assert "b_filler_crush_pressure: given '20 bar'; accepted: only with b_filler_hollow" in line


def test_an_entry_of_a_cell_is_named_by_its_number() -> None:
    assert "constituents[2].mass_fraction: given '500 %'" in fault(
        ONE, constituents="water 5 %; xylene 500 %"
    )


def test_a_row_of_both_kinds_is_refused() -> None:
    line = fault(TWO, viscosity="3 Pa*s")

    assert "row: given 'both viscosity and a_viscosity'" in line


def test_a_row_without_any_flow_is_refused() -> None:
    assert "row: given 'no flow'" in fault({"name": "x", "trigger": "none"})


def test_the_trigger_has_to_go_with_the_kind() -> None:
    assert "trigger: given 'two-part'; accepted: trigger two-part needs columns a_..., b_..." in (
        fault(ONE, trigger="two-part")
    )
    assert "trigger: given 'heat'" in fault(TWO, trigger="heat")


def test_a_cell_that_cannot_be_read_is_told_once() -> None:
    line = fault(TWO, ratio="2 to 1")

    assert line.count("ratio: ") == 1
    assert "accepted: parts of A to parts of B" in line


def test_a_ratio_that_became_a_time_of_day_is_recognised() -> None:
    assert "a spreadsheet may have made a time of it" in fault(TWO, ratio="10:01:00")


def test_input_columns_are_kept_and_ignored() -> None:
    row = {"order": " 17 ", **ONE, "remark of the shop": "=1+1"}
    made = entry(csv_list([row]))

    assert made.material is not None
    assert dict(made.cells) == row
    assert list(made.cells) == list(row)


def test_a_basis_of_the_row_holds_for_its_values() -> None:
    made = entry(csv_list([ONE | {"basis": "measured", "density": "1 g/cm^3 (estimated)"}]))

    assert made.material is not None
    assert made.material.component is not None
    assert made.material.component.flow.at.basis == "measured"
    assert made.material.component.density is not None
    assert made.material.component.density.basis == "estimated"


def test_a_row_may_name_a_shipped_example_or_a_file_beside_the_list(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    text = (EXAMPLES / "materials" / "bay-epoxy.toml").read_text("utf-8")
    (tmp_path / "own" / "mine.toml").write_text(text.replace('"bay-epoxy"', '"mine"'), "utf-8")
    rows = [{"file": "lid-sealant"}, {"file": "own/mine.toml"}, {"file": "./own/mine.toml"}]

    made = entries(csv_list(rows), base=tmp_path)

    assert [each.material.name for each in made if each.material] == ["lid-sealant", "mine", "mine"]


def test_a_file_beside_the_list_comes_before_an_example_of_that_name(tmp_path: Path) -> None:
    text = (EXAMPLES / "materials" / "bay-epoxy.toml").read_text("utf-8")
    (tmp_path / "lid-sealant").write_text(text, "utf-8")

    made = entry(csv_list([{"file": "lid-sealant"}]), base=tmp_path).material

    assert made is not None
    assert made.name == "bay-epoxy"


def test_a_file_that_changes_is_read_anew(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    text = (EXAMPLES / "materials" / "bay-epoxy.toml").read_text("utf-8")
    names = []
    for at, name in enumerate(("first", "again")):
        path.write_text(text.replace('"bay-epoxy"', f'"{name}"'), "utf-8")
        os.utime(path, (at, at))
        made = entry(csv_list([{"file": "m.toml"}]), base=tmp_path).material
        assert made is not None
        names.append(made.name)

    assert names == ["first", "again"]


def test_beside_a_file_no_other_column_of_a_material_is_filled() -> None:
    line = fault({"order": "3", "file": "lid-sealant", "viscosity": "3 Pa*s", "at": ""})

    assert "viscosity: given '3 Pa*s'; accepted: nothing in the other columns" in line
    assert "order" not in line


@pytest.mark.parametrize("named", ["lid-sealent", "no/such.toml", "..", "x" * 5000, "a\tb"])
def test_a_file_that_is_not_there_is_refused(named: str, tmp_path: Path) -> None:
    refused = entry(csv_list([{"file": named}]), base=tmp_path)

    assert refused.fault.startswith("file: given '")
    if named == "lid-sealent":
        assert refused.fault.endswith("did you mean lid-sealant?")


def test_the_faults_of_a_file_say_that_they_are_its_own(tmp_path: Path) -> None:
    text = (EXAMPLES / "materials" / "bay-epoxy.toml").read_text("utf-8")
    (tmp_path / "m.toml").write_text(text.replace('"6 Pa*s', '"6'), "utf-8")
    (tmp_path / "n.toml").write_text("= = =", "utf-8")

    first, second = entries(csv_list([{"file": "m.toml"}, {"file": "n.toml"}]), base=tmp_path)

    assert "file: component.flow.viscosity: given '6 +/- 15 %'" in first.fault
    assert "file: file: given" in second.fault
    assert "accepted: valid TOML" in second.fault


def test_rows_and_their_reader_can_be_sent_to_another_process() -> None:
    values: dict[str, Any] = dict(ONE)
    row, reader = pickle.loads(
        pickle.dumps((Row(1, 2, ONE, values), RowReader("own.csv", EXAMPLES, EXAMPLES)))
    )
    made = entry_of(row, reader)

    assert pickle.loads(pickle.dumps(made)) == made
    assert made.material is not None


def test_a_yes_is_quoted_as_it_was_written() -> None:
    assert "complete: given 'Yes'; accepted: false, or" in fault(
        ONE, complete="Yes", constituents="water 50 %"
    )


def test_columns_of_the_shop_may_be_called_like_tables_of_a_file() -> None:
    own = {"a": "x", "b": "y", "mix": "z", "component": "lid", "schema": "7"}

    assert entry(csv_list([ONE | own])).fault == ""
    assert entry(csv_list([own | {"file": "lid-sealant"}])).fault == ""


@pytest.mark.parametrize("name", [[], 0, False, {}])
def test_a_name_that_is_no_text_is_refused(name: object) -> None:
    refused = entry(json.dumps({**ONE, "name": name}).encode())

    assert "name: given" in refused.fault
