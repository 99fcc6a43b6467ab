"""The review of a screening: totals, the rows, and the row under the cursor in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input

from configurator.report.lines import cut
from configurator.screen.tally import STATES
from configurator.tui.keys import REVIEW_HELP, bindings_of
from configurator.tui.line_panel import LinePanel
from configurator.tui.panels.paragraphs import ResultRowPanel, lines_of
from configurator.tui.panels.results import ResultsPanel
from configurator.tui.review.result_file import SORTS
from configurator.tui.review.result_row import MARKS, ResultRow, said_of, whole_row
from configurator.tui.review.review import Review
from configurator.tui.reviewing import Reviewing
from configurator.tui.said import Said
from configurator.tui.screens import Bar, Chooser, Floor, FramedScreen, PageScreen
from configurator.units.display import plural, spaced

ALL = "all"
LONGEST_NAME = 40


class ReviewScreen(FramedScreen):
    """A results file, row by row, with place, filter and order."""

    DEEDS = REVIEW_HELP
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "following", "other panel", id="review.next"),
        Binding("shift+tab", "following", "other panel", id="review.before"),
        *bindings_of(REVIEW_HELP, "review"),
    ]

    def __init__(self, review: Review, reviewing: Reviewing) -> None:
        super().__init__()
        self.review = review
        self.reviewing = reviewing
        self.results = ResultsPanel(review)
        self.in_words = ResultRowPanel(id="result-row")
        self._typed_before = review.words.typed

    def compose(self) -> ComposeResult:
        yield Bar(id="top")
        yield self.results
        yield Input(id="find", compact=True, placeholder="words, in any cell of a row")
        yield self.in_words
        yield Bar(id="says")
        yield Bar(id="hints")
        yield Floor(id="floor")

    # Size and focus

    def on_mount(self) -> None:
        self.fit()
        self.results.focus()
        self.renew()

    def action_following(self) -> None:
        (self.in_words if self.results.keys else self.results).focus()

    def on_descendant_focus(self) -> None:
        self.show_hints()

    # Drawing

    def renew(self) -> None:
        self.results.renew()
        self.show_top()
        self.show_row()

    def show_top(self) -> None:
        review = self.review
        if review.fault is not None:
            words = "not read to its end "
        elif review.reading:
            words = f"~ reading, {plural(len(review.listing), 'row')} so far "
        elif review.file.torn:
            words = f"{plural(len(review.listing), 'row')}, a last one torn off "
        else:
            words = f"{plural(len(review.listing), 'row')} "
        self.tell("top", cut(review.path.name, LONGEST_NAME), "strong", words)
        if review.fault is not None:
            self.show_says(str(review.fault))

    def show_hints(self) -> None:
        panel: LinePanel = self.in_words if self.in_words.has_focus else self.results
        always = " p commands  ? keys  q leave " if self.wide else " ? keys  q leave "
        if self.wide and panel is self.results:
            always = f" Tab row in words {always}"
        if self.query_one("#find", Input).has_focus:
            self.tell("hints", "Enter keep the words  Esc as it was")
        else:
            self.tell("hints", panel.HINTS, right=always)

    def show_row(self) -> None:
        """Show the row under the cursor, and have it compared with what would be judged now."""
        row = self.review.here
        if row is None:
            self.in_words.show("Row", ())
            return
        self.in_words.show(row.title, said_of(row, self.reviewing.remarks_on(self.review, row)))

    # What happens in it

    def on_line_panel_moved(self, event: LinePanel.Moved) -> None:
        if event.panel is self.results:
            self.show_row()

    def on_line_panel_acted(self) -> None:
        self.action_open()

    def on_results_panel_wanted(self, event: ResultsPanel.Wanted) -> None:
        if event.sort:
            self._sort(event.sort)
        elif event.state is not None:
            self._show_state(event.state)

    def on_input_changed(self, event: Input.Changed) -> None:
        if event.value != self.review.words.typed:
            self._show_words(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._close_find()

    def on_key(self, event: events.Key) -> None:
        if event.key == "escape" and self.query_one("#find", Input).has_focus:
            event.stop()
            self._show_words(self._typed_before)
            self._close_find()

    def _close_find(self) -> None:
        self.remove_class("-finding")
        self.results.focus()

    def _show_words(self, typed: str) -> None:
        self.review.show_words(typed)
        self.reviewing.find()
        self.renew()

    def _show_state(self, state: str) -> None:
        self.review.show_state(state)
        self.renew()
        shown = plural(len(self.review), "row")
        self.show_says(f"{shown} in the state '{state}'" if state else f"all states, {shown}")

    def _sort(self, sort: str) -> None:
        self.review.sort_by(sort)
        self.renew()
        self.show_says(f"{self.review.sorted_in_words}; the same again turns it around")

    # Deeds, by the names of `REVIEW_HELP`

    def action_open(self) -> None:
        self._on_row(self.reviewing.open_row)

    def action_state(self) -> None:
        totals = self.review.listing.totals
        entries = [(ALL, plural(len(self.review.listing), "row"))]
        entries += [(state, f"{MARKS[state]} {spaced(totals[state])}") for state in STATES]
        chooser = Chooser("Show rows in which state", entries)
        self.hw.ask_for(chooser, lambda state: self._show_state("" if state == ALL else state))

    def action_find(self) -> None:
        self._typed_before = self.review.words.typed
        self.add_class("-finding")
        line = self.query_one("#find", Input)
        line.value = self._typed_before
        line.cursor_position = len(line.value)
        line.focus()

    def action_sort(self) -> None:
        entries = [
            (sort, f"{words}; again turns it around" if sort == self.review.sort else words)
            for sort, words in SORTS.items()
        ]
        self.hw.ask_for(Chooser("Sort rows by", entries), self._sort)

    def action_whole(self) -> None:
        self._on_row(self._show_whole)

    def _on_row(self, then: Callable[[Review, ResultRow], None]) -> None:
        if self.review.here is None:
            self.hw.say("no row under the cursor")
        else:
            then(self.review, self.review.here)

    def _show_whole(self, review: Review, row: ResultRow) -> None:
        remarks = self.reviewing.remarks_on(review, row)
        width = min(self.app.size.width, 108) - 4
        said = (*said_of(row, remarks), Said(""), *whole_row(row))
        self.app.push_screen(PageScreen(row.title, [line for line, _ in lines_of(said, width)]))

    def action_line(self) -> None:
        self._on_row(self.reviewing.show_line)

    def action_panels(self) -> None:
        """Go to the panels; place, filter and order stay."""
        self.app.pop_screen()
        self.hw.ask_late()
