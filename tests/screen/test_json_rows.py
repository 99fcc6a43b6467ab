"""JSON Lines: flat as a header or nested as a file, columns known from the first line."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
from flat_rows import EXAMPLES, entries, entry, material_tables

from configurator.errors import InputError
from configurator.screen.sources import MaterialList, read_list

FLAT = {"order": 7, "name": "glue", "trigger": "none", "viscosity": "20 Pa*s", "at": "23 degC"}
NESTED = {
    "order": 7,
    "name": "glue",
    "trigger": "none",
    "component": {"flow": {"viscosity": "20 Pa*s", "at": "23 degC"}},
}


def as_lines(*values: Any) -> bytes:
    return "".join(json.dumps(value, ensure_ascii=False) + "\n" for value in values).encode()


def opened(data: bytes) -> MaterialList:
    return read_list(io.BytesIO(data), "own.jsonl", base=EXAMPLES, folder=EXAMPLES)


def refusal(data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        opened(data)
    (line,) = str(caught.value).splitlines()
    return line


def test_flat_and_nested_objects_give_the_same_material() -> None:
    flat, nested = entries(as_lines(FLAT, NESTED))

    assert flat.material == nested.material
    assert flat.material is not None


def test_a_cell_of_json_may_be_text_or_what_a_file_would_hold() -> None:
    given = FLAT | {
        "model": "power law",
        "index": 0.5,
        "consistency": {"value": "20 Pa*s^n", "basis": "measured"},
        "viscosity": None,
        "complete": True,
        "thixotropic": "yes",
        "density": "",
        "sensitive_to": ["shear"],
        "constituents": [{"name": "polyamide 66", "mass_fraction": "5 %"}, {"name": "water"}],
    }
    made = entry(as_lines(given)).material

    assert made is not None
    assert made.component is not None
    assert made.component.flow.index is not None
    assert made.component.flow.index.nominal == 0.5
    assert made.component.flow.thixotropic
    assert [share.name for share in made.component.constituents] == ["polyamide 66", "water"]


def test_the_columns_are_the_keys_of_the_first_object_and_one_for_the_rest() -> None:
    materials = opened(as_lines(FLAT, FLAT | {"shop": "grey", "density": "1 g/cm^3"}, {"order": 8}))

    assert materials.columns == (*FLAT, "...")
    first, second, third = materials
    assert first.cells == {**{key: str(value) for key, value in FLAT.items()}, "...": ""}
    assert json.loads(second.cells["..."]) == {"shop": "grey", "density": "1 g/cm^3"}
    assert second.material is not None
    assert second.material.component is not None
    assert second.material.component.density is not None
    assert third.cells == {**dict.fromkeys(FLAT, ""), "order": "8", "...": ""}
    assert third.fault


def test_what_is_no_text_stands_in_its_cell_as_json() -> None:
    assert json.loads(entry(as_lines(NESTED)).cells["component"]) == NESTED["component"]


def test_a_slip_in_a_later_object_is_told_once() -> None:
    late = FLAT | {"densty": "1 g/cm^3"}
    materials = opened(as_lines(FLAT, late, late))

    assert materials.warnings == ()
    assert [each.fault for each in materials] == ["", "", ""]
    assert materials.warnings == (
        "own.jsonl: column 'densty' is kept but not read; did you mean density?",
    )


def test_a_nested_object_is_refused_with_the_path_of_the_file() -> None:
    spoiled = json.loads(json.dumps(NESTED))
    spoiled["component"]["flow"]["viscosty"] = spoiled["component"]["flow"].pop("viscosity")

    line = entry(as_lines(spoiled)).fault

    assert "component.flow.viscosty: given 'viscosty'" in line
    assert "did you mean viscosity" in line


def test_columns_beside_tables_are_refused() -> None:
    assert "viscosity: given '3 Pa*s'; accepted: columns or tables in one row, not both" in (
        entry(as_lines(NESTED | {"viscosity": "3 Pa*s"})).fault
    )


def test_a_version_that_is_not_known_is_refused_in_either_form() -> None:
    for given in (FLAT, NESTED):
        assert entry(as_lines(given | {"schema": 1})).fault == ""
        assert "schema: given '2'" in entry(as_lines(given | {"schema": 2})).fault


def test_an_object_may_name_a_file() -> None:
    made = entries(as_lines({"file": "lid-sealant"}, {"file": 5}, {"file": "x", "schema": 1}))

    assert made[0].material is not None
    assert "accepted: a path or a name as text" in made[1].fault
    assert "schema: given '1'; accepted: nothing in the other columns" in made[2].fault


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{", "Expecting property name"),
        ("[1, 2]", "given 'a list of 2'"),
        ("null", "given 'nothing'"),
        ('"text"', "given 'text'"),
        ('{"name": NaN}', "given 'NaN'; accepted: finite numbers"),
        ('{"name": 1, "name": 2}', "given 'name, twice'; accepted: each key once"),
        ('{"name": "\\ud800"}', "name: given 'a NUL or half of a character pair'"),
        ('{"name": "\\u0000"}', "name: given 'a NUL or half of a character pair'"),
        ('{"x": {"y": ["\\ud800"]}}', "...: given 'a NUL or half of a character pair'"),
        ('{"name": ' + "9" * 5000 + "}", "Exceeds the limit"),
        ('{"name": "' + "x" * 65_537 + '"}', "name: given '65537 characters'"),
        ('{"name": ' + "[" * 900 + "]" * 900 + "}", "brackets nested 901 deep"),
        ('{"name": "' + "[" * 900 + '"}', "brackets nested 901 deep"),
        ("{" + ",".join(f'"{at}": 1' for at in range(1001)) + "}", "given '1001 keys'"),
        ('{"a": "' + "x" * 1_100_000 + '"}', "a line of more than 1 MiB"),
        ('{"trigger": 1e999, "viscosity": 1e999, "at": []}', "trigger: given 'inf'"),
    ],
)
def test_a_line_that_is_no_row_is_a_fault_and_the_rest_goes_on(line: str, said: str) -> None:
    first, broken, last = entries(as_lines(FLAT) + line.encode() + b"\n\n" + as_lines(FLAT))

    assert said in broken.fault
    assert broken.fault.isprintable()
    assert "own.csv" not in broken.fault
    assert broken.line == 2
    assert first.material == last.material
    assert (last.number, last.line) == (3, 4)
    for cell in broken.cells.values():
        assert cell.encode("utf-8") is not None


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"{", "line 1: row: given '{"),
        (b"\n\n{]", "line 3: row"),
        (b"{}", "a header that names at least one column"),
        (b'{"Viscosity": 1}', "did you mean viscosity?"),
        (b'{"name": 1, "...": 2}', "the key ..."),
        (b'{"name": 1, "\\ud800": 2}', "half of a character pair"),
    ],
)
def test_a_first_line_that_gives_no_columns_is_refused(data: bytes, said: str) -> None:
    assert said in refusal(data)


def test_a_list_is_json_if_its_first_sign_is_a_brace() -> None:
    assert opened(b"\xef\xbb\xbf\r\n \r\n  " + as_lines(FLAT)).columns == (*FLAT, "...")


def test_every_shipped_two_part_example_reads_nested() -> None:
    names = ("bay-potting", "gap-filler", "hull-paste")
    made = entries(as_lines(*map(material_tables, names)))

    assert [each.material.name for each in made if each.material] == list(names)
