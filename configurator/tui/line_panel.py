"""A panel of lines with a cursor, drawn line by line, so that its length costs nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Self, cast

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.markup import escape
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from configurator.errors import shown
from configurator.tui.looks import BOLD, Spans, fitted
from configurator.tui.session_app import SessionApp

LONGEST_TITLE = 200

WHEEL = 3
"""Lines that one turn of the wheel moves."""


class _OfPanel(Message):
    def __init__(self, panel: LinePanel) -> None:
        super().__init__()
        self.panel = panel


class LinePanel(Widget, can_focus=True):
    """Fixed lines on top, lines that scroll under a cursor, fixed lines below.

    Subclasses say how many lines there are and what each of them is.
    """

    NAME: ClassVar[str] = ""
    DIGIT: ClassVar[str] = ""
    HINTS: ClassVar[str] = ""
    OWN_CURSOR: ClassVar[bool] = False
    """True if lines mark their cursor themselves, with the style `cursor`."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "up", show=False),
        Binding("down", "move(1)", "down", show=False),
        Binding("pageup", "page(-1)", "page up", show=False),
        Binding("pagedown", "page(1)", "page down", show=False),
        Binding("home", "edge(0)", "first", show=False),
        Binding("end", "edge(1)", "last", show=False),
        Binding("enter", "act", "act", show=False),
    ]

    class Moved(_OfPanel):
        """The cursor stands on another line."""

    class Acted(_OfPanel):
        """Enter was pressed on the line under the cursor, or it was clicked again."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's names
        super().__init__(id=id, classes=classes)
        self.cursor = 0
        self.keys = False
        """True while it has the keys."""
        self.first = 0
        """The line at the top of those that scroll."""
        self.links: list[tuple[int, int, int, Callable[[], object]]] = []
        """Line, first column and the one behind of what can be clicked, and what is done then."""
        self._edges: tuple[Sequence[Spans], Sequence[Spans]] | None = None
        self._borders = "", ""
        self._styles: dict[str, Style] = {}
        """Styles of the spans, worked out once for each time the panel is drawn."""

    # What a subclass says

    def head(self, _width: int) -> Sequence[Spans]:
        """Lines that stay on top."""
        return ()

    def foot(self, _width: int) -> Sequence[Spans]:
        """Lines that stay below."""
        return ()

    def count(self) -> int:
        """Lines that scroll."""
        return 0

    def line(self, _index: int, _width: int) -> Spans:
        """One of the lines that scroll."""
        return ()

    def stops_at(self, _index: int) -> bool:
        """Whether the cursor may stand on a line."""
        return True

    def last_of(self, index: int) -> int:
        """The last line that belongs to a line and should be seen with it."""
        return index

    def action_act(self) -> None:
        """What Enter does on the line under the cursor; the screen knows it, if the panel does not."""
        self.post_message(self.Acted(self))

    def came_near(self, _first: int, _last: int) -> None:
        """Hear which lines are shown, to fetch them."""

    # What all of them do

    @property
    def hw(self) -> SessionApp:
        """The application, by its own type."""
        return cast("SessionApp", self.app)

    @property
    def room(self) -> int:
        """Lines that scroll and are seen at once."""
        head, foot = self.edges()
        return max(self.size.height - len(head) - len(foot), 1)

    def edges(self) -> tuple[Sequence[Spans], Sequence[Spans]]:
        """The fixed lines, worked out once for each time the panel is drawn."""
        if self._edges is None:
            width = self.size.width
            self._edges = (self.head(width), self.foot(width))
        return self._edges

    def refresh(self, *regions: Region, **options: bool) -> Self:
        """Draw anew, with fixed lines and styles worked out anew."""
        self._edges = None
        self._styles.clear()
        return super().refresh(*regions, **options)

    def renew(self) -> None:
        """Draw anew after the lines behind it changed."""
        self._edges = None
        self.cursor = max(min(self.cursor, self.count() - 1), 0)
        if self.count() and not self.stops_at(self.cursor):
            self.cursor = self._stop(self.cursor, 1)
        self._follow()
        self.name_border()
        self.refresh()

    def name_border(self) -> None:
        """Say name and position on the border; a mark beside the name says who has the keys."""
        edges = (">", "<") if self.keys else (" ", " ")
        digit = f"{self.DIGIT} " if self.DIGIT else ""
        words = shown(self.title_words(), LONGEST_TITLE)  # it may hold names of foreign files
        named = escape(f"{edges[0]}{digit}{words}{edges[1]}") if words else ""
        placed = escape(self.position_words())
        if (named, placed) != self._borders:  # textual draws the whole panel anew for each
            self._borders = named, placed
            self.border_title, self.border_subtitle = named, placed

    def title_words(self) -> str:
        """What stands on the border above."""
        return self.NAME

    def position_words(self) -> str:
        """What stands on the border below: where one is, if not all is seen."""
        total, room = self.count(), self.room
        if total <= room:
            return ""
        return f" {self.first + 1}-{min(self.first + room, total)} of {total} "

    def on_focus(self) -> None:
        self._has_keys(keys=True)

    def on_blur(self) -> None:
        self._has_keys(keys=False)

    def _has_keys(self, *, keys: bool) -> None:
        self.keys = keys
        self.name_border()
        self.refresh()

    def on_resize(self) -> None:
        self._edges = None
        self.renew()

    def action_move(self, by: int) -> None:
        self.go(self._stop(self.cursor + by, by))

    def action_page(self, by: int) -> None:
        target = max(min(self.cursor + by * self.room, self.count() - 1), 0)
        self.go(self._stop(target, by))

    def action_edge(self, which: int) -> None:
        last = self.count() - 1
        self.go(self._stop(last if which else 0, -1 if which else 1))

    def go(self, index: int) -> None:
        """Put the cursor on a line."""
        if not 0 <= index < self.count():
            return
        moved = index != self.cursor
        self.cursor = index
        self._edges = None  # those below may speak of the line under the cursor
        self._follow()
        self.name_border()
        self.refresh()
        if moved:
            self.post_message(self.Moved(self))

    def _stop(self, index: int, by: int) -> int:
        """The nearest line from here on where the cursor may stand, else where it stands."""
        step = 1 if by >= 0 else -1
        while 0 <= index < self.count():
            if self.stops_at(index):
                return index
            index += step
        return self.cursor

    def _follow(self) -> None:
        room, total = self.room, self.count()
        if self.cursor < self.first:
            self.first = self.cursor
        elif (last := self.last_of(self.cursor)) >= self.first + room:
            self.first = min(last - room + 1, self.cursor)
        # A heading above the first line belongs to it.
        while 0 < self.first == self.cursor and not self.stops_at(self.first - 1):
            self.first -= 1
        self.first = max(min(self.first, total - room), 0)
        self.came_near(self.first, self.first + room)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        event.stop()
        self._scroll(WHEEL)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        event.stop()
        self._scroll(-WHEEL)

    def _scroll(self, by: int) -> None:
        self.first = max(min(self.first + by, self.count() - self.room), 0)
        if not self.first <= self.cursor < self.first + self.room:
            self.go(self._stop(self.first if by > 0 else self.first + self.room - 1, by))
        self.name_border()
        self.came_near(self.first, self.first + self.room)
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        offset = event.get_content_offset(self)
        if offset is None:
            return
        for line, first, behind, then in self.links:
            if offset.y == line and first <= offset.x < behind:
                then()
                return
        top = len(self.edges()[0])
        index = self.first + offset.y - top
        if not (top <= offset.y < top + self.room and 0 <= index < self.count()):
            return
        self.clicked(index, offset.x)

    def link(self, line: int, first: int, width: int, then: Callable[[], object]) -> None:
        """Let some cells of a fixed line above be clicked."""
        self.links.append((line, first, first + width, then))

    def clicked(self, index: int, _column: int) -> None:
        """Take a click on a line: the first one goes there, one on the cursor acts."""
        if not self.stops_at(index):
            return
        if index == self.cursor:
            self.action_act()
        else:
            self.go(index)

    def get_content_height(self, _container: Size, _viewport: Size, width: int) -> int:
        """All lines, where the style sheet asks for as much as there is."""
        return len(self.head(width)) + self.count() + len(self.foot(width))

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        width, height = self.size
        head, foot = self.edges()
        spans: Spans = ()
        on_cursor = False
        if y < len(head):
            spans = head[y]
        elif y >= height - len(foot):
            spans = foot[y - (height - len(foot))]
        elif self.first + y - len(head) < self.count():
            index = self.first + y - len(head)
            spans = self.line(index, width)
            on_cursor = (
                index == self.cursor and self.keys and not self.OWN_CURSOR and self.stops_at(index)
            )
        pieces = fitted(spans, width)
        return Strip(
            [Segment(text, self._style("cursor" if on_cursor else name)) for text, name in pieces],
            width,
        )

    def notify_style_update(self) -> None:
        """Take the colours of another theme."""
        self._styles.clear()
        super().notify_style_update()

    def _style(self, name: str) -> Style:
        if name not in self._styles:
            # Not component classes of the style sheet: it would style each of them for each panel.
            style = self.rich_style
            if name:
                colours = self.app.theme_variables
                ground = colours["hw-cursorground"] if name == "cursor" else None
                bold = True if name in BOLD else None
                style += Style(color=colours[f"hw-{name}"], bgcolor=ground, bold=bold)
            self._styles[name] = style
        return self._styles[name]


class DrawnPanel(LinePanel):
    """Lines that are drawn for the room there is, without a cursor on them."""

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.drawn: Sequence[Spans] = ()

    def count(self) -> int:
        return len(self.drawn)

    def stops_at(self, _index: int) -> bool:
        return False

    def line(self, index: int, _width: int) -> Spans:
        return self.drawn[index]
