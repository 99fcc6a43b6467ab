"""Parts: every slot, and every part of the slot at hand with its marks and builds left."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.binding import Binding, BindingType

from configurator.tui.board import Board, Option, Slot, Stand
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import STATE_STYLES, Spans, column, flowed, paragraph, short_count
from configurator.tui.screens import Chooser
from configurator.units.display import spaced
from configurator.units.grouped import grouped

NAME_WIDTH, COUNT_WIDTH = 16, 7
LEAST_SIDE = 22
"""Columns below which a side beside the other would lose its numbers or most of its names."""

ROOMY = 15
"""Lines from which the marks are explained below the parts; `?` explains them anyway."""

LEGEND = (
    "* picked  = only one left  - excluded  x out",
    ". fits  ! near a limit  ? unproven",
)


class PartsPanel(LinePanel):
    """One slot at a time; both sides of a two-part head next to each other."""

    NAME = "Parts"
    DIGIT = "2"
    HINTS = "left/right slot  Enter pick  Del exclude  w why  / find"
    OWN_CURSOR = True

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "slot(-1)", "slot before", id="parts.before"),
        Binding("right", "slot(1)", "slot after", id="parts.after"),
        Binding("delete,backspace", "exclude", "exclude the part or let it in", id="parts.exclude"),
        Binding("slash", "find", "find a part", id="parts.find"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.at = ""
        self.reason = ""
        """What is known against the part under the cursor."""

    @property
    def board(self) -> Board | None:
        """The board of now."""
        return self.hw.session.board

    @property
    def slots(self) -> Sequence[Slot]:
        """Slots in the order in which arrows go through them: sides of a pair one by one."""
        board = self.board
        return () if board is None else board.in_pairs

    @property
    def slot(self) -> Slot | None:
        """The slot at hand."""
        slots = self.slots
        if not slots:
            return None
        return next((slot for slot in slots if slot.name == self.at), slots[0])

    @property
    def option(self) -> Option | None:
        """The part under the cursor."""
        slot = self.slot
        if slot is None or self.cursor >= len(slot.options):
            return None
        return slot.options[self.cursor]

    def _pair(self) -> list[Slot]:
        """The slot at hand and, where there is one and room, its partner on the other side."""
        here = self.slot
        if here is None:
            return []
        if self.size.width < 2 * LEAST_SIDE:
            return [here]
        return [slot for slot in self.slots if slot.bare == here.bare]

    def title_words(self) -> str:
        slot = self.slot
        if slot is None:
            return self.NAME
        return f"{self.NAME}: {slot.name}, {slot.open} of {len(slot.options)} open"

    def count(self) -> int:
        slot = self.slot
        return 0 if slot is None else len(slot.options)

    def head(self, width: int) -> Sequence[Spans]:
        """All slots with the number of open parts; the slot at hand in brackets."""
        if not self.slots:
            if self.hw.is_asked:
                return [[("~ solving", "")]]
            return [[("Choose a material and a process in Duty first.", "")]]
        self.links = []
        groups = grouped(self.slots, lambda slot: slot.bare)
        texts = []
        for name, slots in groups.items():
            words = f"{name} {'|'.join(_brief(slot) for slot in slots)}"
            texts.append(f"[{words}] " if self.slot in slots else f" {words}  ")
        lines = flowed(texts, width)
        for number, line in enumerate(lines):
            used = 0
            for at in line:
                first = [*groups.values()][at][0].name
                self.link(number, used, len(texts[at]), partial(self.show_slot, first))
                used += len(texts[at])
        named = [
            [(texts[at], "strong" if texts[at][0] == "[" else "") for at in line] for line in lines
        ]
        return [*named, [("", "")]]

    def line(self, index: int, width: int) -> Spans:
        """A part of the slot at hand, beside it the same line of the other side."""
        pair = self._pair()
        if len(pair) == 1:
            return self._cell(pair[0], index, width, titled=True)
        half = width // 2
        left, right = pair
        middle = [*self._cell(left, index, half - 1, titled=False), ("|", "")]
        return [*middle, *self._cell(right, index, width - half, titled=False)]

    def _cell(self, slot: Slot, index: int, width: int, *, titled: bool) -> list[tuple[str, str]]:
        if index >= len(slot.options):
            return [(" " * width, "")]
        option = slot.options[index]
        here = slot is self.slot and index == self.cursor
        count = "" if option.stand is Stand.OUT else short_count(option.left)
        name_width = min(NAME_WIDTH, max(width - COUNT_WIDTH - 6, 6))
        style = "pick" if option.stand is Stand.PICKED else STATE_STYLES[option.state]
        marks = [(">" if here else " ", "strong"), (f" {option.marks} ", style)]
        text = f"{column(option.name, name_width)} {count:>{COUNT_WIDTH}}"
        rest = width - 5 - name_width - COUNT_WIDTH - 1
        words = column(f"  {option.title}", rest) if titled and rest > 10 else " " * max(rest, 0)  # noqa: PLR2004 - a title cut to less says nothing
        if here and self.keys:
            return [(f"> {option.marks} {text}{words}", "cursor")]
        return [*marks, (text, "strong" if option.stand is Stand.PICKED else ""), (words, "")]

    def foot(self, width: int) -> Sequence[Spans]:
        if self.slot is None:
            return ()
        said = paragraph(self._words(), width)[:3]
        legend = LEGEND if self.size.height >= ROOMY else ()
        return [*said, *([(line, "")] for line in legend)]

    def _words(self) -> str:
        option = self.option
        if option is None:
            return ""
        if option.stand is Stand.EXCLUDED:
            return f"{option.name}: excluded by you; Del lets it in again"
        if option.left:
            return f"{option.name}: {spaced(option.left)} builds left if picked, at best {option.state.words}"
        return f"{option.name}: out: {self.reason or 'w says why'}"

    def action_slot(self, by: int) -> None:
        slots, here = self.slots, self.slot
        if here is None:
            return
        self.show_slot(slots[(slots.index(here) + by) % len(slots)].name)

    def show_slot(self, name: str, part: str = "") -> None:
        """Go to a slot, onto a part of it or its pick."""
        self.at = name
        slot = self.slot
        wanted = part or ("" if slot is None else slot.picked)
        names = [] if slot is None else [option.name for option in slot.options]
        self.cursor = names.index(wanted) if wanted in names else 0
        self.first = 0
        self.renew()
        self.post_message(self.Moved(self))

    def action_act(self) -> None:
        slot, option = self.slot, self.option
        if slot is not None and option is not None:
            self.at = slot.name
            self.hw.session.pick(slot.name, option.name)
            self.hw.changed(
                f"{slot.name} {'free' if option.stand is Stand.PICKED else option.name}"
            )

    def action_exclude(self) -> None:
        slot, option = self.slot, self.option
        if slot is not None and option is not None:
            self.at = slot.name
            self.hw.session.exclude(slot.name, option.name)
            way = "with" if option.stand is Stand.EXCLUDED else "without"
            self.hw.changed(f"{slot.name} {way} {option.name}")

    def action_find(self) -> None:
        slot = self.slot
        if slot is not None:
            entries = [(option.name, option.title) for option in slot.options]
            self.hw.ask_for(Chooser(f"Find in {slot.name}", entries), self._found)

    def _found(self, name: str) -> None:
        slot = self.slot
        if slot is not None:
            self.show_slot(slot.name, name)

    def clicked(self, index: int, column: int) -> None:
        pair = self._pair()
        if len(pair) > 1:
            side = pair[0] if column < self.size.width // 2 else pair[1]
            if side is not self.slot:
                if index < len(side.options):
                    self.show_slot(side.name, side.options[index].name)
                return
        super().clicked(index, column)


def _brief(slot: Slot) -> str:
    """A slot in its strip: its pick or only part by mark, else how many are open."""
    if slot.picked:
        return "*"
    return "=" if slot.open == 1 else str(slot.open)
