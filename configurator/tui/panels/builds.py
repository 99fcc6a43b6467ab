"""Builds: the ranked table, fetched as it is scrolled, and two charts of the one at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from configurator.tui.board import STATE_MARKS
from configurator.tui.line_panel import DrawnPanel, LinePanel
from configurator.tui.looks import STATE_STYLES, Span, Spans, paragraph, short_count
from configurator.tui.panels.build_columns import (
    BuildColumn,
    columns_for,
    folded_columns,
    laid_out,
    widths_of,
)
from configurator.tui.said import Said
from configurator.tui.session import key_of
from configurator.units.display import spaced

if TYPE_CHECKING:
    from configurator.tui.build_charts import FlowWindow
    from configurator.tui.build_list import BuildList
    from configurator.workshop.told import RankedBuild

RANK = 6


class BuildsPanel(LinePanel):
    """Builds in order, their key figures, and the parts in which they differ."""

    NAME = "Builds"
    DIGIT = "4"
    HINTS = "m mark  c compare  s sort  f fits only  g heads  w why  e export"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "aside(-1)", "column before", id="builds.before"),
        Binding("right", "aside(1)", "column after", id="builds.after"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.shown: BuildList | None = None
        self._columns: tuple[BuildColumn, ...] = ()
        self._widths: tuple[int, ...] = ()
        self._measured = 0
        self._aside = 0
        self._differ: tuple[str, ...] = ()
        self._reasons: Sequence[Said] = ()

    def show(self, builds: BuildList | None) -> None:
        """Show another list from its top, or from the build that is looked for."""
        self.shown = builds
        self.cursor = self.first = 0 if builds is None else builds.start
        self._differ = self._differing()
        self._columns = columns_for(
            "" if builds is None else builds.answer.order.name, self._differ
        )
        if builds is not None:
            folded = filter(builds.folds_slot, builds.answer.frame.slots)
            self._columns += tuple(folded_columns(folded, builds.heads))
        self._aside = self._measured = 0
        self._widths = widths_of(self._columns, ())
        self.renew()
        self.post_message(self.Moved(self))

    def _differing(self) -> tuple[str, ...]:
        """Slots that are open, those first that change most among the best builds."""
        board = self.hw.session.board
        if board is None or self.shown is None:
            return ()
        best = self.shown.fetched()
        kinds = {
            slot.name: len({build.parts[slot.name].name for build in best})
            for slot in board.slots
            if not slot.picked
            if slot.open > 1
            if not self.shown.folds_slot(slot.name)
        }
        return tuple(sorted(kinds, key=lambda name: -kinds[name]))

    @property
    def old(self) -> bool:
        """True while the list shown belongs to an earlier answer."""
        return self.shown is not None and self.shown.answer is not self.hw.session.answer

    @property
    def build(self) -> RankedBuild | None:
        """The build under the cursor."""
        return None if self.shown is None else self.shown.row(self.cursor)

    def title_words(self) -> str:
        """How many there are, and in which order."""
        if self.shown is None:
            return self.NAME
        only = "fits only, " if self.hw.session.strict else ""
        old = "~ " if self.old else ""
        return f"{self.NAME}: {old}{only}by state, then {self.shown.answer.order.title}"

    def position_words(self) -> str:
        """Where one is in the list, and what is marked."""
        if self.shown is None or not self.shown.total:
            return ""
        last = min(self.first + self.room, len(self.shown))
        words = f" {self.first + 1}-{last} of {short_count(self.shown.total)}"
        if self.shown.folds:
            words = f" heads {self.first + 1}-{last} of {len(self.shown)} or more "
        elif self.shown.total > len(self.shown):
            words += f", the best {spaced(len(self.shown))} to see"
        marked = len(self.hw.session.marked)
        return words + (f", {marked} marked " if marked else " ")

    def count(self) -> int:
        """Rows that can be looked at."""
        return 0 if self.shown is None else len(self.shown)

    def head(self, width: int) -> Sequence[Spans]:
        """Column heads, or why there is nothing."""
        if self.shown is None:
            if self.hw.is_asked:
                return [[("~ solving", "")]]
            return [[("No question yet: choose a material and a process in Duty.", "")]]
        if not self.shown.total:
            return self._nothing(width)
        left, right = (
            f"{'#':>{RANK + 2}}   ",
            self._laid_out(width, lambda each: (each.head, "strong")),
        )
        return [[(left, "strong"), *right]]

    def _laid_out(self, width: int, texts: Callable[[BuildColumn], Span]) -> Spans:
        columns, widths = self._columns[self._aside :], self._widths[self._aside :]
        return laid_out(columns, widths, width - RANK - 5, texts)

    def renew(self) -> None:
        """Make room for what is fetched since the columns were last measured."""
        builds = () if self.shown is None else self.shown.fetched()
        self._widths = widths_of(self._columns, builds[self._measured :], self._widths)
        self._measured = len(builds)
        super().renew()

    def action_aside(self, by: int) -> None:
        """Look at other columns."""
        self._aside = min(max(self._aside + by, 0), max(len(self._columns) - 1, 0))
        self.refresh()

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
        """One build."""
        assert self.shown is not None, "a list with lines is there"
        here = ">" if index == self.cursor else " "
        build = self.shown.row(index)
        if build is None:
            return [(f"{here} {index + 1:>{RANK}} ~", "")]
        marked = "m" if key_of(build) in self.hw.session.marked else " "
        return [
            (f"{here}{marked}{build.rank:>{RANK}} ", "pick" if marked == "m" else ""),
            (f"{STATE_MARKS[build.state]} ", STATE_STYLES[build.state]),
            *self._laid_out(width, lambda each: each.read(build)),
        ]

    def came_near(self, first: int, last: int) -> None:
        """Fetch what is seen."""
        if self.shown is not None and self.shown.lacks(first, last):
            self.hw.listed.fetch(self.shown, first, last)


class WindowPanel(DrawnPanel):
    """Two charts of one build; Enter goes from one to the other."""

    NAME = "Flow window"
    DIGIT = "5"
    HINTS = "Enter flow or pressures  left/right side"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "side(-1)", "other side", id="window.before"),
        Binding("right", "side(1)", "other side", id="window.after"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.windows: tuple[FlowWindow, ...] = ()
        self.build: RankedBuild | None = None
        self.pressures = False
        self._side = 0

    def show(self, build: RankedBuild | None, windows: tuple[FlowWindow, ...]) -> None:
        """Show another build."""
        self.build, self.windows = build, windows
        self._side = min(self._side, max(len(windows) - 1, 0))
        self.renew()

    def renew(self) -> None:
        """Draw the chart for the room there is."""
        width, height = self.size
        if self.build is None:
            self.drawn = [[("No build to draw.", "")]]
        elif self.pressures:
            from configurator.tui.build_charts import pressure_bars, pressure_chain

            chain = pressure_chain(self.build)
            self.drawn = [
                [("needed of allowed, outlet to inlet, at the worst corner", "strong")],
                *pressure_bars(chain, width, self.hw.glyphs),
            ]
        elif self.windows:
            from configurator.tui.build_charts import flow_chart

            self.drawn = flow_chart(self.windows[self._side], width, height, self.hw.glyphs)
        super().renew()

    def title_words(self) -> str:
        """Which chart, and of which build."""
        name = "Pressure chain" if self.pressures else self.NAME
        return name if self.build is None else f"{name} of build {self.build.rank}"

    def action_move(self, by: int) -> None:
        """Scroll a chart that is higher than its panel."""
        self.first = max(min(self.first + by, self.count() - self.room), 0)
        self.refresh()

    def action_act(self) -> None:
        """Go from one chart to the other."""
        self.pressures = not self.pressures
        self.first = 0
        self.renew()

    def action_side(self, by: int) -> None:
        """Show the other side of a two-part head."""
        if len(self.windows) > 1:
            self._side = (self._side + by) % len(self.windows)
            self.renew()
