"""A results file: its columns, writing its rows, and reading them back."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from configurator.errors import Fault, InputError, UsageError, shown
from configurator.reading import see_file
from configurator.report.machine import guarded, number, unguarded
from configurator.screen.result_columns import COUNTS, KINDS, NAMES
from configurator.screen.verdict import Verdict

Value = str | int | float | None
"""What a cell holds; None where there is nothing to say."""

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

NOT_JUDGED = "not judged"
"""State of a row that was read and cannot be judged, whosever fault it is; the rest goes on."""

PREFIX = "list_"
"""Goes before a column of the list that is called like one of ours."""

LONGEST_LINE = 10_000_000
"""No row of a results file is longer. [bytes]"""


def heads_of(columns: Sequence[str], extras: Sequence[str] = ()) -> tuple[str, ...]:
    """Return the heads of a results file for a list with these columns, and extras that were asked for.

    Examples
    --------
    >>> heads_of(["name", "state"])[:3]
    ('name', 'list_state', 'row')
    """
    ours = (*NAMES, *extras)
    taken = {*ours, *columns}
    kept = []
    for column in columns:
        name = column
        while name in ours or (name != column and name in taken):
            name = PREFIX + name
        taken.add(name)
        kept.append(name)
    return (*kept, *ours)


def verdict_cells(verdict: Verdict) -> dict[str, Value]:
    """Return what a verdict says, by column; counts exact, the margin in six digits."""
    return {
        "state": verdict.state,
        "builds": verdict.builds,
        "fits": verdict.fits,
        "marginal": verdict.marginal,
        "unproven": verdict.unproven,
        "best_build": verdict.best_build,
        "tightest_margin": number(verdict.margin),
        "tightest_rule": verdict.margin_rule,
        "reason": verdict.reason,
        "measure_first": verdict.measure_first,
    }


def result_cells(
    cells: Sequence[str], ours: Mapping[str, Value], extras: Sequence[str] = ()
) -> tuple[Value, ...]:
    """Return one row of a results file; columns of ours that nothing is said of are empty."""
    return (*cells, *(ours.get(name) for name in (*NAMES, *extras)))


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
    """Return rows as whole lines; Parquet is made of JSON Lines when all are there."""
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


def read_results(path: Path, form: Form | None = None) -> Iterator[dict[str, Any]]:
    """Yield the rows of a results file, by column, in their order.

    Whole numbers are `int`, margins `float`, everything else text; what is empty is None.
    The columns of the list come first, as text, without the apostrophe that kept a spreadsheet
    from running them. A last line that a kill or a power cut has torn is passed over.

    Raises
    ------
    InputError
        If it cannot be read or holds no results.
    """
    form = form or SUFFIXES.get(path.suffix.lower(), "csv")
    see_file(path, "a file of results")
    if form == "parquet":
        from configurator.screen.parquet import parquet_rows

        rows: Iterator[dict[str, Any]] = parquet_rows(path)
    elif form == "jsonl":
        rows = _json_rows(path)
    else:
        rows = _csv_rows(path)
    for at, row in enumerate(rows, start=1):
        try:
            whole = with_counts(row)
        except (TypeError, ValueError):
            given, accepted = "counts that are no whole numbers", "a row of results"
            raise InputError([Fault(str(path), f"result row {at}", given, accepted)]) from None
        yield whole


def _lines(path: Path) -> Iterator[tuple[int, str]]:
    """Whole lines with their numbers; no row of ours has a line break inside."""
    try:
        with path.open("rb") as file:
            at = 0
            while line := file.readline(LONGEST_LINE):
                at += 1
                if not line.endswith(b"\n"):
                    if len(line) == LONGEST_LINE:
                        raise _fault(path, at, "a line without end")
                    return
                try:
                    yield at, line.decode("utf-8-sig" if at == 1 else "utf-8")
                except UnicodeDecodeError:
                    raise _fault(path, at, "bytes that are not UTF-8") from None
    except OSError as error:
        raise InputError(
            [Fault(str(path), "file", error.strerror or "unreadable", "a file of results")]
        ) from None


def _csv_rows(path: Path) -> Iterator[dict[str, Any]]:
    heads: Sequence[str] | None = None
    for at, line in _lines(path):
        try:
            cells = next(csv.reader([line], strict=True), [])
        except csv.Error:
            raise _fault(path, at, "a broken cell") from None
        if heads is None:
            heads = [unguarded(cell) for cell in cells]
            check_heads(path, heads)
            continue
        if len(cells) != len(heads):
            raise _fault(path, at, f"{len(cells)} cells, {len(heads)} wanted")
        yield {head: _value(path, at, head, cell) for head, cell in zip(heads, cells, strict=True)}
    if heads is None:
        raise _fault(path, 1, "nothing")


def typed_cell(head: str, cell: str) -> str | int | float | None:
    """A CSV cell as `read_results` gives it.

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


def _value(path: Path, at: int, head: str, cell: str) -> str | int | float | None:
    try:
        return typed_cell(head, cell)
    except ValueError:
        raise _fault(path, at, f"{head} '{cell}'") from None


def _json_rows(path: Path) -> Iterator[dict[str, Any]]:
    for at, line in _lines(path):
        try:
            row = json.loads(line)
        except (ValueError, RecursionError):
            raise _fault(path, at, "no JSON") from None
        if not isinstance(row, dict):
            raise _fault(path, at, "no JSON object")
        if at == 1:
            check_heads(path, list(row))
        yield row


def check_heads(path: Path, heads: Sequence[str]) -> None:
    """Refuse a file without the columns of a result, and name those that are missing."""
    missing = [name for name in NAMES if name not in heads]
    if missing:
        accepted = "a results file of `headwright screen`"
        raise InputError([Fault(str(path), "columns", f"no {', '.join(missing)}", accepted)])


def _fault(path: Path, at: int, given: str) -> InputError:
    return InputError([Fault(str(path), f"line {at}", given, "a row of results")])
