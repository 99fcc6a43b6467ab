"""Reading a results file back, row by row, whatever its form."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError
from configurator.report.machine import unguarded
from configurator.screen.result_columns import NAMES, RESULT_COLUMNS
from configurator.screen.writers import SUFFIXES, Form

KINDS = {column.name: column.kind for column in RESULT_COLUMNS}
COUNTS = tuple(column.name for column in RESULT_COLUMNS if column.kind is int)
"""Columns that hold whole numbers."""

LONGEST_LINE = 10_000_000
"""No row of a results file is longer. [bytes]"""


def read_results(path: Path, form: Form | None = None) -> Iterator[dict[str, Any]]:
    """Yield the rows of a results file, by column, in their order.

    Whole numbers are `int`, margins `float`, everything else text; what is empty is None.
    The columns of the list come first, as text, without the apostrophe that kept a spreadsheet
    from running them. A last line that a kill or a power cut has torn is passed over.

    Parameters
    ----------
    path : Path
        The file.
    form : str, optional
        csv, jsonl or parquet; follows from the suffix if left out.

    Raises
    ------
    InputError
        If it cannot be read or holds no results.
    """
    form = form or SUFFIXES.get(path.suffix.lower(), "csv")
    if not path.is_file():
        given = "a folder" if path.is_dir() else "no such file"
        raise InputError([Fault(str(path), "file", given, "a file of results")])
    if form == "parquet":
        from configurator.screen.parquet import parquet_rows

        rows: Iterator[dict[str, Any]] = parquet_rows(path)
    elif form == "jsonl":
        rows = _json_rows(path)
    else:
        rows = _csv_rows(path)
    for number, row in enumerate(rows, start=1):
        try:
            whole = with_counts(row)
        except (TypeError, ValueError):
            given, accepted = "counts that are no whole numbers", "a row of results"
            raise InputError([Fault(str(path), f"result row {number}", given, accepted)]) from None
        yield whole


def _lines(path: Path) -> Iterator[tuple[int, str]]:
    """Whole lines with their numbers; no row of ours has a line break inside."""
    try:
        with path.open("rb") as file:
            number = 0
            while line := file.readline(LONGEST_LINE):
                number += 1
                if not line.endswith(b"\n"):
                    if len(line) == LONGEST_LINE:
                        raise _fault(path, number, "a line without end")
                    return
                try:
                    yield number, line.decode("utf-8-sig" if number == 1 else "utf-8")
                except UnicodeDecodeError:
                    raise _fault(path, number, "bytes that are not UTF-8") from None
    except OSError as error:
        raise InputError(
            [Fault(str(path), "file", error.strerror or "unreadable", "a file of results")]
        ) from None


def _csv_rows(path: Path) -> Iterator[dict[str, Any]]:
    heads: Sequence[str] | None = None
    for number, line in _lines(path):
        try:
            cells = next(csv.reader([line], strict=True), [])
        except csv.Error:
            raise _fault(path, number, "a broken cell") from None
        if heads is None:
            heads = [unguarded(cell) for cell in cells]
            _check_heads(path, heads)
            continue
        if len(cells) != len(heads):
            raise _fault(path, number, f"{len(cells)} cells, {len(heads)} wanted")
        yield {
            head: _value(path, number, head, cell) for head, cell in zip(heads, cells, strict=True)
        }
    if heads is None:
        raise _fault(path, 1, "nothing")


def typed_cell(head: str, cell: str) -> str | int | float | None:
    """A CSV cell as `read_results` gives it.

    Parameters
    ----------
    head : str
        Its column.
    cell : str
        As it stands in the file.

    Raises
    ------
    ValueError
        If the column holds numbers and this is none.
    """
    kind = KINDS.get(head)
    if kind is None:
        return unguarded(cell)
    if not cell:
        return None
    return unguarded(cell) if kind is str else kind(cell)


def with_counts(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row with its counts as whole numbers, however large.

    Raises
    ------
    TypeError, ValueError
        If one is none.
    """
    return {
        name: int(value) if name in COUNTS and value is not None else value
        for name, value in row.items()
    }


def _value(path: Path, number: int, head: str, cell: str) -> str | int | float | None:
    try:
        return typed_cell(head, cell)
    except ValueError:
        raise _fault(path, number, f"{head} '{cell}'") from None


def _json_rows(path: Path) -> Iterator[dict[str, Any]]:
    for number, line in _lines(path):
        try:
            row = json.loads(line)
        except (ValueError, RecursionError):
            raise _fault(path, number, "no JSON") from None
        if not isinstance(row, dict):
            raise _fault(path, number, "no JSON object")
        if number == 1:
            _check_heads(path, list(row))
        yield row


def _check_heads(path: Path, heads: Sequence[str]) -> None:
    missing = [name for name in NAMES if name not in heads]
    if missing:
        accepted = "a results file of `headwright screen`"
        raise InputError([Fault(str(path), "columns", f"no {', '.join(missing)}", accepted)])


def _fault(path: Path, number: int, given: str) -> InputError:
    return InputError([Fault(str(path), f"line {number}", given, "a row of results")])
