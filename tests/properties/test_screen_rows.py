"""Random materials as rows of a list: the same material, or refused just as a file is."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flat_rows import csv_list, entries, entry, flat_row
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_materials import materials

from configurator.errors import InputError
from configurator.request.load import material_from
from configurator.request.material import Material

LAWS = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def from_tables(tables: dict[str, Any]) -> Material | None:
    try:
        return material_from(tables, "own.toml")
    except InputError:
        return None


@LAWS
@given(
    tables=materials(),
    separator=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_a_random_material_as_a_row_is_the_same_material(
    tables: dict[str, Any], separator: str, end: str, codec: str
) -> None:
    wanted = from_tables(tables)
    made = entry(csv_list([flat_row(tables)], separator=separator, end=end, codec=codec))

    assert made.material == wanted
    assert (made.fault == "") == (wanted is not None)


@LAWS
@given(tables=materials())
def test_a_random_material_as_json_is_the_same_material(tables: dict[str, Any]) -> None:
    wanted = from_tables(tables)

    for given_as in (tables, flat_row(tables)):
        assert entry(json.dumps(given_as).encode()).material == wanted


@settings(LAWS, max_examples=15)
@given(rows=st.lists(materials(), min_size=2, max_size=5))
def test_rows_of_a_list_do_not_touch_each_other(rows: list[dict[str, Any]]) -> None:
    made = entries(csv_list(map(flat_row, rows)))

    assert [each.material for each in made] == list(map(from_tables, rows))


def test_most_random_materials_are_good() -> None:
    good: list[bool] = []

    @settings(max_examples=60, deadline=None, database=None, derandomize=True)
    @given(tables=materials())
    def look(tables: dict[str, Any]) -> None:
        good.append(from_tables(tables) is not None)

    look()
    assert sum(good) / len(good) == pytest.approx(1.0, abs=0.3)
