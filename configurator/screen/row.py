"""One row of a list as it was read, before anybody asks what its cells mean."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from configurator.errors import Fault, shown

MAX_CELL = 65_536
"""Longest cell. [characters]"""

MAX_LINE = 1_048_576
"""Longest line, and longest row where its cells have line breaks. [characters]"""

MAX_COLUMNS = 1000

_LONGEST_NAME = 150


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
