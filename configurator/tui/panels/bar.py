"""One line of words across the screen."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.report.lines import cells
from configurator.tui.line_panel import LinePanel
from configurator.tui.spans import Spans


class Bar(LinePanel, can_focus=False):
    """A line with a left and a right end; the left one gives way."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's names
        super().__init__(id=id, classes=classes)
        self._left: Spans = ()
        self._right = ""

    def show(self, left: Spans, right: str = "") -> None:
        """Show other words."""
        self._left, self._right = left, right
        self.refresh()

    def head(self, width: int) -> Sequence[Spans]:
        """The line."""
        room = width - cells(self._right)
        found: list[tuple[str, str]] = []
        for text, style in self._left:
            kept = text[: max(room, 0)]
            found.append((kept, style))
            room -= cells(kept)
        return [[*found, (" " * max(room, 0), ""), (self._right, "strong")]]


class Floor(LinePanel, can_focus=False):
    """What stands on a screen that is too small for anything else."""

    def head(self, width: int) -> Sequence[Spans]:
        """Words that fit twenty columns."""
        del width
        size = self.app.size
        return [
            [("Too small.", "strong")],
            [(f"{size.width}x{size.height} here,", "")],
            [("60x20 needed.", "")],
            [("Nothing is lost.", "")],
            [("q leaves.", "")],
        ]
