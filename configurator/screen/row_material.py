"""From a row to its material, refused in the words of the list: columns in place of keys."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError, described, did_you_mean, shown
from configurator.reading import is_file, read_toml
from configurator.request.load import MATERIALS, material_files, material_from
from configurator.request.material import Material
from configurator.screen.cells import read_cell
from configurator.screen.header import (
    BY_NAME,
    BY_PATH,
    FILE,
    SIDES,
    TABLES,
    TOP_KEYS,
    Column,
    ColumnOf,
    Form,
    Row,
    place,
)
from configurator.units.cell import LONGEST_SHORT_NAME, CellFault, short_name

MOST_TOLD = 5
"""Faults of one row that are told in full; the others are counted."""

_HEADS = {
    "file": "trigger",  # what the whole file is at odds with
    "mix": "ratio",
    "mix.pot_life": "pot_life",
    **{table: f"{front}at" for front, table in SIDES},
    **{f"{table}.flow": f"{front}model" for front, table in SIDES},
    **{f"{table}.flow.warm": f"{front}warm_viscosity" for front, table in SIDES},
    **{f"{table}.filler": f"{front}filler" for front, table in SIDES},
}
"""The column that stands for a whole table."""

_TABLE_NAMES = {
    "[component]": "the columns of a one-part material",
    "[a], [b] and [mix]": "columns a_..., b_... and ratio",
    "[a], [b] or [mix]": "column a_..., b_... or ratio",
    "[a] and [b]": "columns a_... and b_...",
}
_END = re.compile(r"[.\[][^.\[]*$")
_LIST_OF_KEYS = re.compile(r"(needs|takes no) ([a-z_]+(?:, [a-z_]+)*)$")

SCHEMA = 1
"""Version of the material file that the columns follow."""

LONGEST_TITLE = 160

_SHORT_NAME = re.compile(r"[a-z0-9][a-z0-9.+-]*")

_ONE_OR_TWO = (
    "either the columns of a one-part material (at, viscosity, ...), or those of a two-part one "
    "(a_at, a_viscosity, b_at, b_viscosity, ratio, ...)"
)


def in_columns(faults: Iterable[Fault], values: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield faults of a row's material with columns in place of keys, by its filled cells."""
    for fault in faults:
        column, rest = column_of(fault.field)
        if column == "title" and column not in values:
            column = "name"
        given = fault.given
        if fault.field in _HEADS or (column in BY_NAME and BY_NAME[column].form is Form.YES):
            given = described(values.get(column))
        accepted = _with_columns(fault.accepted, fault.field)
        yield replace(fault, field=column + rest, given=given, accepted=accepted)


def column_of(path: str) -> tuple[str, str]:
    """Return the column for a path in a material file, and what is left of the path.

    Examples
    --------
    >>> column_of("a.flow.points[2].rate"), column_of("component.filler.d50")
    (('a_points', '[2].rate'), ('filler_d50', ''))
    """
    here = path
    while here:
        if here in BY_PATH:
            return BY_PATH[here].name, path[len(here) :]
        if here in _HEADS:
            return _HEADS[here], path[len(here) :]
        shorter = _END.sub("", here)
        here = "" if shorter == here else shorter
    return path, ""


def _with_columns(text: str, path: str) -> str:
    """A sentence with the columns of a table in place of its keys."""
    for tables, words in _TABLE_NAMES.items():
        text = text.replace(tables, words)
    keys = _columns_beside(path)
    if not keys:
        return text
    text = _LIST_OF_KEYS.sub(
        lambda found: f"{found[1]} {', '.join(keys.get(key, key) for key in found[2].split(', '))}",
        text,
    )
    # Only words that are nothing but a key: "viscosity" also stands in plain sentences.
    return re.sub(
        r"\b(?:[a-z]+_[a-z_]+|d[0-9]+|hollow)\b", lambda found: keys.get(found[0], found[0]), text
    )


@cache
def _columns_beside(path: str) -> dict[str, str]:
    """Columns by the keys of the table that a path is in."""
    table = ".".join(path.split(".")[:2])
    found = {}
    for known, column in BY_PATH.items():
        front, _, key = known.rpartition(".")
        if front == table and key != column.name:
            found[key] = column.name
    return found


def as_line(faults: Iterable[Fault]) -> str:
    """Join the faults of a row in one printable line, without their place.

    Results have columns for row and line: a list under another name, or with a row put in above,
    leaves what is said of a row as it was.
    """
    every = list(faults)
    told = every[:MOST_TOLD]
    lines = [each.line().removeprefix(f"{shown(each.where, 200)}: ") for each in told]
    more = [f"and {len(every) - MOST_TOLD} more"] if len(every) > MOST_TOLD else []
    return " | ".join([*lines, *more])


