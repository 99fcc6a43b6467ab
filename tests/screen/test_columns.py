"""The columns of a list are the keys of a material file, each once and each read."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Any, Union, get_args, get_origin

import pytest
from flat_rows import csv_list, entry, flat_row, material_tables
from pydantic import BaseModel, TypeAdapter

from configurator.request.material import FlowPoint, Material, Share
from configurator.screen.cells import read_cell
from configurator.screen.columns import BY_NAME, BY_PATH, COLUMNS, FILE, Column, Form
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
    assert f", line 2: {column}" in refused.fault
    assert "given '!!!!" in refused.fault


def test_a_name_becomes_a_short_name_and_stays_as_the_title() -> None:
    row = base_row("name") | {
        "name": "B\N{LATIN SMALL LETTER U WITH DIAERESIS}ndel  7, (gr\N{LATIN SMALL LETTER U WITH DIAERESIS}n)"
    }
    del row["title"]

    made = entry(csv_list([row])).material

    assert made is not None
    assert (made.name, made.title) == ("bundel-7-grun", row["name"].replace("  ", " "))
