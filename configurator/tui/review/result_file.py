"""What all forms of a results file have in common, and the words that rows are searched for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError
from configurator.screen.results import NAMES
from configurator.tui.review.stretch import Stretch, Whole

CHECKED_EVERY = 256
"""Rows between two questions whether anybody still waits."""

OURS_SEARCHED = (
    "process",
    "material_name",
    "state",
    "best_build",
    "tightest_rule",
    "reason",
    "measure_first",
    "fault",
)
"""Columns of ours with words in them: digests and versions would be found by accident alone."""


OWN_NAMES = ("name", "title", "file")
"""Columns of a list by which a person knows a row."""

TABLE = (
    "row",
    "process",
    "material_name",
    "state",
    "builds",
    "tightest_margin",
    "reason",
    "fault",
)
"""Columns of ours that a table of rows shows."""


def searched(heads: Iterable[str]) -> tuple[str, ...]:
    """The columns in which words are looked for: all of the list, and ours with words."""
    return tuple(head for head in heads if head not in NAMES or head in OURS_SEARCHED)


@dataclass(frozen=True)
class SearchWords:
    """What was typed: every word has to be in a row, in any cell, in any case."""

    typed: str = ""

    @cached_property
    def each(self) -> tuple[str, ...]:
        """The words in small letters."""
        return tuple(dict.fromkeys(self.typed.lower().split()))

    @cached_property
    def _raw(self) -> tuple[bytes, ...]:
        """Words that stand in a line of a file as they stand in its cells."""
        plain = (word for word in self.each if word.isascii() and not {'"', "\\"} & set(word))
        return tuple(word.encode("ascii") for word in plain)

    def narrows(self, before: SearchWords) -> bool:
        """True if no row can match that did not match before."""
        return all(any(word in now for now in self.each) for word in before.each)

    def may_be_in(self, line: bytes) -> bool:
        """False if a look at the bytes shows that a line does not match."""
        small = line.lower()
        # Beyond ASCII, small letters of bytes and of text are not the same.
        return not line.isascii() or all(word in small for word in self._raw)

    def are_in(self, cells: Iterable[object]) -> bool:
        """Whether every word stands in one of the cells."""
        text = "\n".join(str(cell) for cell in cells if cell is not None).lower()
        return all(word in text for word in self.each)


class ResultFile:
    """What all forms of results have in common."""

    heads: tuple[str, ...]
    torn = False
    """True, once all was read, if a last row is not whole."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def stretches(self) -> Iterator[Stretch]:
        """Yield all rows in their order, a stretch at a time, up to the first that is no result."""
        raise NotImplementedError

    def rows(self, starts: Sequence[int], *, whole: bool = True) -> list[Mapping[str, Any]]:
        """Read some rows as `read_results` gives them, or at least what a table shows of them."""
        raise NotImplementedError

    def matching(
        self, words: SearchWords, starts: Whole, is_stale: Callable[[], bool]
    ) -> Iterator[bool]:
        """Yield for each row whether its text holds all words; ends early once nobody waits."""
        raise NotImplementedError

    def fault(self, field: str, given: str, accepted: str = "a row of results") -> InputError:
        """The error that something in the file is."""
        return InputError([Fault(str(self.path), field, given, accepted)])

    def changed(self) -> InputError:
        """The error that a file is which is no longer the one that was opened."""
        return self.fault("file", "a file that changed since it was opened", "the same file")
