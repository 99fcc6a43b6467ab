"""A review: a results file, what is shown of it in which order, and where somebody stands in it."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from configurator.errors import HeadwrightError, InputError
from configurator.reading import see_file
from configurator.screen.results import SUFFIXES
from configurator.screen.tally import STATES
from configurator.tui.review.rebuilt import Bench
from configurator.tui.review.result_file import (
    SORTS,
    Listing,
    Places,
    ResultFile,
    SearchWords,
    Stretch,
)
from configurator.tui.review.result_row import ResultRow

AT_FIRST = 10_000
"""Rows that are read before anything is shown, so that a broken file is refused at once."""

A_STEP = 0.1
"""Time that one step of reading takes at most, so that other work comes in between. [s]"""

PAGE = 64
"""Rows that are read whole at a time."""

PAGES_KEPT = 16


@dataclass(frozen=True)
class ReadOn:
    """What a step of reading came to."""

    stretches: tuple[Stretch, ...]
    done: bool
    """True if there are no more."""
    fault: HeadwrightError | None = None


@dataclass(frozen=True, eq=False)
class Found:
    """Rows that hold some words."""

    words: SearchWords
    upto: int
    """Rows that were looked at, from the first on."""
    places: Places
    """Those that hold them all."""


class Review:
    """Somebody's look at a results file; its rows are rebuilt and compared with what is on a bench.

    Raises
    ------
    InputError
        If the file is none of results, or one of its first rows is none.
    """

    def __init__(self, path: Path, bench: Bench) -> None:
        self.path = path
        self.bench = bench
        self.file: ResultFile = open_results(path)
        self.listing = Listing()
        self.reading = True
        self.fault: HeadwrightError | None = None
        """Why reading ended before the end of the file."""
        self.state = ""
        self.words = SearchWords()
        self.sort = "row"
        self.turned = False
        self.cursor = 0
        """Which of the rows shown somebody stands on."""
        self.first = 0
        self.order: Places = np.empty(0, np.intp)
        self._found: Found | None = None
        self._here: tuple[int, ResultRow] | None = None
        self._pages: OrderedDict[int, list[ResultRow]] = OrderedDict()
        self._stretches = self.file.stretches()
        self._read_first()

    # Reading

    def _read_first(self) -> None:
        stretches = []
        rows = 0
        for stretch in self._stretches:
            stretches.append(stretch)
            rows += len(stretch)
            if rows >= AT_FIRST:
                break
        else:
            self.reading = False
        self.listing.add(stretches)
        self._renew()

    def read_on(self) -> ReadOn:
        """Read for a moment; meant for a thread beside the screen, one at a time."""
        until = time.monotonic() + A_STEP
        stretches = []
        try:
            for stretch in self._stretches:
                stretches.append(stretch)
                if time.monotonic() > until:
                    return ReadOn(tuple(stretches), done=False)
        except HeadwrightError as fault:
            return ReadOn(tuple(stretches), done=True, fault=fault)
        return ReadOn(tuple(stretches), done=True)

    def take(self, step: ReadOn) -> None:
        """Take what a step of reading brought."""
        self.listing.add(step.stretches)
        self.reading = not step.done
        self.fault = step.fault
        self._renew()

    # Which rows, in which order

    def __len__(self) -> int:
        """Rows that are shown."""
        return len(self.order)

    @property
    def narrowed(self) -> bool:
        """True if not all rows are to be shown."""
        return bool(self.state or self.words.each)

    @property
    def searching(self) -> bool:
        """True while the rows that hold the words are not all known."""
        found = self._found
        if not self.words.each:
            return False
        return found is None or found.words != self.words or found.upto < len(self.listing)

    def show_state(self, state: str) -> None:
        """Show the rows in one state; an empty text shows all."""
        self.state = state
        self._renew()

    def show_words(self, typed: str) -> None:
        """Show the rows that hold words; they have to be searched for where there are any."""
        self.words = SearchWords(typed)
        if not self.words.each:
            self._found = None
        self._renew()

    def sort_by(self, sort: str) -> None:
        """Sort by a figure; by the one that sorts already, turn the order around."""
        self.turned = sort == self.sort and not self.turned
        self.sort = sort
        self._renew()

    @property
    def sorted_in_words(self) -> str:
        """The order, as people call it."""
        return f"by {self.sort}, {'turned around' if self.turned else SORTS[self.sort]}"

    def search(self) -> Callable[[Callable[[], bool]], Found | None]:
        """Work that finds the rows that hold the words; None from it if nobody waits any more."""
        words, before = self.words, self._found
        starts = self.listing.figures.starts
        places = np.arange(len(starts), dtype=np.intp)
        known = np.empty(0, np.intp)
        if before is not None and before.words == words:
            known, places = before.places, places[before.upto :]
        elif before is not None and words.narrows(before.words):
            places = np.concatenate([before.places, places[before.upto :]])

        def work(is_stale: Callable[[], bool]) -> Found | None:
            held = [*self.file.matching(words, starts[places], is_stale)]
            if len(held) < len(places):
                return None
            found = places[np.array(held, dtype=np.bool_)] if held else places
            return Found(words, len(starts), np.concatenate([known, found]))

        return work

    def took(self, found: Found) -> None:
        """Take the rows that hold the words, if they are still those that are asked for."""
        if found.words == self.words:
            self._found = found
            self._renew()

    def _renew(self) -> None:
        """Lay out the rows anew; somebody stays on the row where they stand, if it is shown."""
        here = self.place
        places = None if not self.words.each or self._found is None else self._found.places
        self.order = self.listing.shown(self.state, places, self.sort, turned=self.turned)
        kept = [] if here is None else np.flatnonzero(self.order == here).tolist()
        self.cursor = kept[0] if kept else 0
        self._pages.clear()

    # Rows

    def row(self, index: int) -> ResultRow:
        """One of the rows that are shown, with what a table shows of it."""
        page = index // PAGE
        if page not in self._pages:
            places = self.order[page * PAGE : (page + 1) * PAGE]
            self._pages[page] = self._read(places, whole=False)
            if len(self._pages) > PAGES_KEPT:
                self._pages.popitem(last=False)
        self._pages.move_to_end(page)
        return self._pages[page][index % PAGE]

    def _read(self, places: Places, *, whole: bool) -> list[ResultRow]:
        figures = self.listing.figures
        starts = figures.starts[places].tolist()
        rows = [ResultRow(cells) for cells in self.file.rows(starts, whole=whole)]
        known = zip(figures.numbers[places], figures.states[places], strict=True)
        for row, (number, state) in zip(rows, known, strict=True):
            if row.number != number or row.state != STATES[state]:
                raise self.file.changed()
        return rows

    @property
    def place(self) -> int | None:
        """Place in the file of the row somebody stands on; None if none is shown."""
        return int(self.order[self.cursor]) if self.cursor < len(self) else None

    @property
    def here(self) -> ResultRow | None:
        """The whole row somebody stands on; None if none is shown, or it cannot be read any more."""
        place = self.place
        if place is None:
            return None
        if self._here is None or self._here[0] != place:
            try:
                (row,) = self._read(np.array([place], np.intp), whole=True)
            except InputError as fault:
                self.fault = fault
                return None
            self._here = (place, row)
        return self._here[1]


def open_results(path: Path) -> ResultFile:
    """Open a results file by its suffix, CSV where that says nothing.

    Raises
    ------
    InputError
        If it cannot be read or holds no results.
    UsageError
        If it is Parquet and pyarrow is not installed.
    """
    see_file(path, "a file of results")
    form = SUFFIXES.get(path.suffix.lower(), "csv")
    if form == "parquet":
        from configurator.tui.review.line_file import ColumnFile

        return ColumnFile(path)
    from configurator.tui.review.line_file import LineFile

    return LineFile(path, form)
