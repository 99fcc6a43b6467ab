"""The review of a screening: totals, the rows, and the row under the cursor in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Input

from configurator.report.lines import cut
from configurator.screen.tally import STATES
from configurator.tui.choosing import Chooser, Entry, PageScreen
from configurator.tui.key_page import key_lines
from configurator.tui.keys import REVIEW_HELP
from configurator.tui.line_panel import LinePanel
from configurator.tui.panels.bar import Bar, Floor
from configurator.tui.panels.result_row import ResultRowPanel, lines_of
from configurator.tui.panels.results import ResultsPanel
from configurator.tui.review.listing import SORTS
from configurator.tui.review.result_row import MARKS, said_of, whole_row
from configurator.tui.said import Said
from configurator.tui.screen_sizes import fit
from configurator.units.display import plural, spaced

if TYPE_CHECKING:
    from configurator.tui.app import HeadwrightApp
    from configurator.tui.review.review import Review
    from configurator.tui.reviewing import Reviewing

ALL = "all"
LONGEST_NAME = 40


class ReviewScreen(Screen[None]):
    """A results file, row by row.

    Parameters
    ----------
    review : Review
        What is looked at, with place, filter and order.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "following", "other panel", id="review.next"),
        Binding("shift+tab", "following", "other panel", id="review.before"),
        *(
            Binding(keys, f"deed('{deed}')", words, id=f"review.{deed}")
            for keys, deed, words in REVIEW_HELP
        ),
    ]

    def __init__(self, review: Review) -> None:
        super().__init__()
        self.review = review
        self._typed_before = review.words.typed

    def compose(self) -> ComposeResult:
        """Lay out totals and rows, a line to type in, the row in words."""
        yield Bar(id="top")
        yield ResultsPanel(self.review)
        yield Input(id="find", compact=True, placeholder="words, in any cell of a row")
        yield ResultRowPanel()
        yield Bar(id="says")
        yield Bar(id="hints")
        yield Floor(id="floor")

    @property
    def hw(self) -> HeadwrightApp:
        """The application, by its own type."""
        return cast("HeadwrightApp", self.app)

    @property
    def reviewing(self) -> Reviewing:
        """Who reads, searches and opens rows."""
        return self.hw.reviewing

    @property
    def results(self) -> ResultsPanel:
        """The rows."""
        return self.query_one(ResultsPanel)

    @property
    def in_words(self) -> ResultRowPanel:
        """The row under the cursor."""
        return self.query_one(ResultRowPanel)

    # Size and focus

    def on_mount(self) -> None:
        """Start in the rows."""
        fit(self)
        self.results.focus()
        self.renew()

    def on_resize(self, _event: events.Resize) -> None:
        """Lay out for the new size."""
        fit(self)
        self.show_top()
        self.show_hints()

    def action_following(self) -> None:
        """Go from the rows to the row in words, or back."""
        (self.in_words if self.results.keys else self.results).focus()

    def on_descendant_focus(self) -> None:
        """Show the keys of the panel that has them."""
        self.show_hints()

    # Drawing

    def renew(self) -> None:
        """Draw everything from the review as it is."""
        self.results.renew()
        self.show_top()
        self.show_row()

    def show_top(self) -> None:
        """Say which file it is, and how far it is read."""
        review = self.review
        if review.fault is not None:
            words = "not read to its end "
        elif review.reading:
            words = f"~ reading, {plural(len(review.listing), 'row')} so far "
        elif review.file.torn:
            words = f"{plural(len(review.listing), 'row')}, a last one torn off "
        else:
            words = f"{plural(len(review.listing), 'row')} "
        name = cut(review.path.name, LONGEST_NAME)
        self.query_one("#top", Bar).show([(f" {name}", "strong")], words)
        if review.fault is not None:
            self.show_says(str(review.fault))

    def show_hints(self) -> None:
        """Show the keys of the panel at hand."""
        panel: LinePanel = self.in_words if self.in_words.has_focus else self.results
        wide = "-wide" in self.classes
        always = " p commands  ? keys  q leave " if wide else " ? keys  q leave "
        if wide and panel is self.results:
            always = f" Tab row in words {always}"
        if self.query_one("#find", Input).has_focus:
            self.query_one("#hints", Bar).show([(" Enter keep the words  Esc as it was", "")])
        else:
            self.query_one("#hints", Bar).show([(f" {panel.HINTS}", "")], always)

    def show_says(self, words: str) -> None:
        """Show the line above the keys."""
        self.query_one("#says", Bar).show([(f" {words}", "accent")])

    def show_row(self) -> None:
        """Show the row under the cursor, and have it compared with what would be judged now."""
        row = self.review.here
        if row is None:
            self.in_words.show("Row", ())
            return
        self.in_words.show(row.title, said_of(row, self.reviewing.remarks_on(self.review, row)))

    # What happens in it

    def on_line_panel_moved(self, event: LinePanel.Moved) -> None:
        """Follow a cursor that moved."""
        if event.panel is self.results:
            self.show_row()

    def on_results_panel_wanted(self, event: ResultsPanel.Wanted) -> None:
        """Filter or sort by what was clicked."""
        if event.sort:
            self._sort(event.sort)
        elif event.state is not None:
            self._show_state(event.state)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the rows while somebody types."""
        if event.value != self.review.words.typed:
            self._show_words(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the words."""
        event.stop()
        self._close_find()

    def on_key(self, event: events.Key) -> None:
        """Leave the words as they were on Escape."""
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

    def action_deed(self, name: str) -> None:
        """Do what one of the keys stands for."""
        getattr(self, f"_do_{name}")()

    def _choose(self, title: str, entries: list[Entry], then: Callable[[str], None]) -> None:
        def took(choice: str | None) -> None:
            if choice is not None:
                then(choice)

        self.app.push_screen(Chooser(title, entries), took)

    def _do_open(self) -> None:
        self.reviewing.open_row()

    def _do_state(self) -> None:
        totals = self.review.listing.totals
        entries = [(ALL, plural(len(self.review.listing), "row"))]
        entries += [(state, f"{MARKS[state]} {spaced(totals[state])}") for state in STATES]
        self._choose("Show rows in which state", entries, self._chose_state)

    def _chose_state(self, choice: str) -> None:
        self._show_state("" if choice == ALL else choice)

    def _do_find(self) -> None:
        self._typed_before = self.review.words.typed
        self.add_class("-finding")
        line = self.query_one("#find", Input)
        line.value = self._typed_before
        line.cursor_position = len(line.value)
        line.focus()

    def _do_sort(self) -> None:
        entries = [
            (sort, f"{words}; again turns it around" if sort == self.review.sort else words)
            for sort, words in SORTS.items()
        ]
        self._choose("Sort rows by", entries, self._sort)

    def _do_whole(self) -> None:
        row = self.review.here
        if row is None:
            self.show_says("no row under the cursor")
            return
        remarks = self.reviewing.remarks_on(self.review, row)
        width = min(self.app.size.width, 108) - 4
        said = (*said_of(row, remarks), Said(""), *whole_row(row))
        self.app.push_screen(PageScreen(row.title, [*lines_of(said, width)]))

    def _do_line(self) -> None:
        self.reviewing.show_line()

    def _do_theme(self) -> None:
        self.hw.main.deeds.theme()

    def _do_commands(self) -> None:
        entries = [(deed, words) for _, deed, words in REVIEW_HELP if deed != "commands"]
        self._choose("Commands", entries, self.action_deed)

    def _do_help(self) -> None:
        self.app.push_screen(PageScreen("Keys and marks", key_lines(review_first=True)))

    def _do_panels(self) -> None:
        self.reviewing.leave()

    def _do_leave(self) -> None:
        self.hw.leave()
