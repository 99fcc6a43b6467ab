"""Flow window: flow against speed of the build at hand, or its pressure chain."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from configurator.tui.line_panel import LinePanel
from configurator.tui.spans import Spans

if TYPE_CHECKING:
    from configurator.tui.flow_chart import FlowWindow
    from configurator.workshop.told import RankedBuild


class WindowPanel(LinePanel):
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
        self._lines: Sequence[Spans] = ()

    def show(self, build: RankedBuild | None, windows: tuple[FlowWindow, ...]) -> None:
        """Show another build."""
        self.build, self.windows = build, windows
        self._side = min(self._side, max(len(windows) - 1, 0))
        self.renew()

    def renew(self) -> None:
        """Draw the chart for the room there is."""
        width, height = self.size
        if self.build is None:
            self._lines = [[("No build to draw.", "")]]
        elif self.pressures:
            from configurator.tui.pressure_bars import pressure_bars, pressure_chain

            chain = pressure_chain(self.build)
            self._lines = [
                [("needed of allowed, outlet to inlet, at the worst corner", "strong")],
                *pressure_bars(chain, width, self.hw.glyphs),
            ]
        elif self.windows:
            from configurator.tui.flow_chart import flow_chart

            self._lines = flow_chart(self.windows[self._side], width, height, self.hw.glyphs)
        super().renew()

    def title_words(self) -> str:
        """Which chart, and of which build."""
        name = "Pressure chain" if self.pressures else self.NAME
        return name if self.build is None else f"{name} of build {self.build.rank}"

    def count(self) -> int:
        """Lines of the chart."""
        return len(self._lines)

    def stops_at(self, _index: int) -> bool:
        """A chart has no cursor."""
        return False

    def line(self, index: int, _width: int) -> Spans:
        """A line of the chart."""
        return self._lines[index]

    def action_move(self, by: int) -> None:
        """Scroll a chart that is higher than its panel."""
        self.first = max(min(self.first + by, self.count() - self.room), 0)
        self.refresh()

    def act(self) -> None:
        """Go from one chart to the other."""
        self.pressures = not self.pressures
        self.first = 0
        self.renew()

    def action_side(self, by: int) -> None:
        """Show the other side of a two-part head."""
        if len(self.windows) > 1:
            self._side = (self._side + by) % len(self.windows)
            self.renew()
