"""Kinds of screens: panels in a frame, and over it small ones to choose, to type and to read."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import partial
from types import MappingProxyType
from typing import ClassVar, cast

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from configurator.report.lines import cells, cut, wrapped
from configurator.tui.entries import Entries
from configurator.tui.keys import SPELLED, Deed, key_lines
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Spans, column, printable
from configurator.tui.session_app import SessionApp

WIDE = 100
"""Columns from which all panels are seen at once."""

LOW = 24
"""Lines below which panels that tell in words give room to tables."""

FLOOR = (60, 20)
"""Columns and lines below which nothing is drawn."""

WIDEST = 110
"""Columns of a box, as in the style sheet."""

NAME_WIDTH = 26

NO_HEADS: Mapping[int, Mapping[str, str]] = MappingProxyType({})

KEY_NAMES = {spelled: name for name, spelled in SPELLED.items()} | {
    "Esc": "escape",
    "Del": "delete",
    "Tab": "tab",
}
"""Keys by what hints call them."""

Entry = tuple[str, str]
"""A name and what it is."""


class Bar(LinePanel, can_focus=False):
    """A line with a left and a right end; the left one gives way."""

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self._left: Spans = ()
        self._right = ""

    def show(self, left: Spans, right: str = "") -> None:
        """Show other words."""
        self._left, self._right = left, right
        self.refresh()

    def clicks(self, text: str, start: int) -> None:
        """Let hints be clicked: what stands between two blanks begins with the key it stands for."""
        for found in re.finditer(r"(\S+)(?: \S+)*", text):
            key = KEY_NAMES.get(found[1], found[1])
            if len(found[1]) == 1 or found[1] in KEY_NAMES:
                first, last = found.span()
                self.link(0, start + first, last - first, partial(self.app.simulate_key, key))

    def head(self, width: int) -> Sequence[Spans]:
        room = width - cells(self._right)
        self.links = []
        if self.id in ("hints", "tabs"):
            self.clicks(re.sub(r"[][]", " ", "".join(text for text, _ in self._left)), 0)
            self.clicks(self._right, max(room, 0))
        found: list[tuple[str, str]] = []
        for text, style in self._left:
            kept = text if cells(text) <= room else cut(text, max(room - 1, 0)) + " " * (room > 0)
            found.append((kept, style))
            room -= cells(kept)
        return [[*found, (" " * max(room, 0), ""), (self._right, "strong")]]


class Floor(LinePanel, can_focus=False):
    """What stands on a screen that is too small for anything else."""

    def head(self, _width: int) -> Sequence[Spans]:
        here = f"{self.app.size.width}x{self.app.size.height} here,"
        words = (here, "60x20 needed.", "Nothing is lost.", "q leaves.")
        return [[("Too small.", "strong")], *([(text, "")] for text in words)]


class FramedScreen(Screen[None]):
    """Panels between a line on top and two below: what was said, and the keys."""

    DEEDS: ClassVar[Sequence[Deed]] = ()
    """Keys of this screen, each with the deed that is an action of it."""

    @property
    def hw(self) -> SessionApp:
        """The application, by its own type."""
        return cast("SessionApp", self.app)

    @property
    def wide(self) -> bool:
        """True where all panels have room."""
        return self.app.size.width >= WIDE

    def on_resize(self, _event: events.Resize) -> None:
        self.fit()

    def fit(self) -> None:
        """Take the classes of the size, for the style sheet, and what its lines have room for."""
        width, height = self.app.size
        self.set_class(width < FLOOR[0] or height < FLOOR[1], "-floor")
        self.set_class(height < LOW, "-low")
        self.set_class(self.wide, "-wide")
        self.set_class(not self.wide, "-slim")
        self.show_top()
        self.show_hints()

    def show_top(self) -> None:
        """Show the line above the panels."""
        raise NotImplementedError

    def show_hints(self) -> None:
        """Show the keys of the panel at hand."""
        raise NotImplementedError

    def show_says(self, words: str) -> None:
        """Show the line above the keys."""
        self.tell("says", words, "accent")

    def tell(self, bar: str, words: str, style: str = "", right: str = "") -> None:
        """Show words in one of the lines around the panels."""
        self.query_one(f"#{bar}", Bar).show([(f" {words}", style)], right)

    def do(self, deed: str) -> None:
        """Do what one of the keys stands for."""
        getattr(self, f"action_{deed}")()

    def action_commands(self) -> None:
        entries = [(deed, words) for _, deed, words in self.DEEDS if deed != "commands"]
        self.hw.ask_for(Chooser("Commands", entries), self.do)

    def action_theme(self) -> None:
        self.hw.next_theme()

    def action_help(self) -> None:
        """Show the words of the panel at hand, then all keys and marks, those of this screen first."""
        width = min(self.app.size.width, WIDEST) - 4
        lines = [*self.words(width), *key_lines(self.DEEDS, width)]
        self.app.push_screen(PageScreen("Words, keys and marks", lines))

    def words(self, _width: int) -> Sequence[Spans]:
        """What the words of the panel at hand mean."""
        return ()

    def action_leave(self) -> None:
        """End; the session is kept."""
        self.hw.leave()


class Box(ModalScreen[str | None]):
    """Something over the other screens, with a title above it and its keys below."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave")]

    def __init__(self, title: str, keys: str, *inside: Widget) -> None:
        super().__init__()
        self._words = title, keys
        self._inside = inside
        self.top, self.hints = Bar(id="top"), Bar(id="hints")
        self._went_back = False

    def compose(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield self.top
            yield from self._inside
            yield self.hints

    def on_mount(self) -> None:
        self.name_it(*self._words)

    def name_it(self, title: str, keys: str) -> None:
        """Show title and keys; keys typed ahead may have taken both bars away again."""
        self.top.show([(f" {title}", "strong")])
        self.hints.show([(f" {keys}", "")])

    def action_leave(self) -> None:
        self.go_back()

    def go_back(self, given: str | None = None) -> None:
        """Go back with what was chosen, once: keys typed ahead may come to a box that is closed."""
        if not self._went_back:
            self._went_back = True
            self.dismiss(given)


def narrowed(entries: Sequence[Entry], typed: str) -> list[Entry]:
    """Entries that hold every word typed, those that begin with it first."""
    words = typed.casefold().split()
    found = [
        entry for entry in entries if all(word in " ".join(entry).casefold() for word in words)
    ]
    return sorted(found, key=lambda entry: not entry[0].casefold().startswith(typed.casefold()))


class Chooser(Box):
    """A line to type in and a list that narrows; what is typed may be taken as it is, if `free`."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "move(1)", "down", show=False, priority=True),
        Binding("up", "move(-1)", "up", show=False, priority=True),
        Binding("pagedown", "page(1)", "down", show=False, priority=True),
        Binding("pageup", "page(-1)", "up", show=False, priority=True),
    ]

    def __init__(self, title: str, entries: Sequence[Entry], *, free: bool = False) -> None:
        self.every = entries
        self._free = free
        self._shown = Entries(id="entries", compact=True, markup=False)
        self._shown.can_focus = False
        typed = Input(id="typed", compact=True, placeholder="type to narrow the list")
        keys = f"up/down move  Enter take  Esc leave{'  or a path' if free else ''}"
        super().__init__(title, keys, typed, self._shown)

    def on_resize(self) -> None:
        self._narrow(self.query_one(Input).value)

    def on_input_changed(self, event: Input.Changed) -> None:
        self._narrow(event.value)

    def _narrow(self, typed: str) -> None:
        """Show the entries that match, names in a column that holds the longest if there is room."""
        width = min(self.app.size.width, WIDEST) - 2
        longest = max((cells(name) for name, _ in self.every), default=0)
        room = min(max(longest, NAME_WIDTH), width // 2)
        lines = [
            Option(cut(f"{column(printable(name), room)} {printable(words)}", width), id=name)
            for name, words in narrowed(self.every, typed)
        ]
        self._shown.clear_options().add_options(lines)
        self._shown.highlighted = 0 if lines else None
        self._shown.border_subtitle = f" {len(lines)} of {len(self.every)} "

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.take()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.go_back(event.option.id)  # the list may be a narrower one since it was clicked

    def take(self) -> None:
        """Take the entry under the cursor, or what is typed where nothing matches."""
        typed = self.query_one(Input).value.strip()
        if self._shown.highlighted is not None:
            self.go_back(self._shown.get_option_at_index(self._shown.highlighted).id)
        elif self._free and typed:
            self.go_back(typed)

    def action_move(self, by: int) -> None:
        self.action_page(by, step=1)

    def action_page(self, by: int, step: int = 0) -> None:
        here = self._shown.highlighted
        if here is not None:
            to = here + by * (step or self._shown.size.height)
            self._shown.highlighted = min(max(to, 0), self._shown.option_count - 1)


class Prompt(Box):
    """One line to type, and what stands there to begin with."""

    def __init__(self, title: str, value: str) -> None:
        line = Input(value, id="typed", compact=True, select_on_focus=False)
        super().__init__(title, "Enter take  Esc leave", line)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.go_back(event.value.strip() or None)


class PagePanel(LinePanel):
    """Lines to read."""

    def __init__(self, lines: Sequence[Spans]) -> None:
        super().__init__(id="page")
        self._lines = lines

    def count(self) -> int:
        return len(self._lines)

    def line(self, index: int, _width: int) -> Spans:
        return [(" ", ""), *self._lines[index]]


class PageScreen(Box):
    """A page to read; Esc or q goes back.

    `heads` gives by line the parts of the head that it tells of, for Enter to pick them.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q,question_mark", "leave", "leave"),
        Binding("i", "adopt", "pick the parts of the head"),
    ]

    def __init__(
        self, title: str, lines: Sequence[Spans], heads: Mapping[int, Mapping[str, str]] = NO_HEADS
    ) -> None:
        self.page = PagePanel(lines)
        self.page.cursor = min(heads, default=0)
        self._heads = heads
        picks = "Enter pick the parts of a head  " if heads else ""
        super().__init__(title, f"up/down scroll  {picks}Esc back", self.page)

    def on_mount(self) -> None:
        self.page.focus()

    def on_line_panel_acted(self) -> None:
        self.action_adopt()

    def action_adopt(self) -> None:
        """Pick all parts of the head under the cursor, if the material of now has such slots."""
        parts, app = self._heads.get(self.page.cursor), cast("SessionApp", self.app)
        if parts is None:
            return
        self.go_back()
        answer = app.session.answer
        if answer is None or not {*parts} <= {*answer.frame.slots}:
            app.say("not picked: the material on the screen has no such slots")
        elif app.session.adopt(parts):
            app.changed(f"{len(parts)} parts of the head picked (z undoes it)")
        else:
            app.say("these parts are picked already")


def show_command(app: SessionApp, command: str, notes: Sequence[str]) -> None:
    """Show a command with what there is to say of it, and send it to the terminal's clipboard."""
    app.copy_to_clipboard(command)
    lines: list[Spans] = [[(line, "strong")] for line in wrapped(command, app.size.width - 6)]
    words = "Sent to the terminal's clipboard; not all terminals take it."
    lines += [[(text, "")] for text in ("", words, *notes)]
    app.push_screen(PageScreen("The same on the command line", lines))
