"""Why: the reasons behind whatever the cursor was on, and what Enter can do about it."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.tui.line_panel import LinePanel
from configurator.tui.said import Said, SaidRemedy
from configurator.tui.spans import Spans, paragraph


class WhyPanel(LinePanel):
    """Paragraphs, some of which are remedies."""

    NAME = "Why"
    DIGIT = "3"
    HINTS = "up/down read  r reach further  Enter apply a remedy  z undo it"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's names
        super().__init__(id=id, classes=classes)
        self.said: Sequence[Said] = ()
        self.about = ""
        self._lines: list[tuple[Spans, SaidRemedy | None]] = []

    def show(self, about: str, said: Sequence[Said]) -> None:
        """Show other reasons, from their start."""
        if about != self.about:
            self.cursor = self.first = 0
        self.about, self.said = about, said
        self.renew()

    def renew(self) -> None:
        """Break the paragraphs for the room there is."""
        width = max(self.size.width - 1, 10)
        self._lines = []
        for said in self.said:
            indent = " " * (len(said.text) - len(said.text.lstrip()))
            for number, line in enumerate(paragraph(said.text, width, said.style, indent=indent)):
                self._lines.append((line, said.remedy if number == 0 else None))
        super().renew()

    def title_words(self) -> str:
        """What the reasons are about."""
        return f"{self.NAME}: {self.about}" if self.about else self.NAME

    def count(self) -> int:
        """Lines of all paragraphs."""
        return len(self._lines)

    def line(self, index: int, _width: int) -> Spans:
        """A line, marked where the cursor is."""
        spans, _ = self._lines[index]
        return [(">" if index == self.cursor and self.keys else " ", "strong"), *spans]

    def remedies(self) -> list[SaidRemedy]:
        """All remedies that are shown, in order."""
        return [remedy for _, remedy in self._lines if remedy is not None]

    def act(self) -> None:
        """Apply the remedy under the cursor."""
        if self.cursor >= len(self._lines):
            return
        _, remedy = self._lines[self.cursor]
        if remedy is None:
            self.hw.say("Enter works on lines that say what it does")
            return
        self.hw.session.put(remedy.draft)
        self.hw.changed(f"{remedy.words} (z undoes it)")
