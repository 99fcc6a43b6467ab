"""From a row to its material, refused in the same words as a material file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError, did_you_mean
from configurator.reading import ReadFault, read_toml
from configurator.request.load import MATERIALS, material_files, material_from
from configurator.request.material import Material
from configurator.screen.cells import CellFault, read_cell
from configurator.screen.columns import BY_NAME, FILE, TABLES, TOP_KEYS, Column, ColumnOf
from configurator.screen.faults import in_columns
from configurator.screen.row import Row, place

SCHEMA = 1
"""Version of the material file that the columns follow."""

LONGEST_SHORT_NAME = 60
LONGEST_TITLE = 160
_SHORT_NAME = re.compile(r"[a-z0-9][a-z0-9.+-]*")
_OTHER = re.compile(r"[^a-z0-9.+]+")

_ONE_OR_TWO = (
    "either the columns of a one-part material (at, viscosity, ...), or those of a two-part one "
    "(a_at, a_viscosity, b_at, b_viscosity, ratio, ...)"
)


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
        try:
            if own.is_file():
                return own
        except (OSError, ValueError):
            pass  # too long for the file system, or not allowed in: no file
        names = material_files(self._examples)
        if named in names:
            return self._examples / MATERIALS / f"{named}.toml"
        accepted = "a material file, its path from the list's folder on, or a shipped example"
        raise InputError([Fault(where, FILE, named, accepted, did_you_mean(named, names))])


@lru_cache(maxsize=64)  # lists name the same few files over and over
def _loaded(path: Path, changed: int, size: int) -> Material:  # noqa: ARG001 - part of the key
    try:
        tables, _ = read_toml(path)
    except ReadFault as error:
        raise InputError([error.fault]) from None
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


def short_name(text: str) -> str:
    """Make a short name of free text; empty if it has no letter or digit that such a name takes.

    Examples
    --------
    >>> short_name("Sealant No. 7 (grey)"), short_name("\N{LATIN SMALL LETTER E WITH ACUTE}poxy")
    ('sealant-no.-7-grey', 'epoxy')
    """
    plain = unicodedata.normalize("NFKD", text[:1000])
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign)).lower()
    return _OTHER.sub("-", plain).strip("-.+")[:LONGEST_SHORT_NAME].strip("-.+")
