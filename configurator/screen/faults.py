"""Faults of a material in the words of a list: columns in place of tables and keys."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from configurator.errors import Fault, described, shown
from configurator.screen.columns import BY_NAME, BY_PATH, SIDES, Form

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


def in_columns(faults: Iterable[Fault], values: Mapping[str, Any]) -> Iterator[Fault]:
    """Yield faults of a material with columns in place of keys.

    Parameters
    ----------
    faults : iterable of Fault
        Of the tables that were made of the row.
    values : Mapping
        The filled cells of the row by column.
    """
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
    """Join the faults of a row in one printable line."""
    every = list(faults)
    lines = [each.line() for each in every[:MOST_TOLD]]
    for at, each in enumerate(every[1:MOST_TOLD], start=1):
        # The place is the same for all of a row; once is enough.
        lines[at] = lines[at].removeprefix(f"{shown(each.where, 200)}: ")
    more = [f"and {len(every) - MOST_TOLD} more"] if len(every) > MOST_TOLD else []
    return " | ".join([*lines, *more])
