"""A results file to look into: its rows in figures first, each whole row when it is looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from configurator.errors import Fault, InputError
from configurator.screen.writers import SUFFIXES
from configurator.tui.review.stretch import Stretch, Whole
from configurator.tui.review.wanted import SearchWords


class ResultFile(Protocol):
    """What all forms of results have in common."""

    path: Path
    heads: tuple[str, ...]
    torn: bool
    """True, once all was read, if a last row is not whole."""

    def stretches(self) -> Iterator[Stretch]:
        """Yield all rows in their order, a stretch at a time; an InputError where one is none."""

    def rows(self, starts: Sequence[int], *, whole: bool = True) -> list[Mapping[str, Any]]:
        """Read some rows as `read_results` gives them, or at least what a table shows of them."""

    def matching(
        self, words: SearchWords, starts: Whole, is_stale: Callable[[], bool]
    ) -> Iterator[bool]:
        """Yield for each row whether its text holds all words; ends early once nobody waits."""


def open_results(path: Path) -> ResultFile:
    """Open a results file by its suffix, CSV where that says nothing.

    Raises
    ------
    InputError
        If it cannot be read or holds no results.
    UsageError
        If it is Parquet and pyarrow is not installed.
    """
    if not path.is_file():
        given = "a folder" if path.is_dir() else "no such file"
        raise InputError([Fault(str(path), "file", given, "a file of results")])
    form = SUFFIXES.get(path.suffix.lower(), "csv")
    if form == "parquet":
        from configurator.tui.review.column_file import ColumnFile

        return ColumnFile(path)
    from configurator.tui.review.line_file import LineFile

    return LineFile(path, form)
