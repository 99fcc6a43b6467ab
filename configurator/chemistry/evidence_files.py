"""Findings as a laboratory hands them over: CSV, TOML or JSON lines, with units in the cells."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from configurator.chemistry.evidence import (
    LARGEST_FILE,
    Evidence,
    EvidenceRecord,
    load_evidence,
    own_words,
)
from configurator.errors import Fault, InputError, described, did_you_mean
from configurator.reading import read_toml, see_file
from configurator.units.dimension import Kind
from configurator.units.kinds import RELATIVE_CHANGE, TEMPERATURE, TIME
from configurator.units.quantity import UnitFault, parse

QUANTITIES: dict[str, tuple[str, Kind, Callable[[float], float]]] = {
    "temperature": ("temperature_c", TEMPERATURE, lambda kelvin: kelvin - 273.15),
    "time": ("hours", TIME, lambda seconds: seconds / 3600.0),
    "swelling": ("swelling_pct", RELATIVE_CHANGE, lambda share: share * 100.0),
}
"""Keys that take a number with its unit: field of the record, kind, and from SI to the field."""

KEYS: tuple[str, ...] = (
    "date",
    "material",
    "grade_name",
    "substance",
    "kind",
    *QUANTITIES,
    "hardness_change",
    "grade",
    "note",
)
"""Columns of a CSV file and keys of a `[[finding]]` in TOML; all but five may be left out."""

NEEDED: tuple[str, ...] = ("date", "material", "substance", "temperature", "time")

ACCEPTED: dict[str, str] = {
    "date": "a date such as 2026-03-04",
    "material": "a code of a wetted material, such as NBR or 316L",
    "substance": "a constituent, or the name of the whole product",
    "kind": "immersion, trial or withdrawal",
    "grade_name": "one short text",
    "note": "one short text",
    "hardness_change": 'points Shore A without a unit, such as "-3"',
    "grade": "satisfactory, limited or not satisfactory (needed where nothing was measured)",
}

BOUNDS: dict[str, str] = {
    "temperature": "from -100 to 400 degC",
    "time": "above 0 and at most 100 000 h",
    "swelling": "from -100 to 2000 %",
    "hardness_change": "from -100 to 100",
    "note": "of at most 400 characters",
    "grade_name": "of at most 80 characters",
    "substance": "of at most 120 characters",
}
"""What a record holds at most, beyond what a quantity of its kind may be."""

FINDING = "finding"


class _UnreadableError(Exception):
    """One finding that cannot be read: field, what stood there, what is accepted, a hint."""

    def __init__(self, field: str, given: str, accepted: str, hint: str = "") -> None:
        super().__init__(field)
        self.parts = (field, given, accepted, hint)

    def fault(self, where: str, at: str) -> Fault:
        field, given, accepted, hint = self.parts
        return Fault(where, f"{at} {field}".strip(), given, accepted, hint)


def read_findings(path: Path) -> Evidence:
    """Read findings from a file that must exist; what it is follows from its ending.

    `.csv` has a head line, `.toml` has `[[finding]]` tables, any other is taken as JSON lines. Every
    finding that can be read counts, and each that cannot is a fault with its line.

    Raises
    ------
    InputError
        If the file itself cannot be read, or its head names columns that nobody knows.
    """
    see_file(path, "a file of findings")
    suffix = path.suffix.lower()
    if suffix == ".csv":
        return _gathered(str(path), _csv_rows(path))
    if suffix == ".toml":
        return _gathered(str(path), _toml_tables(path))
    return load_evidence(path)


def record_from(values: Mapping[str, Any]) -> EvidenceRecord:
    """Make a finding of values as people write them, quantities with their unit.

    The values go by the names in `KEYS`; empty text counts as left out.

    Raises
    ------
    InputError
        With the first thing that cannot be read.
    """
    try:
        return _record(values)
    except _UnreadableError as error:
        raise InputError([error.fault("finding", "")]) from None


def _gathered(
    where: str, entries: Iterable[tuple[str, Mapping[str, Any] | _UnreadableError]]
) -> Evidence:
    records: dict[str, EvidenceRecord] = {}
    faults: list[Fault] = []
    for at, entry in entries:
        try:
            if isinstance(entry, _UnreadableError):
                raise entry
            record = _record(entry)
            records.setdefault(record.line, record)
        except _UnreadableError as error:
            faults.append(error.fault(where, at))
    return Evidence(tuple(records.values()), tuple(faults))


def _record(values: Mapping[str, Any]) -> EvidenceRecord:
    given = {key: value for key, value in values.items() if value not in ("", None)}
    for key, value in given.items():
        if key not in KEYS:
            accepted = f"the keys {', '.join(KEYS)}"
            raise _UnreadableError(key, described(value), accepted, did_you_mean(key, KEYS))
    for key in NEEDED:
        if key not in given:
            raise _UnreadableError(key, "nothing", _accepted(key))
    fields: dict[str, Any] = {}
    for key, value in given.items():
        if key in QUANTITIES:
            name, kind, scaled = QUANTITIES[key]
            # Six digits: 23 degC must not come back as 23.000000000000057.
            fields[name] = float(f"{scaled(_one(key, value, kind)):.6g}")
        elif key == "hardness_change":
            fields[key] = _points(value)
        elif isinstance(value, str):
            fields[key] = value.strip()
        else:
            fields[key] = value.isoformat() if isinstance(value, dt.date) else value
    try:
        return EvidenceRecord.model_validate(fields)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field = str(first["loc"][0]) if first["loc"] else "grade"
        key = next((key for key, entry in QUANTITIES.items() if entry[0] == field), field)
        hint = own_words(first["type"], first["msg"]) if key in given else ""
        raise _UnreadableError(key, described(given.get(key)), _bounded(key), hint) from None


def _accepted(key: str) -> str:
    return QUANTITIES[key][1].accepted if key in QUANTITIES else ACCEPTED.get(key, "one short text")


def _bounded(key: str) -> str:
    """What is accepted, where a record takes less than what a quantity of its kind may be."""
    if key not in BOUNDS:
        return _accepted(key)
    if key in QUANTITIES:
        kind = QUANTITIES[key][1]
        return f'a {kind.name} {BOUNDS[key]}, for example "{kind.example}"'
    return f"{_accepted(key)}, {BOUNDS[key]}"


def _one(key: str, value: object, kind: Kind) -> float:
    if not isinstance(value, str):
        raise _UnreadableError(key, described(value), kind.accepted, "write a number and its unit")
    try:
        interval = parse(value, kind)
    except UnitFault as fault:
        raise _UnreadableError(key, fault.given, fault.accepted, fault.hint) from None
    if not interval.is_exact:
        raise _UnreadableError(key, value, kind.accepted, "one value: what was seen, not a range")
    return interval.nominal


def _points(value: object) -> float:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    try:
        return float(str(value).strip())
    except ValueError:
        raise _UnreadableError(
            "hardness_change", described(value), ACCEPTED["hardness_change"]
        ) from None


def _csv_rows(path: Path) -> Iterator[tuple[str, Mapping[str, Any] | _UnreadableError]]:
    """Yield each line below the head with its number; the head itself must be known."""
    with path.open("rb") as stream:
        raw = stream.read(LARGEST_FILE + 1)
    if len(raw) > LARGEST_FILE:
        raise InputError([Fault(str(path), "file", "more than 20 MB", "a CSV file of findings")])
    lines = raw.decode("utf-8-sig", "replace").splitlines()
    try:
        heads = [head.strip().casefold() for head in _cells(lines[0] if lines else "")]
    except csv.Error as error:
        fault = Fault(str(path), "line 1", "a broken cell", "one cell a column", str(error))
        raise InputError([fault]) from None
    _check_heads(str(path), heads)
    for number, line in enumerate(lines[1:], start=2):
        if line.strip(", \t"):
            yield f"line {number}", _row(line, heads)


def _cells(line: str) -> list[str]:
    """Cells of one line: a quote that is never closed costs its own line and no other."""
    return next(csv.reader([line], strict=True), [])


def _row(line: str, heads: Sequence[str]) -> Mapping[str, Any] | _UnreadableError:
    try:
        row = _cells(line)
    except csv.Error as error:
        return _UnreadableError("", "a broken cell", "one cell a column", str(error))
    if len(row) != len(heads):
        hint = 'a comma inside a cell needs "quotes"' if len(row) > len(heads) else ""
        return _UnreadableError("", f"{len(row)} cells", f"{len(heads)} cells, one a column", hint)
    return {head: _bare(cell.strip()) for head, cell in zip(heads, row, strict=True)}


def _bare(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from taking it for a formula."""
    return cell[1:] if cell.startswith(("'-", "'+", "'=", "'@")) else cell


def _check_heads(where: str, heads: list[str]) -> None:
    accepted = f"columns with commas between: {', '.join(KEYS)}"
    faults = [
        Fault(where, "line 1", head, accepted, did_you_mean(head, KEYS))
        for head in heads
        if head not in KEYS
    ]
    faults += [
        Fault(where, "line 1", f"{key} twice", accepted) for key in KEYS if heads.count(key) > 1
    ]
    if missing := [key for key in NEEDED if key not in heads]:
        faults.append(Fault(where, "line 1", f"no column {', '.join(missing)}", accepted))
    if faults:
        raise InputError(faults)


def _toml_tables(path: Path) -> Iterator[tuple[str, Mapping[str, Any] | _UnreadableError]]:
    tables, _ = read_toml(path)
    entries = tables.pop(FINDING, None)
    if tables or not isinstance(entries, list):
        given = ", ".join(tables) or "no finding"
        raise InputError([Fault(str(path), "file", given, f"[[{FINDING}]] tables alone")])
    for place, entry in enumerate(entries, start=1):
        if isinstance(entry, dict):
            yield f"{FINDING}[{place}]", entry
        else:
            yield f"{FINDING}[{place}]", _UnreadableError("", described(entry), "a table")
