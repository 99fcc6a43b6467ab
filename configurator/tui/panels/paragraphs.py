"""Panels that tell in paragraphs: why something is so, and a row of results in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from configurator.report.lines import LONGEST_TEXT
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import ASCII, Glyphs, Spans, column, margin_bar, paragraph
from configurator.tui.said import Said, SaidRemedy

PIECE = LONGEST_TEXT * 3 // 4
"""Characters of a text that are laid out in one go; escapes may make it longer."""


def lines_of(
    said: Iterable[Said], width: int, glyphs: Glyphs = ASCII
) -> Iterator[tuple[Spans, SaidRemedy | None]]:
    """Yield paragraphs as lines, however long their texts are; the first has the remedy."""
    for each in said:
        if each.margin is not None:
            bar = margin_bar(each.margin, max(min(width // 4, 20), 4), glyphs)
            label = column(each.text, max(min(width - len(bar) - 1, 48), 8))
            yield [(f"{label} ", ""), (bar, each.style)], None
            continue
        indent = " " * (len(each.text) - len(each.text.lstrip()))
        remedy = each.remedy
        for piece in _pieces(each.text.strip()):
            for line in paragraph(piece, width, each.style, indent=indent):
                yield line, remedy
                remedy = None


def _pieces(text: str) -> Iterator[str]:
    """A long text in pieces that end at blanks where there are any."""
    while len(text) > PIECE:
        end = text.rfind(" ", PIECE // 2, PIECE)
        end = PIECE if end < 0 else end
        yield text[:end]
        text = text[end:].lstrip()
    yield text


class ParagraphPanel(LinePanel):
    """Paragraphs to read, line by line."""

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.about = ""
        self.said: Sequence[Said] = ()
        self._lines: list[tuple[Spans, SaidRemedy | None]] = []

    def show(self, about: str, said: Sequence[Said]) -> None:
        """Show what there is to say about something else, from its start; the same stays put."""
        if about != self.about:
            self.cursor = self.first = 0
        self.about, self.said = about, said
        self.renew()

    def renew(self) -> None:
        self._lines = [*lines_of(self.said, max(self.size.width - 1, 10), self.hw.glyphs)]
        super().renew()

    def title_words(self) -> str:
        return ": ".join(filter(None, (self.NAME, self.about)))

    def count(self) -> int:
        return len(self._lines)

    def line(self, index: int, _width: int) -> Spans:
        spans, _ = self._lines[index]
        return [(">" if index == self.cursor and self.keys else " ", "strong"), *spans]


class ResultRowPanel(ParagraphPanel):
    """The whole reason of a row, what to measure, the best build."""

    HINTS = "up/down read  Tab back to the rows  Enter open"


class WhyPanel(ParagraphPanel):
    """The reasons behind whatever the cursor was on, and what Enter can do about it."""

    NAME = "Why"
    DIGIT = "3"
    HINTS = "up/down read  r reach further  Enter apply a remedy  z undo it"

    def action_act(self) -> None:
        if self.cursor >= len(self._lines):
            return
        _, remedy = self._lines[self.cursor]
        if remedy is None:
            self.hw.say("Enter works on lines that say what it does")
            return
        self.hw.session.put(remedy.draft)
        self.hw.changed(f"{remedy.words} (z undoes it)")
