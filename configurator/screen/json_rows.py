"""Rows of a JSON Lines file: an object a line, flat as a header or nested as a material file.

The keys of the first object are the columns. What later objects hold beside them comes as JSON
text in one last column, `...`, so that the columns are known before the second line is read and
nothing is lost. Every key is read, wherever it stands.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

from configurator.errors import Fault, InputError, described, shown
from configurator.reading import MAX_DEPTH, deepest_bracket
from configurator.screen.header import (
    LONGEST_SLIP,
    MAX_CELL,
    MAX_COLUMNS,
    MAX_LINE,
    TABLES,
    Header,
    Row,
    header_of,
    place,
    warnings_on,
)
from configurator.screen.lines import Lines, ListLine

REST = "..."
"""The column of what the first object had no key for."""

MOST_WARNED = 100

_HALF = re.compile("[\ud800-\udfff]")

_OBJECT = 'an object in one line, such as {"name": "glue", "viscosity": "20 Pa*s"}'


class _JsonFault(ValueError):
    """A line is no object that can be read; carries what was given and what is accepted."""

    def __init__(self, given: str, accepted: str) -> None:
        self.given = given
        self.accepted = accepted
        super().__init__(given, accepted)


class JsonRows(Iterator[Row]):
    """The rows of a JSON Lines file.

    Raises
    ------
    InputError
        If the first line is no object that names a column or a table of a material.
    """

    def __init__(self, lines: Lines, name: str) -> None:
        self._lines = lines
        self._name = name
        self._number = 0
        self._warned: set[str] = set()
        self.late_warnings: list[str] = []
        self.header = self._read_first()

    def __next__(self) -> Row:
        line = next(self._lines)
        while not (line.text.strip() or line.too_long):
            line = next(self._lines)
        self._number += 1
        where = place(self._name, line.number)
        try:
            values = _object(line)
        except _JsonFault as fault:
            cells = dict.fromkeys(self.header.columns, "")
            refused = Fault(where, "row", fault.given, fault.accepted)
            return Row(self._number, line.number, cells, {}, refused)
        cells, wrong = self._cells(values)
        return Row(
            self._number, line.number, cells, values, Fault(where, *wrong) if wrong else None
        )

    def _read_first(self) -> Header:
        line = next(self._lines, None)
        while line is not None and not (line.text.strip() or line.too_long):
            line = next(self._lines, None)
        if line is None:
            raise InputError([Fault(self._name, "file", "nothing in it", _OBJECT)])
        where = place(self._name, line.number)
        try:
            first = _object(line)
        except _JsonFault as fault:
            raise InputError([Fault(where, "row", fault.given, fault.accepted)]) from None
        columns = list(first)
        if REST in columns or not _clean(columns):
            given = f"the key {REST}" if REST in columns else "a NUL or half of a character pair"
            raise InputError([Fault(where, "row", given, "another name for the key")])
        self._lines.put_back([line])
        if any(isinstance(first.get(table), dict) for table in TABLES):
            return Header((*columns, REST), {})
        header = header_of(columns, where)
        return Header((*columns, REST), header.known)

    def _cells(self, values: dict[str, Any]) -> tuple[dict[str, str], tuple[str, str, str] | None]:
        """Text of every column, and what is wrong with the first one that cannot be kept."""
        kept = {column: values.get(column) for column in self.header.columns[:-1]}
        if rest := {key: value for key, value in values.items() if key not in kept}:
            self._warn(rest)
        cells: dict[str, str] = {}
        wrong = None
        for key, value in (*kept.items(), (REST, rest or None)):
            cells[key] = _text(value)
            if not _clean(value):
                wrong = wrong or (key, "a NUL or half of a character pair", "whole characters")
            elif len(cells[key]) > MAX_CELL:
                given = f"{len(cells[key])} characters"
                wrong = wrong or (key, given, f"at most {MAX_CELL} characters")
            else:
                continue
            cells[key] = ""
        return cells, wrong

    def _warn(self, keys: dict[str, Any]) -> None:
        """Tell once of each key that nearly is a column and that the first object lacks."""
        for key in keys:
            if (
                len(self._warned) < MOST_WARNED
                and (short := key[:LONGEST_SLIP]) not in self._warned
            ):
                self._warned.add(short)
                self.late_warnings += warnings_on([key], self._name)


def _object(line: ListLine) -> dict[str, Any]:
    """The object of a line, with nothing in it that could not be written again."""
    if line.too_long:
        raise _JsonFault("a line of more than 1 MiB", f"lines of at most {MAX_LINE} characters")
    text = line.text
    if (brackets := text.count("[") + text.count("{")) > MAX_DEPTH:
        brackets = deepest_bracket(text)
    if brackets > MAX_DEPTH:
        raise _JsonFault(f"brackets nested {brackets} deep", f"at most {MAX_DEPTH}")
    try:
        value = json.loads(text, object_pairs_hook=_once, parse_constant=_no_constant)
    except _JsonFault:
        raise
    except (ValueError, RecursionError) as error:
        reason = str(error).partition(": line 1 ")[0] or "nesting without end"
        raise _JsonFault(f"{text.strip()[:60]} ({reason})", _OBJECT) from None
    if not isinstance(value, dict):
        raise _JsonFault(described(value), _OBJECT)
    if len(value) > MAX_COLUMNS:
        raise _JsonFault(f"{len(value)} keys", f"at most {MAX_COLUMNS}")
    return value


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise _JsonFault(f"{shown(twice)}, twice", "each key once")
    return made


def _no_constant(name: str) -> None:
    raise _JsonFault(name, "finite numbers")


def _clean(value: object) -> bool:
    """Whether all text in a value can be written as UTF-8 and holds no NUL; escapes may."""
    match value:
        case str():
            return "\0" not in value and not _HALF.search(value)
        case dict():
            return all(_clean(key) and _clean(inner) for key, inner in value.items())
        case list():
            return all(map(_clean, value))
        case _:
            return True


def _text(value: object) -> str:
    """A value as the text of a cell: as it is, or as JSON."""
    match value:
        case str():
            return value
        case None:
            return ""
        case _:
            return json.dumps(value, ensure_ascii=False)
