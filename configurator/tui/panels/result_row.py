"""The row under the cursor in words: the whole reason, what to measure, the best build."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from configurator.report.lines import LONGEST_TEXT
from configurator.tui.line_panel import LinePanel
from configurator.tui.said import Said
from configurator.tui.spans import Spans, paragraph

PIECE = LONGEST_TEXT * 3 // 4
"""Characters of a text that are laid out in one go; escapes may make it longer."""


def lines_of(said: Iterable[Said], width: int) -> Iterator[Spans]:
    """Yield paragraphs as lines, however long their texts are."""
    for each in said:
        indent = " " * (len(each.text) - len(each.text.lstrip()))
        for piece in _pieces(each.text.strip()):
            yield from paragraph(piece, width, each.style, indent=indent)


def _pieces(text: str) -> Iterator[str]:
    """A long text in pieces that end at blanks where there are any."""
    while len(text) > PIECE:
        end = text.rfind(" ", PIECE // 2, PIECE)
        end = PIECE if end < 0 else end
        yield text[:end]
        text = text[end:].lstrip()
    yield text


class ResultRowPanel(LinePanel):
    """Paragraphs about one row."""

    HINTS = "up/down read  Tab back to the rows  Enter open"

    def __init__(self) -> None:
        super().__init__(id="result-row")
        self.title = ""
        self.said: Sequence[Said] = ()
        self._lines: list[Spans] = []

    def show(self, title: str, said: Sequence[Said]) -> None:
        """Show another row, from its start; the same one stays where it is."""
        if title != self.title:
            self.cursor = self.first = 0
        self.title, self.said = title, said
        self.renew()

    def renew(self) -> None:
        """Break the paragraphs for the room there is."""
        self._lines = [*lines_of(self.said, max(self.size.width - 1, 10))]
        super().renew()

    def title_words(self) -> str:
        """Which row it is."""
        return self.title

    def count(self) -> int:
        """Lines of all paragraphs."""
        return len(self._lines)

    def line(self, index: int, _width: int) -> Spans:
        """A line, marked where the cursor is."""
        here = ">" if index == self.cursor and self.keys else " "
        return [(here, "strong"), *self._lines[index]]

    def act(self) -> None:
        """Open the row."""
        self.hw.reviewing.open_row()
