"""CSV files and workbooks as rows of text, and workbooks written. openpyxl is imported here alone."""

from __future__ import annotations

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Mapping, Sequence
from datetime import date, time
from pathlib import Path
from typing import Any

from configurator.catalog.table import MOST_COLUMNS, MOST_ROWS, SheetRows
from configurator.errors import Fault, InputError, UsageError

WORKBOOK = ".xlsx"
MAX_BYTES = 20_000_000
"""More than any table of parts."""

MOST_UNPACKED = 100_000_000
"""The same of a workbook once it is unpacked. [bytes]"""

_DECIMAL = re.compile(r"[+-]?(0,[0-9]+|[0-9]+,([0-9]{1,2}|[0-9]{4,}))(\s*[^0-9,]*)?")
"""A comma that cannot stand before thousands: the others of the sheet are no such either."""

_ESCAPED = re.compile(r"'(?=[\s]*[=+@\t\r-])")


def read_cells(path: Path) -> Mapping[str, SheetRows]:
    """Read the tables of a file: those of a workbook by sheet, that of a CSV file by its own name.

    Raises
    ------
    InputError
        If it cannot be read, or a cell holds what no table of parts can.
    UsageError
        If it is a workbook and openpyxl is not installed.
    """
    try:
        if path.is_file() and path.stat().st_size > MAX_BYTES:
            given = f"{path.stat().st_size} bytes"
            raise InputError([Fault(str(path), "file", given, f"at most {MAX_BYTES} bytes")])
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        accepted = "a CSV file, or a workbook (.xlsx)"
        raise InputError([Fault(str(path), "file", reason, accepted)]) from None
    if path.suffix.lower() == WORKBOOK:
        return _read_workbook(path, raw)
    return {path.stem: _read_csv(path, raw)}


def _read_csv(path: Path, raw: bytes) -> SheetRows:
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        accepted = "UTF-8 text; save the table as CSV UTF-8"
        given = f"byte {error.start} is none"
        raise InputError([Fault(str(path), "file", given, accepted)]) from None
    first = text.lstrip("\r\n").partition("\n")[0]
    separator = max("\t;,", key=first.count)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        accepted = "cells in double quotes closed by one"
        raise InputError([Fault(str(path), "file", str(error), accepted)]) from None
    rows = enumerate((tuple(_ESCAPED.sub("", c, count=1) for c in line) for line in lines), 1)
    kept = tuple((number, row) for number, row in rows if any(cell.strip() for cell in row))
    return SheetRows(str(path), kept, decimal_comma=separator != ",")


def _openpyxl() -> Any:
    try:
        import openpyxl
    except ImportError:
        hint = "pip install 'headwright[xlsx]', or save each sheet as CSV"
        raise UsageError("a workbook needs openpyxl, which is not installed", hint) from None
    return openpyxl


def _read_workbook(path: Path, raw: bytes) -> Mapping[str, SheetRows]:
    openpyxl = _openpyxl()
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed, warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of a broken file, in words that are no user's
            if sum(each.file_size for each in packed.infolist()) > MOST_UNPACKED:
                raise ValueError  # noqa: TRY301 - told as any other that cannot be read
            book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
            # A stray cell at the far end would make a sheet of millions.
            far = {"max_row": MOST_ROWS + 2, "max_col": MOST_COLUMNS + 1, "values_only": True}
            sheets = {sheet.title: list(sheet.iter_rows(**far)) for sheet in book.worksheets}
    except Exception:  # noqa: BLE001 - whatever a broken archive or XML raises in there
        raise InputError([Fault(str(path), "file", "no workbook", "an .xlsx workbook")]) from None
    return {title: _sheet(path, title, rows) for title, rows in sheets.items()}


def _sheet(path: Path, title: str, rows: Sequence[Sequence[object]]) -> SheetRows:
    where, faults, kept = f"{path}, sheet {title}", [], []
    if len(rows) > MOST_ROWS + 1 or any(
        value is not None for row in rows for value in row[MOST_COLUMNS:]
    ):
        accepted = f"at most {MOST_ROWS} rows below the headers and {MOST_COLUMNS} columns, no stray cell far away"
        raise InputError([Fault(where, "file", "cells beyond that", accepted)])
    for number, row in enumerate(rows, 1):
        cells = []
        for place, value in enumerate(row, 1):
            if isinstance(value, date | time):
                accepted = "text or a number: give the column the format Text, and type it again"
                faults.append(
                    Fault(f"{where}, row {number}", f"cell {place}", str(value), accepted)
                )
            cells.append(_text(value))
        while cells and not cells[-1]:
            cells.pop()  # they are filled up to the widest that may be
        if any(cell.strip() for cell in cells):
            kept.append((number, tuple(cells)))
    if faults:
        raise InputError(faults)
    european = any(_DECIMAL.fullmatch(cell.strip()) for _, row in kept for cell in row)
    return SheetRows(where, tuple(kept), decimal_comma=european)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return "" if value is None else str(value)


def workbook(tables: Mapping[str, tuple[Sequence[str], Sequence[Sequence[str]]]]) -> bytes:
    """Return tables as a workbook, one sheet a table; numbers stay numbers."""
    openpyxl = _openpyxl()
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, (heads, rows) in tables.items():
        sheet = book.create_sheet(title)
        for at, row in enumerate((heads, *rows), 1):
            for place, text in enumerate(row, 1):
                cell = sheet.cell(at, place, _number(text))
                if isinstance(cell.value, str):
                    cell.data_type = "s"  # never a formula, whatever it begins with
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _number(cell: str) -> str | float | None:
    """A cell as a number if reading it gives the same text again."""
    for kind in (int, float):
        try:
            value = kind(cell)
        except ValueError:
            continue
        if _text(value) == cell:
            return value
    return cell or None
