"""What all forms of a results file have in common: rows in figures, and the words searched for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.errors import Fault, InputError, described
from configurator.screen.result_columns import NAMES
from configurator.screen.tally import STATES

FIGURES = ("row", "state", "builds", "tightest_margin")
"""Columns that are kept of every row; all others are read again when a row is looked at."""

PLACES = {state: place for place, state in enumerate(STATES)}
"""Place of each state, from best to worst."""

_LARGEST_ROW = 2**62

Places = NDArray[np.intp]

SORTS: Mapping[str, str] = {
    "row": "as in the file",
    "state": "best first",
    "builds": "most first",
    "margin": "tightest first",
}
"""What rows can be sorted by, and which end comes first; turned around it is the other one."""

Whole = NDArray[np.int64]
Real = NDArray[np.float64]


class OddCellError(ValueError):
    """A cell of a kept column holds something else than it should: where, and what stands there."""

    def __init__(self, at: int, given: str) -> None:
        self.at = at
        self.given = given
        super().__init__(at, given)


@dataclass(frozen=True, eq=False)
class Stretch:
    """Rows that follow one another."""

    starts: Whole
    """Where each begins: a byte of the file, or its place among all rows."""
    numbers: Whole
    """Number in the list that was screened."""
    states: NDArray[np.uint8]
    """Place in `STATES`."""
    builds: Real
    """Builds that are not ruled out; NaN where the row says nothing of them."""
    margins: Real
    """Least margin of the best build; NaN where none is known."""

    def __len__(self) -> int:
        """Rows in it."""
        return len(self.starts)


def stretch_of(starts: Iterable[int], rows: Sequence[Sequence[Any]]) -> Stretch:
    """Make a stretch of the kept columns of rows; an OddCellError names the first that is odd."""
    try:
        return _made(starts, rows)
    except (ValueError, TypeError, KeyError, OverflowError):
        for at, row in enumerate(rows):
            _check(at, row)
        raise


def _made(starts: Iterable[int], rows: Sequence[Sequence[Any]]) -> Stretch:
    numbers, states, builds, margins = zip(*rows, strict=True) if rows else ((), (), (), ())
    return Stretch(
        np.fromiter(starts, np.int64),
        np.fromiter(map(int, numbers), np.int64, len(rows)),
        np.fromiter((PLACES[state] for state in states), np.uint8, len(rows)),
        np.fromiter(map(_number, builds), np.float64, len(rows)),
        np.fromiter(map(_number, margins), np.float64, len(rows)),
    )


def _number(cell: Any) -> float:
    """A figure; NaN where the cell is empty."""
    return float("nan") if cell is None or cell == "" else float(cell)


def _check(at: int, row: Sequence[Any]) -> None:
    number, state, builds, margin = row
    if not isinstance(state, str) or state not in PLACES:
        raise OddCellError(at, f"state '{described(state)}'")
    for name, read, cell in (
        ("row", _whole, number),
        ("builds", _number, builds),
        ("tightest_margin", _number, margin),
    ):
        try:
            read(cell)
        except (ValueError, TypeError, OverflowError):
            raise OddCellError(at, f"{name} '{described(cell)}'") from None


def _whole(cell: Any) -> int:
    number = int(cell)
    if abs(number) > _LARGEST_ROW:
        raise OverflowError
    return number


class Listing:
    """Figures of all rows that were read so far."""

    def __init__(self) -> None:
        self.figures = stretch_of([], [])

    def __len__(self) -> int:
        """Rows so far."""
        return len(self.figures)

    def add(self, stretches: Iterable[Stretch]) -> None:
        """Take further rows."""
        every = (self.figures, *stretches)
        self.figures = Stretch(
            *(
                np.concatenate([getattr(each, column.name) for each in every])
                for column in fields(Stretch)
            )
        )

    @property
    def totals(self) -> dict[str, int]:
        """Rows in each state, from best to worst."""
        counts = np.bincount(self.figures.states, minlength=len(STATES))
        return {state: int(count) for state, count in zip(STATES, counts, strict=True)}

    @property
    def last_number(self) -> int:
        """The largest number of a row."""
        return int(self.figures.numbers.max(initial=0))

    def shown(
        self, state: str = "", found: Places | None = None, sort: str = "row", *, turned: bool
    ) -> Places:
        """Places of the rows to show, in order; of equals the earlier first.

        Only rows in a state, if one is named, and only those found, if words are looked for. Turned
        around, the other end is first; rows that have no such figure stay last.
        """
        places = np.arange(len(self), dtype=np.intp) if found is None else np.sort(found)
        if state:
            places = places[self.figures.states[places] == PLACES[state]]
        if sort == "row":
            return places[::-1] if turned else places
        if sort == "state":
            keys = self.figures.states[places].astype(np.float64)
        elif sort == "builds":
            keys = -self.figures.builds[places]
        else:
            keys = self.figures.margins[places]
        return places[np.argsort(-keys if turned else keys, kind="stable")]


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
