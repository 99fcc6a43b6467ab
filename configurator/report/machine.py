"""What other programs read: JSON and CSV that are the same byte for byte on every run."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from configurator.errors import shown
from configurator.report.lines import LONGEST_TEXT

DIGITS = 6
"""Significant digits of a number: more than any input has."""

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes a cell that begins with one of these for a formula."""

_GUARDED = (*_FORMULA_STARTS, "\\t", "\\r")
"""What stands behind the apostrophe of a guarded cell; tab and return are written out."""


def number(value: float | None) -> float | None:
    """Return a number in six significant digits; None where it is unknown or without end.

    Examples
    --------
    >>> number(0.123456789), number(float("nan")), number(-0.0)
    (0.123457, None, 0.0)
    """
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}") + 0.0


def data_of(entry: object, *names: str) -> dict[str, Any]:
    """Return named attributes of an entry as data, or all fields of a dataclass.

    Numbers are as `number` gives them, in lists and tables too.
    """
    if not names and is_dataclass(entry):
        names = tuple(field.name for field in fields(entry))
    return {name: _plain(getattr(entry, name)) for name in names}


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return number(value)
    if isinstance(value, Mapping):
        return {key: _plain(each) for key, each in value.items()}
    return [_plain(each) for each in value] if isinstance(value, list | tuple) else value


def json_text(data: Mapping[str, Any]) -> str:
    """Return data as JSON in ASCII, keys in the order given, with a line break at the end.

    Raises
    ------
    ValueError
        If a number is NaN or infinite, which JSON cannot hold: a slip of the program.
    """
    text = json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False)
    # The one control character that JSON lets through as it is.
    return text.replace("\x7f", "\\u007f") + "\n"


SCHEMA = 1
"""Version of the JSON of answers: grows when a key changes its meaning or goes away."""


def answer_json(*, schema: int = SCHEMA, **data: Any) -> str:
    """Return an answer as JSON, led by the version of its keys."""
    return json_text({"schema": schema, **data})


def csv_text(heads: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> str:
    """Return rows as CSV with a line for the heads; unknown values are empty cells.

    Text that a spreadsheet would run as a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_cell(head) for head in heads])
    writer.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def csv_exact(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return rows of text as CSV that keeps line breaks and long cells; else as `csv_text`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([guarded(cell, cell) for cell in row] for row in (heads, *rows))
    return out.getvalue()


def guarded(text: str, written: str) -> str:
    """Return what is written for a text, with an apostrophe if a spreadsheet would run that."""
    return f"'{written}" if text.lstrip(" ").startswith(_FORMULA_STARTS) else written


def unguarded(cell: str) -> str:
    """Return a cell without the apostrophe that keeps a spreadsheet from running it.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("'quoted'")
    ('=1+1', "'quoted'")
    """
    taken = cell.startswith("'") and cell[1:].lstrip(" ").startswith(_GUARDED)
    return cell[1:] if taken else cell


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        # Escapes and line breaks are shown, so that a row is a line and a terminal stays calm.
        return guarded(value, shown(value, LONGEST_TEXT))
    rounded = number(value)
    return "" if rounded is None else repr(rounded).removesuffix(".0")
