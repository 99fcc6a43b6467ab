"""Rows of a list as read, and which of their columns mean something or only look as if they did."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from configurator.errors import Fault, InputError, did_you_mean, nearest, shown
from configurator.screen.columns import BY_NAME, FILE, TOP_KEYS, Column

MAX_CELL = 65_536
"""Longest cell. [characters]"""

MAX_LINE = 1_048_576
"""Longest line, and longest row where its cells have line breaks. [characters]"""

MAX_COLUMNS = 1000

_LONGEST_NAME = 150

ALIKE = 0.75
"""How alike two names are that one may be a slip of the other: 1 for the same. [-]"""

LONGEST_SLIP = 60
"""No name of a column, with its unit in brackets, is longer. [characters]"""

_BARE_KEYS = frozenset(each.path[-1] for each in BY_NAME.values() if each.path)

_LONGEST_LISTED = 12


@dataclass(frozen=True, slots=True)
class Row:
    """One data row."""

    number: int
    """1 for the first row below the header; empty rows do not count."""
    line: int
    """Of the file, where the row begins; the first is 1."""
    cells: Mapping[str, str]
    """Text of every column of the list, in its order."""
    values: Mapping[str, Any]
    """What was given by column or key: text, or any value of JSON."""
    fault: Fault | None = None
    """Why the row as such cannot be read."""


def place(name: str, line: int) -> str:
    """How a fault names a line of a list; a long path never hides the number."""
    return f"{shown(name, _LONGEST_NAME)}, line {line}"


@dataclass(frozen=True, slots=True)
class Header:
    """The columns of a list."""

    columns: tuple[str, ...]
    """All of them, in the order of the file."""
    known: Mapping[str, Column]
    """Those that are read, by name."""


MadeHeader = Callable[[Sequence[str], str], Header]
"""Makes a header of the names of columns, which differ, and of the place where they stand."""


def read_header(
    cells: Sequence[str], name: str, line: int, made: MadeHeader | None = None
) -> Header:
    """Make a header of the cells of the first row, of a list of materials or as `made` says.

    Names count as they stand, in lower case; blanks around them do not, nor do empty columns
    at the end. An empty one in between is called by its number, as `column 3`.

    Raises
    ------
    InputError
        If a name stands there twice, there are too many, or none is a column of a material.
    """
    columns = [" ".join(cell.split()) for cell in cells]
    while columns and not columns[-1]:
        columns.pop()
    columns = [column or f"column {at}" for at, column in enumerate(columns, start=1)]
    where = place(name, line)
    if len(columns) > MAX_COLUMNS:
        given = f"{len(columns)} columns"
        raise InputError([Fault(where, "header", given, f"at most {MAX_COLUMNS}")])
    twice = [column for column, count in Counter(columns).items() if count > 1]
    if twice:
        raise InputError(
            [Fault(where, "header", f"{column}, twice", "each column once") for column in twice]
        )
    return (made or header_of)(columns, where)


def header_of(columns: Iterable[str], where: str) -> Header:
    """Make a header of names that differ.

    Raises
    ------
    InputError
        If none of them is a column of a material.
    """
    named = tuple(columns)
    known = {column: BY_NAME[column] for column in named if column in BY_NAME}
    if not known:
        near = next(filter(None, map(slip, named)), "")
        listed = ", ".join(named[:_LONGEST_LISTED])
        accepted = "a header that names at least one column of a material: name, trigger, "
        accepted += f"viscosity, at, ..., or {FILE}"
        raise InputError([Fault(where, "header", listed or "nothing", accepted, near)])
    return Header(named, known)


def slip(column: str) -> str:
    """Return which column a name may have meant, as a question; empty if it is one, or unlike all.

    Examples
    --------
    >>> slip("densty"), slip("Viscosity [Pa*s]"), slip("d99")
    ('did you mean density?', 'did you mean viscosity?', 'did you mean filler_d99?')
    >>> slip("density"), slip("order number")
    ('', '')
    """
    if column in BY_NAME or column in TOP_KEYS or len(column) > LONGEST_SLIP:
        return ""
    folded = column.casefold().partition("[")[0].partition("(")[0].strip()
    folded = folded.replace(" ", "_").replace("-", "_")
    if folded in _BARE_KEYS and folded not in BY_NAME:
        ends = (each.name for each in BY_NAME.values() if each.path and each.path[-1] == folded)
        return f"did you mean {next(ends)}?"
    near = {name: _likeness(folded, name) for name in nearest(folded, BY_NAME)}
    best = max([ALIKE, *near.values()])
    return did_you_mean(folded, [name for name, likeness in near.items() if likeness >= best])


def _likeness(one: str, other: str) -> float:
    return SequenceMatcher(None, one, other).ratio()


def warnings_on(columns: Iterable[str], name: str) -> tuple[str, ...]:
    """Return one line for each column that is not read but looks as if it should be."""
    return tuple(
        f"{shown(name, 200)}: column '{shown(column)}' is kept but not read; {near}"
        for column in columns
        if (near := slip(column))
    )
