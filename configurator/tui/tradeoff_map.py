"""The trade-off map: builds that nothing beats in two figures, and a screen to move along them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual.binding import Binding, BindingType

from configurator.request.orders import unit_of
from configurator.rules.finding import State
from configurator.tui.board import STATE_MARKS
from configurator.tui.build_list import BuildList
from configurator.tui.canvas import Plot
from configurator.tui.line_panel import DrawnPanel
from configurator.tui.looks import STATE_STYLES, Glyphs, Spans, paragraph
from configurator.tui.screens import Box
from configurator.tui.session_app import SessionApp
from configurator.units.display import figures
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.told import RankedBuild

ABLE = tuple(figure for figure in FIGURES if figure.trades)
FIRST = {False: ("cost_index", "volume_error_pct"), True: ("cost_index", "back_pressure_bar")}
"""Figures that are mapped first; the error of two sides hangs on too many parts to be traded."""

CLOUD = 80
"""Heads that are shown beside those that nothing beats."""

POINTS = {**STATE_MARKS, State.FITS: "o"}
"""Marks of what nothing beats; a point alone is a head of the cloud."""

MAP_KEYS = "left/right along the front  Enter go there  a across  u up  m mark  Esc back"

MOST_POINTS = 150
"""Builds that a front is cut to: more than a map has columns."""


@dataclass(frozen=True)
class Tradeoff:
    """The builds that no other build beats in both figures."""

    across: Figure
    up: Figure
    """What the map is drawn over."""
    builds: tuple[RankedBuild, ...]
    """In the order of `across`, from its better end on."""
    cut: bool
    """True if the front has more builds than are kept."""
    cloud: tuple[RankedBuild, ...] = ()
    """The first builds of the best heads."""

    def at(self, build: RankedBuild) -> tuple[float, float] | None:
        """Where a build stands; None if a figure is unknown."""
        x, y = build.figures[self.across.name], build.figures[self.up.name]
        return None if x is None or y is None else (x, y)


def tradeoff_of(answer: Answer, across: Figure, up: Figure, *, strict: bool) -> Tradeoff:
    """Work out the front between two figures; for a thread beside the screen."""
    asked = answer.with_question(replace(answer.question, strict=strict))
    front = asked.front((across, up))
    heads = BuildList(answer)
    for start in range(0, CLOUD, heads.page):
        heads.fetch(start, start + heads.page)
    cut = len(front) > MOST_POINTS
    return Tradeoff(across, up, front[:MOST_POINTS], cut=cut, cloud=heads.fetched())


def tradeoff_map(
    tradeoff: Tradeoff,
    cursor: int,
    *,
    width: int,
    height: int,
    glyphs: Glyphs,
) -> list[Spans]:
    """Return the map as lines: marks of states cannot be beaten in both, `@` is the cursor.

    `cursor` is a place among the builds of the trade-off; the others are heads.
    """
    marks = [(tradeoff.at(build), ".", "") for build in tradeoff.cloud]
    marks += [
        (tradeoff.at(build), POINTS[build.state], STATE_STYLES[build.state])
        for build in tradeoff.builds
    ]
    if tradeoff.builds:
        marks.append((tradeoff.at(tradeoff.builds[cursor]), "@", "pick"))
    known = [(point, mark, style) for point, mark, style in marks if point is not None]
    if not known:
        return [[("No build has both figures.", "")]]
    plot = Plot(
        (_axis_title(tradeoff.across), [x for (x, _), _, _ in known]),
        (_axis_title(tradeoff.up), [y for (_, y), _, _ in known]),
        width=width,
        height=height,
        glyphs=glyphs,
    )
    if not plot.told:
        return [[("No room to draw.", "")]]
    for (x, y), mark, style in known:
        plot.put(plot.row(y), plot.column(x), mark, style)
    return plot.lines()


def _axis_title(figure: Figure) -> str:
    unit = f", {unit_of(figure.name)}" if unit_of(figure.name) else ""
    return f"{figure.title}{unit} ({'more' if figure.highest_first else 'less'} is better)"


class MapPanel(DrawnPanel):
    """The map; left and right move along the front."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "along(-1)", "build before"),
        Binding("right", "along(1)", "build after"),
    ]

    def __init__(self) -> None:
        super().__init__(id="map")
        self.tradeoff: Tradeoff | None = None
        self.at = 0
        self.drawn = [[("~ working the front out", "")]]

    def show(self, tradeoff: Tradeoff) -> None:
        """Show another front."""
        self.tradeoff, self.at = tradeoff, 0
        self.renew()

    @property
    def build(self) -> RankedBuild | None:
        """The build under the cursor."""
        if self.tradeoff is None or not self.tradeoff.builds:
            return None
        return self.tradeoff.builds[self.at]

    def renew(self) -> None:
        if self.tradeoff is not None:
            width, height = self.size
            self.drawn = tradeoff_map(
                self.tradeoff,
                self.at,
                width=width,
                height=height - len(self.foot(width)),
                glyphs=self.hw.glyphs,
            )
        super().renew()

    def foot(self, width: int) -> Sequence[Spans]:
        build, tradeoff = self.build, self.tradeoff
        if build is None or tradeoff is None:
            return ()
        point = tradeoff.at(build)
        numbers = "unknown" if point is None else " and ".join(figures(value) for value in point)
        parts = ", ".join(part.name for part in build.parts.values())
        count = f"{self.at + 1} of {len(tradeoff.builds)}{' or more' if tradeoff.cut else ''}"
        words = f"@ {count}: {numbers}, {build.state.words}: {parts}"
        key = "nothing beats in both: o fits  ! marginal  ? unproven   . the best heads"
        return [*paragraph(words, width, "accent")[:2], [(key, "")]]

    def action_along(self, by: int) -> None:
        if self.tradeoff is not None and self.tradeoff.builds:
            self.at = (self.at + by) % len(self.tradeoff.builds)
            self.renew()