class RowReader:
    """Makes materials of rows; holds no open file, so that it can be sent to another process.

    Parameters
    ----------
    name : str
        The list as people named it.
    base : Path
        Folder that paths in the column `file` start from: that of the list.
    examples : Path
        Folder of the shipped examples, with `materials` in it.
    """

    def __init__(self, name: str, base: Path, examples: Path) -> None:
        self._name = name
        self._base = base
        self._examples = examples

    def material(self, row: Row) -> Material:
        """Return the material of a row.

        Raises
        ------
        InputError
            With every fault of the row, each with list, line and column.
        """
        if row.fault is not None:
            raise InputError([row.fault])
        where = place(self._name, row.line)
        values = {key: value for key, value in row.values.items() if _filled(value)}
        if FILE in values:
            return self._from_file(values, where)
        if any(_is_table(key, values[key]) for key in TABLES if key in values):
            return material_from(_nested(values, row.number, where), where)
        tables, faults = _tables(values, where)
        _set_name(tables, row.number)
        if not any(table in tables for table in TABLES):
            faults.append(Fault(where, "row", "no flow", f"{_ONE_OR_TWO}, or a {FILE}"))
            raise InputError(faults)
        if "component" in tables and len(tables.keys() & set(TABLES)) > 1:
            faults.append(Fault(where, "row", _of_both(values), _ONE_OR_TWO))
            raise InputError(faults)
        try:
            material = material_from(tables, where)
        except InputError as error:
            found = in_columns(error.faults, values)
            named = {fault.field for fault in faults}
            faults += (each for each in found if each.field.partition("[")[0] not in named)
            order = {column: at for at, column in enumerate(values)}
            faults.sort(key=lambda each: order.get(each.field.partition("[")[0], len(order)))
        else:
            if not faults:
                return material
        raise InputError(faults)

    def _from_file(self, values: Mapping[str, Any], where: str) -> Material:
        named = values[FILE]
        filled = [
            key
            for key, value in values.items()
            if key != FILE and (key in BY_NAME or _is_table(key, value))
        ]
        if filled:
            accepted = f"nothing in the other columns of a material beside {FILE}"
            raise InputError([Fault(where, key, str(values[key]), accepted) for key in filled])
        if not isinstance(named, str):
            raise InputError([Fault(where, FILE, str(named), "a path or a name as text")])
        path = self._find(named.strip(), where)
        try:
            status = path.stat()
            return _loaded(path.absolute(), status.st_mtime_ns, status.st_size)
        except OSError as error:
            reason = f"{named}: {error.strerror or 'cannot be read'}"
            raise InputError([Fault(where, FILE, reason, "a material file")]) from None
        except InputError as error:
            raise InputError(
                Fault(where, f"{FILE}: {each.field}", each.given, each.accepted, each.hint)
                for each in error.faults
            ) from None

    def _find(self, named: str, where: str) -> Path:
        own = self._base / named
        if is_file(own):
            return own
        names = material_files(self._examples)
        if named in names:
            return self._examples / MATERIALS / f"{named}.toml"
        accepted = "a material file, its path from the list's folder on, or a shipped example"
        raise InputError([Fault(where, FILE, named, accepted, did_you_mean(named, names))])


@lru_cache(maxsize=64)  # lists name the same few files over and over
def _loaded(path: Path, changed: int, size: int) -> Material:  # noqa: ARG001 - part of the key
    tables, _ = read_toml(path)
    return material_from(tables, str(path))


def _filled(value: object) -> bool:
    return bool(value.strip()) if isinstance(value, str) else value is not None


def _is_table(key: str, value: object) -> bool:
    """Whether a key of JSON means what it does in a material file; a text is a shop's own column."""
    return key in TOP_KEYS and not isinstance(value, str)


def _nested(values: Mapping[str, Any], number: int, where: str) -> dict[str, Any]:
    """The tables of an object that is laid out as a material file."""
    flat = [key for key in values if key in BY_NAME and BY_NAME[key].part is not ColumnOf.MATERIAL]
    if flat:
        accepted = "columns or tables in one row, not both"
        raise InputError([Fault(where, key, str(values[key]), accepted) for key in flat])
    tables = {
        key: value
        for key, value in values.items()
        if _is_table(key, value) or (key in BY_NAME and key != FILE)
    }
    _set_name(tables, number)
    return tables


def _tables(values: Mapping[str, Any], where: str) -> tuple[dict[str, Any], list[Fault]]:
    """Tables as a material file would hold them, and the cells that cannot be read."""
    tables: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, value in values.items():
        if name == "schema" and _is_table(name, value):
            tables[name] = value
        column = BY_NAME.get(name)
        if column is None:
            continue
        here = _table_of(column, tables)
        try:
            here[column.path[-1]] = (
                read_cell(column.form, value.strip()) if isinstance(value, str) else value
            )
        except CellFault as fault:
            faults.append(Fault(where, name, fault.given, fault.accepted, fault.hint))
    if any(table in tables for table in ("a", "b", "mix")):
        # What a two-part material lacks is then named column by column.
        for side in ("a", "b"):
            tables.setdefault(side, {}).setdefault("flow", {})
        tables.setdefault("mix", {}).setdefault("pot_life", {})
    elif "component" in tables:
        tables["component"].setdefault("flow", {})
    return tables, faults


def _table_of(column: Column, tables: dict[str, Any]) -> dict[str, Any]:
    here = tables
    for key in column.path[:-1]:
        here = here.setdefault(key, {})
    return here


def _of_both(values: Iterable[str]) -> str:
    """One column of each kind, to show which two do not go together."""
    columns = [BY_NAME[name] for name in values if name in BY_NAME]
    one = next(each.name for each in columns if each.path[0] == "component")
    two = next(each.name for each in columns if each.path[0] in ("a", "b", "mix"))
    return f"both {one} and {two}"


def _set_name(tables: dict[str, Any], number: int) -> None:
    """Give every material a short name, a title and a version: free text is kept as the title."""
    tables.setdefault("schema", SCHEMA)
    for key in ("name", "title"):
        if isinstance(text := tables.get(key), str):
            tables[key] = " ".join(text.split())
    name, title = tables.get("name", ""), tables.get("title", "")
    if not isinstance(name, str) or not isinstance(title, str):
        return
    if not title:
        cut = len(name) > LONGEST_TITLE
        tables["title"] = f"{name[: LONGEST_TITLE - 3]}..." if cut else name or f"Row {number}"
    if not (len(name) <= LONGEST_SHORT_NAME and _SHORT_NAME.fullmatch(name)):
        tables["name"] = short_name(name or title) or f"row-{number}"
