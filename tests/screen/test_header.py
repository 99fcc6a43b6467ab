"""Columns of a list: the table of them, and what a header means."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Any, Union, get_args, get_origin

import pytest
from flat_rows import EXAMPLES, csv_list, entries, entry, flat_row, material_tables
from pydantic import BaseModel, TypeAdapter

from configurator.errors import InputError
from configurator.request.constituents import Share
from configurator.request.material import FlowPoint, Material
from configurator.screen.cells import read_cell
from configurator.screen.header import (
    BY_NAME,
    BY_PATH,
    COLUMNS,
    FILE,
    Column,
    Form,
    read_header,
    slip,
    warnings_on,
)
from configurator.units.quantity import Of

IN_ONE_CELL = (FlowPoint, Share)
"""Models of which a whole list stands in one cell."""

SAME_IN_EVERY_LIST = "schema"


def leaves(model: type[BaseModel], path: str = "") -> Iterator[tuple[str, Any, Any]]:
    """Every key of a material file: its path, annotation and field."""
    for name, field in model.model_fields.items():
        here = f"{path}{field.alias or name}"
        table = table_in(field.annotation)
        if table is None:
            yield here, field.annotation, field
        else:
            yield from leaves(table, f"{here}.")


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The model of a table; None for anything else, lists of models among it."""
    if get_origin(annotation) in (Union, types.UnionType):
        return next(filter(None, map(table_in, get_args(annotation))), None)
    is_model = isinstance(annotation, type) and issubclass(annotation, BaseModel)
    return annotation if is_model and annotation not in IN_ONE_CELL else None


LEAVES = {path: (annotation, field) for path, annotation, field in leaves(Material)}


def test_every_key_of_a_material_has_one_column_and_every_column_a_key() -> None:
    assert set(LEAVES) - set(BY_PATH) == {SAME_IN_EVERY_LIST}
    assert set(BY_PATH) <= set(LEAVES)
    assert len(BY_PATH) + 1 == len(BY_NAME)
    assert len({column.name for column in COLUMNS}) == len(COLUMNS)


def test_a_component_has_the_same_columns_three_times() -> None:
    plain = {path.removeprefix("component.") for path in BY_PATH if path.startswith("component.")}

    for side in ("a", "b"):
        own = {path.removeprefix(f"{side}.") for path in BY_PATH if path.startswith(f"{side}.")}
        assert own == plain
        for path in plain:
            assert BY_PATH[f"{side}.{path}"].name == f"{side}_{BY_PATH[f'component.{path}'].name}"


@pytest.mark.parametrize(
    "column",
    # A short name is made of what stands in the column `name`.
    [column for column in BY_PATH.values() if column.name != "name"],
    ids=lambda column: column.name,
)
def test_the_example_of_a_column_is_accepted_by_its_key(column: Column) -> None:
    annotation, field = LEAVES[".".join(column.path)]
    value = read_cell(column.form, column.example)
    adapter = TypeAdapter(field.rebuild_annotation())

    assert adapter.validate_python(value) is not None
    is_quantity = any(isinstance(each, Of) for each in (*field.metadata, *metadata(annotation)))
    assert is_quantity == (column.form is Form.QUANTITY)
    assert (annotation is bool) == (column.form is Form.YES)
    assert column.meaning


def metadata(annotation: Any) -> Iterator[Any]:
    for part in () if get_origin(annotation) is tuple else get_args(annotation):
        yield from getattr(part, "__metadata__", ())


def base_row(column: str) -> dict[str, str]:
    """A good row of the kind that a column belongs to."""
    two_part = column.startswith(("a_", "b_")) or BY_NAME[column].path[:1] == ("mix",)
    return flat_row(material_tables("bay-potting" if two_part else "bay-epoxy"))


@pytest.mark.parametrize("column", sorted(set(BY_NAME) - {"name", "title"}))
def test_nonsense_in_a_column_is_a_fault_of_that_column(column: str) -> None:
    row = base_row(column) | {column: "!" * 700}
    if column == FILE:
        row = {FILE: "!" * 700}

    refused = entry(csv_list([row]))

    assert refused.material is None
    assert refused.fault.startswith(column)
    assert "given '!!!!" in refused.fault


def test_a_name_becomes_a_short_name_and_stays_as_the_title() -> None:
    row = base_row("name") | {
        "name": "B\N{LATIN SMALL LETTER U WITH DIAERESIS}ndel  7, (gr\N{LATIN SMALL LETTER U WITH DIAERESIS}n)"
    }
    del row["title"]

    made = entry(csv_list([row])).material

    assert made is not None
    assert (made.name, made.title) == ("bundel-7-grun", row["name"].replace("  ", " "))


def refusal(*cells: str) -> str:
    with pytest.raises(InputError) as caught:
        read_header(cells, "own.csv", 1)
    return str(caught.value)


def test_known_columns_are_found_and_others_kept_in_order() -> None:
    header = read_header(["order", " name ", "viscosity", "shop\nremark", "", ""], "own.csv", 1)

    assert header.columns == ("order", "name", "viscosity", "shop remark")
    assert list(header.known) == ["name", "viscosity"]


def test_an_empty_column_in_between_is_called_by_its_number() -> None:
    assert read_header(["name", "", "at"], "own.csv", 1).columns == ("name", "column 2", "at")


def test_a_column_twice_is_refused() -> None:
    line = refusal("name", "at", "order", "name", "order", "name")

    assert "own.csv, line 1: header: given 'name, twice'; accepted: each column once" in line
    assert "order, twice" in line


@pytest.mark.parametrize("cells", [("Lid sealant", "20 Pa*s"), ("a",), ()])
def test_a_list_without_a_header_is_refused(cells: tuple[str, ...]) -> None:
    assert "accepted: a header that names at least one column" in refusal(*cells)


def test_a_header_of_nothing_but_slips_names_the_nearest() -> None:
    assert refusal("Nr.", "Viscosity").endswith("did you mean viscosity?")


def test_more_than_a_thousand_columns_are_refused() -> None:
    assert "given '1001 columns'" in refusal("name", *map(str, range(1000)))


@pytest.mark.parametrize(
    ("column", "near"),
    [
        ("viscosty", "viscosity"),
        ("Density", "density"),
        ("shear rate", "shear_rate"),
        ("viscosity [mPa*s]", "viscosity"),
        ("a_densty", "a_density"),
        ("d50", "filler_d50"),
        ("pot life", "pot_life"),
    ],
)
def test_a_slip_is_told_with_the_nearest_column(column: str, near: str) -> None:
    assert slip(column) == f"did you mean {near}?"


@pytest.mark.parametrize(
    "column", ["order", "date", "customer", "price", "part", "id", "code", "", "x" * 100_000]
)
def test_columns_of_the_shop_are_no_slips(column: str) -> None:
    assert slip(column) == ""


def test_no_column_is_a_slip_of_another() -> None:
    assert not any(map(slip, BY_NAME))


def test_a_slip_is_told_once_for_the_whole_list() -> None:
    lines = warnings_on(["name", "order", "densty"], "own.csv")

    assert lines == ("own.csv: column 'densty' is kept but not read; did you mean density?",)


def test_a_foreign_column_name_reaches_a_warning_escaped() -> None:
    (line,) = warnings_on(["densty\x1b[31m"], "own.csv")

    assert line.isprintable()


def test_a_slip_makes_no_fault_of_a_row() -> None:
    good = b"name,trigger,viscosity,at,densty\nglue,none,20 Pa*s,23 degC,1 g/cm^3\n"

    assert [each.fault for each in entries(good, base=EXAMPLES)] == [""]
