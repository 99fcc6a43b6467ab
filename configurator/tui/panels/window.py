"""Flow window: flow against speed of the build at hand, or its pressure chain."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from configurator.tui.line_panel import DrawnPanel

if TYPE_CHECKING:
    from configurator.tui.build_charts import FlowWindow
    from configurator.workshop.told import RankedBuild


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
