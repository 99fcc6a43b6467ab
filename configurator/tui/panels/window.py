"""Pictures of the build under the cursor of Heads: one at a time, or two where there is room."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from configurator.tui.line_panel import DrawnPanel
from configurator.tui.looks import Spans

if TYPE_CHECKING:
    from configurator.tui.pictures import Pictured

TALL = 26
"""Lines from which the picture of the head stands below another."""

PICTURES = {
    "flow": "Flow window",
    "pressures": "Pressure chain",
    "margins": "Margins",
    "ages": "Age of the mix",
    "head": "Head",
}
"""In the order in which Enter goes through them."""


class WindowPanel(DrawnPanel):
    """Pictures of one build; Enter goes from one to the next."""

    NAME = "Flow window"
    DIGIT = "5"
    HINTS = "Enter next picture  left/right side"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "side(-1)", "other side", id="window.before"),
        Binding("right", "side(1)", "other side", id="window.after"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.shown: Pictured | None = None
        self.picture = "flow"
        self._side = 0

    def show(self, shown: Pictured | None) -> None:
        """Show another build."""
        self.shown = shown
        if self.picture not in self._pictures():
            self.picture = "flow"
        self.renew()

    def _pictures(self) -> list[str]:
        """Those that there are: one part alone does not age."""
        two_part = self.shown is not None and self.shown.ages is not None
        return [name for name in PICTURES if name != "ages" or two_part]

    def renew(self) -> None:
        width, height = self.size
        if self.shown is None:
            self.drawn = [[("No build to draw.", "")]]
        elif height < TALL or self.picture == "head":
            self.drawn = self._drawn(self.picture, width, height)
        else:
            head = self._drawn("head", width, height)
            first = self._drawn(self.picture, width, height - len(head) - 1)
            self.drawn = [*first, [("", "")], *head]
        super().renew()

    def _drawn(self, picture: str, width: int, height: int) -> Sequence[Spans]:
        from configurator.tui import pictures as draw  # with it comes the engine

        glyphs, shown = self.hw.glyphs, self.shown
        assert shown is not None, "there is a build to draw"
        if picture == "pressures":
            bars = draw.pressure_bars(draw.pressure_findings(shown.build), width, glyphs)
            words = [("needed of allowed, outlet to inlet, at the worst corner", "strong")]
            return [*draw.chain_chart(shown.chain, width, glyphs), [("", "")], words, *bars]
        if picture == "margins":
            words = [("share of its limit that each rule leaves, the least first", "strong")]
            return [words, *draw.margin_bars([shown.build], width, glyphs)]
        if picture == "ages" and shown.ages is not None:
            return draw.age_chart(shown.ages, width, height, glyphs)
        if picture == "head":
            return draw.head_picture(shown.build, width, glyphs)
        window = shown.windows[self._side % len(shown.windows)]
        return draw.flow_chart(window, width, height, glyphs)

    def title_words(self) -> str:
        name = PICTURES[self.picture]
        rank = None if self.shown is None else self.shown.build.rank
        return name if rank is None else f"{name} of {f'build {rank}' if rank else 'this build'}"

    def action_move(self, by: int) -> None:
        self.first = max(min(self.first + by, self.count() - self.room), 0)
        self.refresh()

    def action_act(self) -> None:
        order = self._pictures()
        self.picture = order[(order.index(self.picture) + 1) % len(order)]
        self.first = 0
        self.renew()

    def action_side(self, by: int) -> None:
        self._side += by
        self.renew()
