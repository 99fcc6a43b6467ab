"""Small screens over the main one: choose from a list that narrows, type a line, read a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input

from configurator.tui.line_panel import LinePanel
from configurator.tui.panels.bar import Bar
from configurator.tui.spans import Spans, column

NAME_WIDTH = 26

Entry = tuple[str, str]
"""A name and what it is."""


def narrowed(entries: Sequence[Entry], typed: str) -> list[Entry]:
    """Entries that hold every word typed, those that begin with it first."""
    words = typed.casefold().split()
    found = [
        entry for entry in entries if all(word in " ".join(entry).casefold() for word in words)
    ]
    return sorted(found, key=lambda entry: not entry[0].casefold().startswith(typed.casefold()))


class EntryPanel(LinePanel, can_focus=False):
    """The entries that are left."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        super().__init__(id="entries")
        self.every = list(entries)
        self.left = list(entries)

    def narrow(self, typed: str) -> None:
        """Keep the entries that match."""
        self.left = narrowed(self.every, typed)
        self.cursor = self.first = 0
        self.renew()

    def count(self) -> int:
        """Entries that are left."""
        return len(self.left)

    def line(self, index: int, width: int) -> Spans:
        """One entry."""
        name, words = self.left[index]
        here = ">" if index == self.cursor else " "
        text = f"{here} {column(name, min(NAME_WIDTH, width // 2))} {words}"
        return [(text, "strong" if index == self.cursor else "")]

    def clicked(self, index: int, column: int) -> None:
        """Take an entry."""
        del column
        self.cursor = index
        screen = self.screen
        if isinstance(screen, Chooser):
            screen.take()


class Chooser(ModalScreen[str | None]):
    """A line to type in and a list that narrows.

    Parameters
    ----------
    title : str
        What is chosen.
    entries : sequence of (str, str)
        Names with a description.
    free : bool
        True if what is typed may be taken as it is, such as a path.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave"),
        Binding("down", "move(1)", "down", show=False, priority=True),
        Binding("up", "move(-1)", "up", show=False, priority=True),
        Binding("pagedown", "page(1)", "down", show=False, priority=True),
        Binding("pageup", "page(-1)", "up", show=False, priority=True),
    ]

    def __init__(self, title: str, entries: Sequence[Entry], *, free: bool = False) -> None:
        super().__init__()
        self._title = title
        self._entries = entries
        self._free = free

    def compose(self) -> ComposeResult:
        """Title, input, list, keys."""
        with Vertical(classes="box"):
            yield Bar(id="top")
            yield Input(id="typed", compact=True, placeholder="type to narrow the list")
            yield EntryPanel(self._entries)
            yield Bar(id="hints")

    def on_mount(self) -> None:
        """Say what this is."""
        self.query_one("#top", Bar).show([(f" {self._title}", "strong")])
        own = "  or a path" if self._free else ""
        self.query_one("#hints", Bar).show([(f" up/down move  Enter take  Esc leave{own}", "")])

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow the list."""
        self.query_one(EntryPanel).narrow(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the entry under the cursor."""
        event.stop()
        self.take()

    def take(self) -> None:
        """Take the entry under the cursor, or what is typed where nothing matches."""
        panel = self.query_one(EntryPanel)
        typed = self.query_one(Input).value.strip()
        if panel.left:
            self.dismiss(panel.left[panel.cursor][0])
        elif self._free and typed:
            self.dismiss(typed)

    def action_move(self, by: int) -> None:
        """Move in the list while typing."""
        self.query_one(EntryPanel).action_move(by)

    def action_page(self, by: int) -> None:
        """Move in the list by a screen."""
        self.query_one(EntryPanel).action_page(by)

    def action_leave(self) -> None:
        """Choose nothing."""
        self.dismiss(None)


class Prompt(ModalScreen[str | None]):
    """One line to type.

    Parameters
    ----------
    title : str
        What is asked.
    value : str
        What stands there to begin with.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave")]

    def __init__(self, title: str, value: str) -> None:
        super().__init__()
        self._title, self._value = title, value

    def compose(self) -> ComposeResult:
        """Title, input, keys."""
        with Vertical(classes="box"):
            yield Bar(id="top")
            yield Input(self._value, id="typed", compact=True, select_on_focus=False)
            yield Bar(id="hints")

    def on_mount(self) -> None:
        """Say what this is."""
        self.query_one("#top", Bar).show([(f" {self._title}", "strong")])
        self.query_one("#hints", Bar).show([(" Enter take  Esc leave", "")])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the line."""
        event.stop()
        self.dismiss(event.value.strip() or None)

    def action_leave(self) -> None:
        """Take nothing."""
        self.dismiss(None)


class PagePanel(LinePanel):
    """Lines to read."""

    def __init__(self, lines: Sequence[Spans]) -> None:
        super().__init__(id="page")
        self._lines = lines

    def count(self) -> int:
        """All lines."""
        return len(self._lines)

    def line(self, index: int, width: int) -> Spans:
        """One line."""
        del width
        return [(" ", ""), *self._lines[index]]


class PageScreen(ModalScreen[None]):
    """A page to read; Esc or q goes back.

    Parameters
    ----------
    title : str
        What it is.
    lines : sequence of spans
        The page.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,question_mark", "leave", "leave")]

    def __init__(self, title: str, lines: Sequence[Spans]) -> None:
        super().__init__()
        self._title, self._lines = title, lines

    def compose(self) -> ComposeResult:
        """Title, page, keys."""
        with Vertical(classes="box"):
            yield Bar(id="top")
            yield PagePanel(self._lines)
            yield Bar(id="hints")

    def on_mount(self) -> None:
        """Say what this is."""
        self.query_one("#top", Bar).show([(f" {self._title}", "strong")])
        self.query_one("#hints", Bar).show([(" up/down scroll  Esc back", "")])
        self.query_one(PagePanel).focus()

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
