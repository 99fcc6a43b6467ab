"""Needs: what each thing that is asked costs in builds, and what a step of it returns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from configurator.report.lines import cut
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Spans, column, paragraph, short_count
from configurator.tui.needs import Need, NeedCounts, lifted, needs_of, restored, stepped

TITLE, VALUE, COUNT = 20, 18, 9


class NeedsPanel(LinePanel):
    """The ledger: one need a line, counted beside the screen one after the other."""

    NAME = "Needs"
    DIGIT = "6"
    HINTS = "left looser  right tighter  o off/on  Enter count it  z undo"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(1)", "one step looser", id="needs.looser"),
        Binding("right", "step(0)", "one step tighter", id="needs.tighter"),
        Binding("o", "switch", "switch the need off or on", id="needs.switch"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.needs: tuple[Need, ...] = ()

    @property
    def counts(self) -> NeedCounts:
        """What has been counted for the draft of now."""
        return self.hw.need_counts

    @property
    def need(self) -> Need | None:
        """The need under the cursor."""
        return self.needs[self.cursor] if self.cursor < len(self.needs) else None

    def renew(self) -> None:
        here = self.need
        self.needs = needs_of(self.hw.session.draft)
        if here is not None:
            keys = [need.key for need in self.needs]
            if here.key in keys:
                self.cursor = keys.index(here.key)
        super().renew()

    def count(self) -> int:
        return len(self.needs)

    def head(self, width: int) -> Sequence[Spans]:
        answer = self.hw.session.answer
        if answer is None:
            return [[("Choose a material and a process in Duty first.", "")]]
        now = f"{'~' if self.hw.session.stale else ''}{short_count(answer.count)} builds now"
        title, value = self._widths(width)
        heads = f"  {'need':<{title}}{'value':<{value}}{'without it':>10}{'blocks':>{COUNT}}"
        return [[(now, "strong")], [(heads, "strong")]]

    @staticmethod
    def _widths(width: int) -> tuple[int, int]:
        title = min(TITLE, width // 3)
        return title, max(min(VALUE, width - title - 10 - COUNT - 3), 6)

    def line(self, index: int, width: int) -> Spans:
        need = self.needs[index]
        here = ">" if index == self.cursor else " "
        title, value = self._widths(width)
        name = f"{here} {column(need.title, title - 1)} {column(need.value, value)}"
        if need.lifted:
            return [(name, ""), ("  off: o brings it back", "unproven")]
        left = self.counts.get(need.key, "off")
        if left is None:
            note = self.counts.note(need.key, "off")
            return [(name, ""), (cut(f"{note:>10}", width - title - value - 3), "")]
        blocks = self.counts.gained(left)
        style = "accent" if blocks else ""
        return [(name, ""), (f"{short_count(left):>10}{blocks:>{COUNT}}", style)]

    def foot(self, width: int) -> Sequence[Spans]:
        need = self.need
        if need is None:
            return ()
        if need.lifted:
            return paragraph(f"{need.title} {need.value} is off; o switches it on", width)
        said = [self._step(need, looser=True), self._step(need, looser=False)]
        return [line for text in said if text for line in paragraph(text, width, "accent")[:2]]

    def _step(self, need: Need, *, looser: bool) -> str:
        draft = stepped(self.hw.session.draft, need, looser=looser)
        if draft is None:
            return ""
        there = next((other.value for other in needs_of(draft) if other.key == need.key), "")
        way = "looser" if looser else "tighter"
        count = self.counts.get(need.key, way)
        arrow = "left" if looser else "right"
        if count is None:
            return f"{arrow} = {way}: {there}  {self.counts.note(need.key, way)}"
        change = self.counts.gained(count) or "+0"
        return f"{arrow} = {way}: {there}  {short_count(count)} builds ({change})"

    def action_act(self) -> None:
        need = self.need
        if need is not None:
            self.hw.count_need(need)

    def action_step(self, looser: int) -> None:
        need = self.need
        if need is None:
            return
        draft = stepped(self.hw.session.draft, need, looser=bool(looser))
        if draft is None:
            self.hw.say(f"{need.title} has no steps; o switches it off and on")
        elif self.hw.session.put(draft):
            self.hw.changed(f"{need.title} {'looser' if looser else 'tighter'}")

    def action_switch(self) -> None:
        need = self.need
        if need is None:
            return
        change = restored if need.lifted else lifted
        draft = change(self.hw.session.draft, need)
        if draft is None:
            self.hw.say(f"{need.title} cannot be taken away; step it instead")
        elif self.hw.session.put(draft):
            self.hw.changed(f"{need.title} {'on' if need.lifted else 'off'}")
