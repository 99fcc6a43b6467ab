"""Heads: the ranked table, fetched as it is scrolled, and the builds of a head that was opened."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message

from configurator.tui.board import STATE_MARKS
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import STATE_STYLES, Span, Spans, paragraph, short_count
from configurator.tui.panels.build_columns import (
    BuildColumn,
    columns_for,
    common_words,
    laid_out,
    widths_of,
)
from configurator.tui.said import Said
from configurator.tui.session import key_of
from configurator.units.display import spaced

if TYPE_CHECKING:
    from configurator.tui.build_list import BuildList
    from configurator.workshop.told import RankedBuild

RANK = 6
SETTLED = 160
"""Rows from which columns stay as they are, and only grow."""

ROOMY = 12
"""Lines of a list from which what is alike in all rows is told below it."""

MOST_COMMON = 2
"""Lines that it may take."""


class BuildsPanel(LinePanel):
    """Heads in order, where they differ, and their figures; or the builds of one of them."""

    NAME = "Heads"
    DIGIT = "4"
    HINTS = "Enter open  i pick  / filter  o sort  m mark  c compare  w why"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "aside(-1)", "column before", id="builds.before"),
        Binding("right", "aside(1)", "column after", id="builds.after"),
        Binding("o", "order", "sort by the column at hand", id="builds.order"),
        Binding("slash", "screen.filter", "list what holds words", id="builds.filter"),
        Binding("escape,backspace", "back", "back to all heads", id="builds.back"),
    ]

    class ColumnAsked(Message):
        """Somebody asks for another order, for the parts of a slot, or for all heads again."""

        def __init__(self, *, order: str = "", slot: str = "") -> None:
            super().__init__()
            self.order = order
            self.slot = slot

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.shown: BuildList | None = None
        self._columns: tuple[BuildColumn, ...] = ()
        self._widths: tuple[int, ...] = ()
        self._measured = 0
        self._at = self._aside = 0
        """The column at hand, and how many behind the first are left of what is seen."""
        self._reasons: Sequence[Said] = ()

    def show(self, builds: BuildList | None) -> None:
        """Show another list from its top, or from the build that is looked for."""
        self.shown = builds
        self.cursor = self.first = 0 if builds is None else builds.start
        self._measured = 0
        self.renew()
        self.post_message(self.Moved(self))

    @property
    def old(self) -> bool:
        """True while the list shown belongs to an earlier answer."""
        return self.shown is not None and self.shown.answer is not self.hw.session.answer

    @property
    def build(self) -> RankedBuild | None:
        """The build under the cursor, or the first one of the head."""
        return None if self.shown is None else self.shown.row(self.cursor)

    def title_words(self) -> str:
        if self.shown is None:
            return self.NAME
        view = self.shown.view
        what = self.NAME if view.folds else "Builds"
        what += f" of head {view.opened.rank or ''}".rstrip() if view.opened else ""
        what += f" with '{view.words}'" if view.words else ""
        only = "fits only, " if self.hw.session.strict else ""
        old = "~ " if self.old else ""
        return f"{what}: {old}{only}by state, then {self.shown.answer.order.title}"

    def position_words(self) -> str:
        if self.shown is None or not self.shown.total:
            return ""
        shown, every = self.shown, len(self.shown)
        words = f" {self.first + 1}-{min(self.first + self.room, every)} of "
        if shown.view.folds or shown.view.words:
            words += f"{spaced(every)}" + ("" if shown.whole else " or more")
        else:
            words += short_count(shown.total)
            words += f", the best {spaced(every)} to see" if shown.total > every else ""
        marked = len(self.hw.session.marked)
        return words + (f", {marked} marked " if marked else " ")

    def count(self) -> int:
        return 0 if self.shown is None else len(self.shown)

    def head(self, width: int) -> Sequence[Spans]:
        if self.shown is None:
            if self.hw.is_asked:
                return [[("~ solving", "")]]
            return [[("No question yet: choose a material and a process in Duty.", "")]]
        if not self.shown.total:
            return self._nothing(width)
        if not len(self.shown):
            return paragraph(f"No build has '{self.shown.view.words}' in its parts' names.", width)
        self.links = []
        spans: list[Span] = [(f"{'#':>{RANK + 2}}   ", "strong")]
        used = RANK + 5
        here = self._columns[self._at].head if self._columns and self.keys else ""
        while self._aside < self._at - 1 and here not in (
            each.head for each, _ in self._laid_out(width, lambda each: (each.head, "")) if each
        ):
            self._aside += 1
        for each, (text, style) in self._laid_out(width, lambda each: (each.head, "strong")):
            if each is not None:
                wanted = self.ColumnAsked(order=each.order, slot=each.slot)
                self.link(0, used, len(text), partial(self.post_message, wanted))
            spans.append((text, "cursor" if each is not None and each.head == here else style))
            used += len(text)
        return [spans]

    def foot(self, width: int) -> Sequence[Spans]:
        if self.shown is None or self.size.height < ROOMY or not self.shown.heads():
            return ()
        what = "head" if self.shown.view.folds else "build"
        words = common_words(self.shown.heads(), width, what)
        more = [f"{words[MOST_COMMON - 1][: width - 4]} ..."] if len(words) > MOST_COMMON else []
        return [[(line, "")] for line in [*words[: MOST_COMMON - len(more)], *more]]

    def _laid_out(
        self, width: int, texts: Callable[[BuildColumn], Span]
    ) -> Sequence[tuple[BuildColumn | None, Span]]:
        """Margin, then the columns that move sideways; a gap behind each."""
        at = [0, *range(1 + self._aside, len(self._columns))][: len(self._columns)]
        columns, widths = [self._columns[each] for each in at], [self._widths[each] for each in at]
        spans = laid_out(columns, widths, width - RANK - 5, texts)
        return [
            (columns[place // 2] if place % 2 == 0 else None, span)
            for place, span in enumerate(spans)
        ]

    def renew(self) -> None:
        """Make room for what is fetched since the columns were last measured."""
        heads = () if self.shown is None else self.shown.heads()
        if self._measured < SETTLED:
            order = "" if self.shown is None else self.shown.answer.order.name
            self._columns = columns_for(heads[:SETTLED], order, self.hw.glyphs)
            self._widths, self._measured = widths_of(self._columns, ()), 0
            self._at = min(self._at, max(len(self._columns) - 1, 0))
            self._aside = min(self._aside, max(self._at - 1, 0))
        more = widths_of(self._columns, heads[self._measured :])
        self._widths = tuple(map(max, self._widths, more))
        self._measured = len(heads)
        super().renew()

    def action_aside(self, by: int) -> None:
        self._at = min(max(self._at + by, 0), max(len(self._columns) - 1, 0))
        self._aside = min(self._aside, max(self._at - 1, 0))
        self.refresh()

    def action_order(self) -> None:
        if self._columns:
            each = self._columns[self._at]
            self.post_message(self.ColumnAsked(order=each.order, slot=each.slot))

    def action_back(self) -> None:
        if self.shown is not None and (self.shown.view.opened or self.shown.view.words):
            self.post_message(self.ColumnAsked())

    def _nothing(self, width: int) -> Sequence[Spans]:
        answer = self.hw.session.answer
        lines: list[Spans] = []
        if answer is not None and answer.count:
            lines.append([("No build is shown to fit over the whole range.", "strong")])
            lines.append([(f"f lists {short_count(answer.count)} marginal or unproven ones.", "")])
            return lines
        for said in self._reasons:
            lines += paragraph(said.text, width, said.style)
        return lines or [[("No build is left.", "strong")]]

    def nothing(self, reasons: Sequence[Said]) -> None:
        """Hear why there is no build."""
        self._reasons = reasons
        self.renew()

    def line(self, index: int, width: int) -> Spans:
        assert self.shown is not None, "a list with lines is there"
        here = ">" if index == self.cursor else " "
        head = self.shown.head(index)
        if head is None:
            return [(f"{here} {'~':>{RANK}}", "")]
        build = head.best
        marked = "m" if key_of(build) in self.hw.session.marked else " "
        spans = self._laid_out(width, lambda each: each.read(head))
        return [
            (f"{here}{marked}{build.rank or '-':>{RANK}} ", "pick" if marked == "m" else ""),
            (f"{STATE_MARKS[build.state]} ", STATE_STYLES[build.state]),
            *(span for _, span in spans),
        ]

    def came_near(self, first: int, last: int) -> None:
        if self.shown is not None and self.shown.lacks(first, last):
            self.hw.listed.fetch(self.shown, first, last)
