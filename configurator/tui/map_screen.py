"""The trade-off map as a screen: move along the builds that nothing beats in both figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen

from configurator.tui.line_panel import LinePanel
from configurator.tui.panels.bar import Bar
from configurator.tui.spans import Spans, paragraph
from configurator.tui.tradeoff import Tradeoff, tradeoff_map, tradeoff_of
from configurator.units.display import figures
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.told import RankedBuild

if TYPE_CHECKING:
    from configurator.tui.app import HeadwrightApp

ABLE = tuple(figure for figure in FIGURES if figure.sorts)
FIRST = ("cost_index", "volume_error_pct")


class MapPanel(LinePanel):
    """The map; left and right move along the front."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "along(-1)", "build before"),
        Binding("right", "along(1)", "build after"),
    ]

    def __init__(self) -> None:
        super().__init__(id="map")
        self.tradeoff: Tradeoff | None = None
        self.at = 0
        self.others: Sequence[RankedBuild] = ()
        self._lines: list[Spans] = [[("~ working the front out", "")]]

    def show(self, tradeoff: Tradeoff, others: Sequence[RankedBuild]) -> None:
        """Show another front."""
        self.tradeoff, self.others, self.at = tradeoff, others, 0
        self.renew()

    @property
    def build(self) -> RankedBuild | None:
        """The build under the cursor."""
        if self.tradeoff is None or not self.tradeoff.builds:
            return None
        return self.tradeoff.builds[self.at]

    def renew(self) -> None:
        """Draw the map for the room there is."""
        if self.tradeoff is not None:
            width, height = self.size
            self._lines = tradeoff_map(
                self.tradeoff,
                self.at,
                self.others,
                width=width,
                height=height - len(self.foot(width)),
                glyphs=self.hw.glyphs,
            )
        super().renew()

    def count(self) -> int:
        """Lines of the map."""
        return len(self._lines)

    def stops_at(self, _index: int) -> bool:
        """A map has a cursor of its own."""
        return False

    def line(self, index: int, _width: int) -> Spans:
        """A line of the map."""
        return self._lines[index]

    def foot(self, width: int) -> Sequence[Spans]:
        """The build under the cursor in words."""
        build, tradeoff = self.build, self.tradeoff
        if build is None or tradeoff is None:
            return ()
        point = tradeoff.at(build)
        numbers = "unknown" if point is None else " and ".join(figures(value) for value in point)
        parts = ", ".join(part.name for part in build.parts.values())
        count = f"{self.at + 1} of {len(tradeoff.builds)}{' or more' if tradeoff.cut else ''}"
        words = f"@ {count}: {numbers}, {build.state.words}: {parts}"
        key = "o nothing beats it in both   . other builds, the best of the list"
        return [*paragraph(words, width, "accent")[:2], [(key, "")]]

    def action_along(self, by: int) -> None:
        """Move along the front."""
        if self.tradeoff is not None and self.tradeoff.builds:
            self.at = (self.at + by) % len(self.tradeoff.builds)
            self.renew()


class MapScreen(ModalScreen[None]):
    """Two figures of the builds that are left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,t", "leave", "leave"),
        Binding("a", "figure(0)", "figure across"),
        Binding("u", "figure(1)", "figure up"),
        Binding("m", "mark", "mark"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._figures: list[Figure] = [
            next(figure for figure in FIGURES if figure.name == name) for name in FIRST
        ]

    @property
    def hw(self) -> HeadwrightApp:
        """The application, by its own type."""
        return cast("HeadwrightApp", self.app)

    def compose(self) -> ComposeResult:
        """Title, map, keys."""
        with Vertical(classes="box"):
            yield Bar(id="top")
            yield MapPanel()
            yield Bar(id="hints")

    def on_mount(self) -> None:
        """Ask for the first front."""
        keys = " left/right along the front  a across  u up  m mark  Esc back"
        self.query_one("#hints", Bar).show([(keys, "")])
        self.query_one(MapPanel).focus()
        self._ask()

    def _ask(self) -> None:
        across, up = self._figures
        title = f" Trade-off: {across.title} against {up.title}"
        self.query_one("#top", Bar).show([(title, "strong")])
        session = self.hw.session
        answer, strict = session.answer, session.strict
        if answer is not None:
            self.hw.work_out("page", lambda: tradeoff_of(answer, across, up, strict=strict))

    def took(self, tradeoff: Tradeoff) -> None:
        """Show a front, with the builds that the list has at hand."""
        shown = self.hw.main.builds.shown
        others = () if shown is None else shown.fetched()
        if [tradeoff.across, tradeoff.up] == self._figures:
            self.query_one(MapPanel).show(tradeoff, others)

    def action_figure(self, which: int) -> None:
        """Take the next figure on one of the axes, never the same on both."""
        place = ABLE.index(self._figures[which])
        other = self._figures[1 - which]
        following = [ABLE[(place + step) % len(ABLE)] for step in (1, 2)]
        self._figures[which] = following[0] if following[0] is not other else following[1]
        self._ask()

    def action_mark(self) -> None:
        """Mark the build under the cursor for comparison."""
        build = self.query_one(MapPanel).build
        if build is not None and self.hw.session.mark(build):
            self.hw.changed(f"{len(self.hw.session.marked)} marked; c compares")
            hint = f" {len(self.hw.session.marked)} marked; Esc, then c compares"
            self.query_one("#hints", Bar).show([(hint, "")])

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
