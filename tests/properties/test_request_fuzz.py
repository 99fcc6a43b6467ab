"""Shipped files with something broken in them: only an InputError ever escapes."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from configurator.errors import InputError
from configurator.request.intake import fill_gaps, flow_bounds
from configurator.request.load import (
    load_material,
    load_process,
    material_from,
    process_from,
)

EXAMPLES = Path(__file__).parents[2] / "catalogs" / "examples"
MATERIAL_FILES = sorted((EXAMPLES / "materials").glob("*.toml"))
PROCESS_FILES = sorted((EXAMPLES / "processes").glob("*.toml"))
MATERIAL_TABLES = [tomli.loads(path.read_text("utf-8")) for path in MATERIAL_FILES]
PROCESS_TABLES = [tomli.loads(path.read_text("utf-8")) for path in PROCESS_FILES]

SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=40)
    | st.dates()
    | st.sampled_from(
        [
            "3,5 mL/min",
            "20 degC +/- 5 %",
            "1e400 Pa",
            "0 Pa*s",
            "-1 %",
            "200 %",
            "1..0 mm",
            "9" * 300,
            "5 \x1b[31mPa",
            "estimated",
            "points",
            "carreau",
            "two-part",
            "moisture",
            "0.5",
            "1 Pa*s",
            "10 1/s",
            "50 um",
            "23 degC",
        ]
    )
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(max_size=12) | st.sampled_from(["value", "basis"]), inner, max_size=4
        )
    ),
    max_leaves=8,
)


def _places(value: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key)
            yield from _places(inner, (*path, key))
    elif isinstance(value, list):
        for place, inner in enumerate(value):
            yield (*path, place)
            yield from _places(inner, (*path, place))


@st.composite
def _mutated(draw: st.DrawFn, files: list[dict[str, Any]]) -> dict[str, Any]:
    """One to four keys replaced, removed, renamed or taken from another file."""
    tables: dict[str, Any] = copy.deepcopy(draw(st.sampled_from(files)))
    for _ in range(draw(st.integers(1, 4))):
        places = list(_places(tables))
        if not places:
            break
        *path, last = draw(st.sampled_from(places))
        holder: Any = tables
        for key in path:
            holder = holder[key]
        match draw(st.sampled_from(["replace", "remove", "rename", "swap"])):
            case "replace":
                holder[last] = draw(VALUES)
            case "remove":
                del holder[last]
            case "rename":
                if isinstance(holder, dict):
                    holder[draw(st.text(max_size=30))] = holder.pop(last)
            case "swap":
                other = draw(st.sampled_from(files))
                holder[last] = copy.deepcopy(draw(st.sampled_from([*other.values()])))
    return tables


def _only_clear_lines(error: InputError) -> None:
    assert error.faults
    assert len(set(error.faults)) == len(error.faults)
    for fault in error.faults:
        assert fault.line().isprintable()
        assert fault.field
        assert fault.accepted


@settings(max_examples=300, deadline=None)
@given(tables=_mutated(MATERIAL_TABLES))
def test_a_mutated_material_is_refused_in_clear_lines_or_can_be_filled_and_bounded(
    tables: dict[str, Any],
) -> None:
    try:
        material = material_from(tables, "own.toml")
    except InputError as error:
        _only_clear_lines(error)
        return
    for _, component in fill_gaps(material).material.components:
        bounds = flow_bounds(component.flow)
        for curve in (bounds.thin, bounds.nominal, bounds.thick):
            assert all(value >= 0.0 for value in curve.values.values())
            assert all(stress > 0.0 for stress in curve.stresses)
            assert sorted(set(curve.stresses)) == list(curve.stresses)


@settings(max_examples=200, deadline=None)
@given(tables=_mutated(PROCESS_TABLES))
def test_a_mutated_process_is_refused_in_clear_lines_or_made(tables: dict[str, Any]) -> None:
    try:
        process_from(tables, "own.toml")
    except InputError as error:
        _only_clear_lines(error)


@settings(
    max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    path=st.sampled_from([*MATERIAL_FILES, *PROCESS_FILES]),
    place=st.floats(0.0, 1.0),
    length=st.integers(0, 40),
    junk=st.binary(max_size=40),
)
def test_bytes_cut_or_overwritten_anywhere_are_refused_in_clear_lines_or_read(
    path: Path, place: float, length: int, junk: bytes, tmp_path: Path
) -> None:
    raw = path.read_bytes()
    start = round(place * len(raw))
    own = tmp_path / "own.toml"
    own.write_bytes(raw[:start] + junk + raw[start + length :])
    for load in (load_material, load_process):
        try:
            load(own, folder=EXAMPLES)
        except InputError as error:
            _only_clear_lines(error)


@given(tables=VALUES)
def test_anything_at_all_in_place_of_a_table_is_refused(tables: object) -> None:
    for spoiled in ({"component": tables}, {"a": tables, "mix": tables}, {"deposit": tables}):
        with pytest.raises(InputError):
            material_from(spoiled, "row 1")
        with pytest.raises(InputError):
            process_from(spoiled, "row 1")
