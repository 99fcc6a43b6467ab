"""Results: the rows of a screening, read as they are scrolled."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual.message import Message

from configurator.errors import InputError
from configurator.report.lines import cells, cut
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Span, Spans, column, flowed, paragraph, short_count
from configurator.tui.review.result_row import MARKS, STYLES, ResultRow
from configurator.units.display import spaced

if TYPE_CHECKING:
    from configurator.tui.review.review import Review

STATE, BUILDS, MARGIN = 12, 7, 8
NAME_WIDE, NAME_SLIM = 30, 18
PROCESS_WIDE, PROCESS_SLIM = 16, 10
WIDE = 100
"""Columns from which names have more room."""

LONGEST_TYPED = 24


class ResultsPanel(LinePanel):
    """Totals by state, and below them a row a line."""

    NAME = "Results"
    HINTS = "Enter open  f state  / find  s sort  w whole row  v panels"

    class Wanted(Message):
        """A click on a total or on the head of a column."""

        def __init__(self, *, state: str | None = None, sort: str = "") -> None:
            super().__init__()
            self.state = state
            self.sort = sort

    def __init__(self, review: Review) -> None:
        super().__init__(id="results")
        self.review = review
        self.cursor, self.first = review.cursor, review.first

    # Where one is

    def renew(self) -> None:
        self.cursor = self.review.cursor
        super().renew()
        self._remember()

    def go(self, index: int) -> None:
        super().go(index)
        self._remember()

    def _scroll(self, by: int) -> None:
        super()._scroll(by)
        self._remember()

    def _remember(self) -> None:
        self.review.cursor, self.review.first = self.cursor, self.first

    # Words around the rows

    def title_words(self) -> str:
        review = self.review
        narrowed = [review.state] if review.state else []
        if review.words.each:
            mark = "~ " if review.searching else ""
            narrowed.append(f"{mark}with '{cut(review.words.typed, LONGEST_TYPED)}'")
        if review.sort != "row" or review.turned:
            narrowed.append(review.sorted_in_words)
        return ", ".join([f"{self.NAME}: {narrowed[0]}", *narrowed[1:]]) if narrowed else self.NAME

    def position_words(self) -> str:
        shown, every = len(self.review), len(self.review.listing)
        if not shown:
            return ""
        last = min(self.first + self.room, shown)
        of = f"{spaced(shown)} shown" if self.review.narrowed else spaced(shown)
        words = f" {spaced(self.first + 1)}-{spaced(last)} of {of}"
        return f"{words} of {spaced(every)} " if self.review.narrowed else f"{words} "

    def head(self, width: int) -> Sequence[Spans]:
        """Totals by state, then the heads of the columns or why there is no row."""
        lines = self._totals(width)
        if len(self.review):
            return [*lines, self._heads(width, len(lines))]
        if not len(self.review.listing):
            words = "~ reading" if self.review.reading else "The file holds no row of results yet."
            return [*lines, [(words, "strong")]]
        wanted = [f"in the state '{self.review.state}'"] if self.review.state else []
        if self.review.words.each:
            wanted.append("with these words")
        words = f"No row {' '.join(wanted)}{' yet' if self.review.searching else ''}."
        return [*lines, [(words, "strong")], *paragraph("f: other states; /: other words", width)]

    def _totals(self, width: int) -> list[Spans]:
        """All rows, then each state that occurs; the one shown in brackets."""
        listing = self.review.listing
        tokens = [(f"all {spaced(len(listing))}", "", "")]
        for state, count in listing.totals.items():
            if count:
                tokens.append((f"{MARKS[state]} {spaced(count)} {state}", STYLES[state], state))
        spans = [
            (f"[{words}]", "strong") if state == self.review.state else (f" {words} ", style)
            for words, style, state in tokens
        ]
        self.links = []
        lines = flowed([text for text, _ in spans], width)
        for number, places in enumerate(lines):
            used = 0
            for at in places:
                end = used + cells(spans[at][0])
                wanted = self.Wanted(state=tokens[at][2])
                self.link(number, used, end - used, partial(self.post_message, wanted))
                used = end
        return [[spans[at] for at in places] for places in lines]

    def _heads(self, width: int, line: int) -> Spans:
        number, name, process = self._widths(width)
        spans: list[Span] = []
        used = 0
        for text, size, sort in (
            (f"{'row':>{number + 1}}", number + 2, "row"),
            ("material", name + 1, ""),
            ("process", process + 1, ""),
            ("state", STATE + 1, "state"),
            (f"{'builds':>{BUILDS}}", BUILDS + 1, "builds"),
            (f"{'margin':>{MARGIN}}", MARGIN + 2, "margin"),
            ("reason", 6, ""),
        ):
            if sort:
                self.link(line, used, size, partial(self.post_message, self.Wanted(sort=sort)))
            spans.append((column(text, size), "strong"))
            used += size
        return spans

    def _widths(self, width: int) -> tuple[int, int, int]:
        number = max(len(str(self.review.listing.last_number)), 3)
        wide = width >= WIDE
        return (
            number,
            NAME_WIDE if wide else NAME_SLIM,
            PROCESS_WIDE if wide else PROCESS_SLIM,
        )

    # Rows

    def count(self) -> int:
        return len(self.review)

    def line(self, index: int, width: int) -> Spans:
        here = ">" if index == self.cursor else " "
        try:
            row = self.review.row(index)
        except InputError as fault:
            return [(f"{here} {fault.faults[0].given}", "fault")]
        return self._line(row, here, width)

    def _line(self, row: ResultRow, here: str, width: int) -> Spans:
        number, name, process = self._widths(width)
        count = row.count("builds")
        builds = "-" if count is None else short_count(count)
        asked = f"{column(row.name, name)} {column(row.text('process'), process)}"
        return [
            (f"{here}{row.number:>{number}} {asked} ", ""),
            (column(f"{row.mark} {row.state}", STATE) + " ", row.style),
            (f"{builds:>{BUILDS}} {column(row.margin or '-', MARGIN, right=True)}  ", ""),
            (row.because, ""),
        ]
