"""Result rows as text: CSV that a spreadsheet does not run, or JSON Lines; a row is a line."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Literal

from configurator.errors import UsageError, shown
from configurator.report.machine import guarded
from configurator.screen.result_columns import Value

Form = Literal["csv", "jsonl", "parquet"]

SUFFIXES: dict[str, Form] = {
    ".csv": "csv",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".parquet": "parquet",
}
"""What a results file is by the end of its name."""

LONGEST_CELL = 32_000
"""Characters of one CSV cell: spreadsheets hold a little more and then lose the rest."""


def form_of(out: Path | None, stated: Form | None) -> Form:
    """Return the form of the results: as stated, else by the file's suffix, else CSV.

    Raises
    ------
    UsageError
        If neither says, or a Parquet file has no place to go to.
    """
    if stated is None and out is not None:
        stated = SUFFIXES.get(out.suffix.lower())
        if stated is None:
            known = ", ".join(SUFFIXES)
            raise UsageError(f"--out {out}: a name that ends in {known}, or say --format")
    if stated == "parquet" and out is None:
        raise UsageError("--format parquet: a Parquet file needs a name, --out FILE")
    return stated or "csv"


def head_bytes(form: Form, heads: Sequence[str]) -> bytes:
    """Return what stands before the rows: the line of heads of a CSV file."""
    return _csv([heads]) if form == "csv" else b""


def rows_bytes(form: Form, heads: Sequence[str], rows: Iterable[Sequence[Value]]) -> bytes:
    """Return rows as whole lines; Parquet is made of JSON Lines when all are there.

    Parameters
    ----------
    form : str
        csv, jsonl or parquet.
    heads : sequence of str
        Names of the columns.
    rows : iterable of sequences
        Values in the order of the heads.
    """
    if form == "csv":
        return _csv(rows)
    return "".join(_json_line(heads, row) for row in rows).encode("ascii")


def _csv(rows: Iterable[Sequence[Value]]) -> bytes:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([cell(value) for value in row] for row in rows)
    return out.getvalue().encode("utf-8")


def cell(value: Value) -> str:
    r"""Return a CSV cell: counts exact, text on one line and never a formula.

    Examples
    --------
    >>> cell("=1+1"), cell("two\nlines"), cell(12345678901), cell(0.05), cell(None)
    ("'=1+1", 'two\\nlines', '12345678901', '0.05', '')
    """
    match value:
        case None:
            return ""
        case int():
            return str(value)
        case float():
            return repr(value).removesuffix(".0")
    plain = value.isprintable() and len(value) <= LONGEST_CELL
    return guarded(value, value if plain else shown(value, LONGEST_CELL))


def _json_line(heads: Sequence[str], row: Sequence[Value]) -> str:
    text = json.dumps(dict(zip(heads, row, strict=True)), ensure_ascii=True, allow_nan=False)
    # The one control character that JSON lets through as it is.
    return text.replace("\x7f", "\\u007f") + "\n"
