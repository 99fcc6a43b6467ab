"""Material files as rows of a list, written the other way round from how lists are read."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import tomli

from configurator.screen.header import BY_PATH
from configurator.screen.sources import Entry, read_list

EXAMPLES = Path(__file__).resolve().parents[2] / "catalogs" / "examples"
MATERIAL_FILES = sorted((EXAMPLES / "materials").glob("*.toml"))

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def material_tables(name: str) -> dict[str, Any]:
    """Tables of a shipped example."""
    return tomli.loads((EXAMPLES / "materials" / f"{name}.toml").read_text("utf-8"))


def flat_row(tables: Mapping[str, Any]) -> dict[str, str]:
    """One row: the columns that a material fills, in the order of its tables."""
    row: dict[str, str] = {}
    _flatten(tables, "", row)
    return row


def _flatten(tables: Mapping[str, Any], path: str, row: dict[str, str]) -> None:
    for key, value in tables.items():
        here = f"{path}.{key}" if path else key
        if here == "schema":
            continue
        if here not in BY_PATH:
            _flatten(value, here, row)
        else:
            row[BY_PATH[here].name] = _cell(key, value)


def _cell(key: str, value: Any) -> str:
    match key:
        case "constituents":
            return "; ".join(map(_share, value))
        case "points":
            return "; ".join(
                f"{quantity(each['rate'])} {quantity(each.get('viscosity') or each['stress'])}"
                for each in value
            )
        case "ratio":
            return ":".join(map(quantity, value))
        case "sensitive_to":
            return "; ".join(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return quantity(value)


def _share(share: Mapping[str, Any]) -> str:
    name = share["name"]
    if not re.fullmatch(r"[A-Za-z]+( [A-Za-z-]+)*", name):
        name = '"' + name.replace('"', '""') + '"'
    return f"{name} {quantity(share.get('mass_fraction', ''))}".strip()


def quantity(value: Any) -> str:
    """A quantity with its basis and note in brackets behind it."""
    if not isinstance(value, Mapping):
        return str(value)
    remarks = [value["basis"]] if "basis" in value else []
    if "note" in value:
        remarks.append(f"note: {value['note']}")
    return f"{value['value']} ({', '.join(remarks)})"


def csv_list(
    rows: Iterable[Mapping[str, str]],
    *,
    separator: str = ",",
    end: str = "\n",
    codec: str = "utf-8",
) -> bytes:
    """A list as a spreadsheet writes it, with cells that look like formulas kept from running."""
    every = list(rows)
    columns = list(dict.fromkeys(column for row in every for column in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", delimiter=separator, lineterminator=end)
    writer.writeheader()
    for row in every:
        writer.writerow({key: _guarded(cell) for key, cell in row.items()})
    return out.getvalue().encode(codec)


def _guarded(cell: str) -> str:
    return f"'{cell}" if cell.lstrip(" ").startswith(FORMULA_STARTS) else cell


def entries(data: bytes, **options: Any) -> list[Entry]:
    """Every entry of a list."""
    options.setdefault("base", EXAMPLES)
    return list(read_list(io.BytesIO(data), "own.csv", folder=EXAMPLES, **options))


def entry(data: bytes, **options: Any) -> Entry:
    """The only entry of a list."""
    (only,) = entries(data, **options)
    return only