class MapScreen(Box):
    """Two figures of the builds that are left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("q,t", "leave", "leave"),
        Binding("a", "figure(0)", "figure across"),
        Binding("u", "figure(1)", "figure up"),
        Binding("m", "mark", "mark"),
    ]

    def __init__(self, app: SessionApp) -> None:
        self._hw = app
        answer = app.session.answer
        two_part = answer is not None and answer.question.material.two_part
        self._map = MapPanel()
        self._figures = [
            next(figure for figure in FIGURES if figure.name == name) for name in FIRST[two_part]
        ]
        super().__init__(self._title, MAP_KEYS, self._map)

    @property
    def _title(self) -> str:
        return f"Trade-off: {self._figures[0].title} against {self._figures[1].title}"

    def on_mount(self) -> None:
        self._map.focus()
        self._ask()

    def _ask(self) -> None:
        across, up = self._figures
        self.name_it(self._title, MAP_KEYS)
        session = self._hw.session
        answer, strict = session.answer, session.strict
        if answer is not None:
            self._hw.work_out("page", lambda: tradeoff_of(answer, across, up, strict=strict))

    def took_front(self, tradeoff: Tradeoff) -> None:
        """Show a front, if it is still the one asked for."""
        if [tradeoff.across, tradeoff.up] == self._figures:
            self._map.show(tradeoff)

    def action_figure(self, which: int) -> None:
        """Take the next figure on one of the axes, never the same on both."""
        place = ABLE.index(self._figures[which])
        other = self._figures[1 - which]
        following = [ABLE[(place + step) % len(ABLE)] for step in (1, 2)]
        self._figures[which] = following[0] if following[0] is not other else following[1]
        self._ask()

    def on_line_panel_acted(self) -> None:
        build = self._map.build
        if build is None:
            return
        self.go_back()
        self._hw.listed.go_to(build)
        self._hw.show_panel("4")

    def action_mark(self) -> None:
        build = self._map.build
        if build is not None and self._hw.session.mark(build):
            marked = len(self._hw.session.marked)
            self._hw.changed(f"{marked} marked; c compares")
            self.hints.show([(f" {marked} marked; Esc, then c compares", "")])
