"""The six panels: where they stand at each size, what they show, and what is worked out for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal

from configurator.rules.finding import LISTED
from configurator.tui.build_list import BuildList
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Span, short_count
from configurator.tui.panels.builds import BuildsPanel
from configurator.tui.panels.duty import DutyBox, DutyPanel
from configurator.tui.panels.needs import NeedsPanel
from configurator.tui.panels.paragraphs import WhyPanel
from configurator.tui.panels.parts import PartsPanel
from configurator.tui.panels.window import WindowPanel
from configurator.tui.said import Said, about_part
from configurator.tui.screens import Bar, Floor, FramedScreen
from configurator.units.display import plural, spaced

if TYPE_CHECKING:
    from configurator.tui.pictures import Pictured

TABS = (("1", "Duty"), ("2", "Parts"), ("3", "Why"), ("4", "Heads"), ("5", "Flow"), ("6", "Needs"))
PLACES = {"1": "duty", "2": "parts", "3": "why", "4": "builds", "5": "window", "6": "needs"}
"""Id of the place that a digit goes to."""

ROOMY = 160
"""Columns from which Needs stands beside Parts."""

UPPER = ("duty", "parts", "why", "needs")


class PanelScreen(FramedScreen):
    """Six panels; all at once where there is room, else one at a time."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(digit, f"panel('{digit}')", name, id=f"panel.{name.lower()}")
            for digit, name in TABS
        ),
        Binding("tab", "following(1)", "next panel", id="panel.next"),
        Binding("shift+tab", "following(-1)", "panel before", id="panel.before"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.active = "1"
        self.asked_by = "2"
        """Whose cursor the reasons are about: Parts or Builds."""
        self.duty_box = DutyBox()
        self.parts = PartsPanel(id="parts", classes="main")
        self.needs = NeedsPanel(id="needs", classes="main")
        self.why = WhyPanel(id="why", classes="main")
        self.builds = BuildsPanel(id="builds", classes="main")
        self.window = WindowPanel(id="window", classes="main")
        self._asked: tuple[object, ...] = ()
        """What the fields were drawn for."""

    def compose(self) -> ComposeResult:
        """Lay out all panels; the style sheet decides which are seen."""
        yield Bar(id="top")
        yield Bar(id="tabs")
        with Horizontal(id="upper"):
            yield self.duty_box
            yield self.parts
            yield self.needs
            yield self.why
        with Horizontal(id="lower"):
            yield self.builds
            yield self.window
        yield Bar(id="says")
        yield Bar(id="hints")
        yield Floor(id="floor")

    @property
    def duty(self) -> DutyPanel:
        """The panel called Duty."""
        return self.duty_box.panel

    @property
    def needs_shown(self) -> bool:
        """True while the ledger is seen."""
        return self.active == "6" or self.app.size.width >= ROOMY

    # Size and focus

    def on_mount(self) -> None:
        self.fit()
        self.action_panel("4" if self.hw.session.draft.duty else "1")
        self.hw.begin()

    def fit(self) -> None:
        self.set_class(self.app.size.width >= ROOMY, "-roomy")
        self._place()
        super().fit()

    def _place(self) -> None:
        """Show the panel at hand, in whichever way the size asks for."""
        place = PLACES[self.active]
        self.set_class(self.active == "6", "-needs")
        for name in PLACES.values():
            self.query_one(f"#{name}").set_class(name == place, "-active")
        self.query_one("#upper", Horizontal).set_class(place in UPPER, "-shown")
        self.query_one("#lower", Horizontal).set_class(place not in UPPER, "-shown")
        tabs: list[Span] = []
        for digit, name in TABS:
            here = digit == self.active
            tabs.append(
                (f"[{digit} {name}]" if here else f" {digit} {name} ", "strong" if here else "")
            )
        self.query_one("#tabs", Bar).show(tabs)

    def action_panel(self, digit: str) -> None:
        if digit != self.active:
            self.hw.say("")
        self.active = digit
        self._place()
        self._panel(digit).focus()
        if digit == "6":
            self.needs.renew()
            self.hw.count_need(self.needs.need)

    def _panel(self, digit: str) -> LinePanel:
        if digit == "1":
            return self.duty
        return self.query_one(f"#{PLACES[digit]}", LinePanel)

    def action_following(self, by: int) -> None:
        order = [digit for digit, _ in TABS]
        self.action_panel(order[(order.index(self.active) + by) % len(order)])

    def on_descendant_focus(self) -> None:
        """Follow the focus, also where a click moved it; it may have gone on since it was told."""
        if isinstance(self.focused, LinePanel) and self.focused.DIGIT in PLACES:
            if self.active != self.focused.DIGIT:
                self.hw.say("")
            self.active = self.focused.DIGIT
            if self.active in ("2", "4"):
                self.asked_by = self.active
                self.ask_why()
            self._place()
            self.show_hints()

    # Drawing

    def renew(self) -> None:
        session = self.hw.session
        asked = session.draft.material, session.draft.process, session.stale, session.faults
        if asked != self._asked:  # picks leave the fields as they are
            self._asked = asked
            self.duty.renew()
        self.parts.renew()
        if self.builds.shown is None:
            self.builds.renew()
        else:
            self.builds.name_border()  # its list is an old one until the new one is fetched
        if self.needs_shown:
            self.needs.renew()
        self.show_top()
        self.ask_why()
        answer, draft = session.answer, session.draft
        if answer is not None and not answer.count:

            def why_none() -> object:
                from configurator.tui.desk_work import reasons_for_none

                return reasons_for_none(answer, draft)

            self.hw.work_out("nothing", why_none)

    def show_top(self) -> None:
        names = " + ".join(each.name or each.kind for each in self.hw.session.draft.documents)
        self.tell("top", names or "no question yet", "strong", self._counts())

    def _counts(self) -> str:
        session = self.hw.session
        answer = session.answer
        waiting = self.hw.solving
        solving = f"~ solving, {waiting:.0f} s  " if waiting is not None else ""
        if session.faults:
            solving = f"{plural(len(session.faults), 'fault')} in Duty  "
        if answer is None:
            return f"{solving} "
        stale = "~" if session.stale else ""
        words = f"{solving}{stale}{spaced(answer.count)} of {short_count(answer.considered)} builds"
        if self.wide:
            each = ", ".join(f"{short_count(answer.counts[at])} {at.words}" for at in LISTED)
            words += f": {each}"
        before = session.before
        if before is not None and not session.stale and before != answer.count:
            change = answer.count - before
            words += f" ({'+' if change > 0 else '-'}{short_count(abs(change))})"
        return f"{words} "

    def show_hints(self) -> None:
        hints = self._panel(self.active).HINTS
        always = " 1-6 panels  p commands  ? keys  q leave " if self.wide else " ? keys  q leave "
        self.tell("hints", hints, right=always)

    # What comes and goes

    def show_builds(self, builds: BuildList | None) -> None:
        self.builds.show(builds)
        if builds is None or not builds.total:
            self.window.show(None)

    def took(self, lane: str, value: object) -> None:
        """Take what was worked out beside the screen."""
        if lane == "builds":
            listed = cast("BuildList", value)
            if listed is not self.builds.shown:
                self.builds.show(listed)
                if listed.note:
                    self.hw.say(listed.note)
            else:
                self.builds.renew()
                self._build_moved()
        elif lane == "window":
            self.window.show(cast("Pictured", value))
        elif lane == "nothing":
            self.builds.nothing(cast("tuple[str, tuple[Said, ...]]", value)[1])
        elif lane == "further":
            self.why.show(*cast("tuple[str, tuple[Said, ...]]", value))
            self.hw.say("found; Enter on a remedy applies it, and z undoes that")
        elif lane == "why":
            self._told(*cast("tuple[str, tuple[Said, ...]]", value))
        else:
            self.took_page(value)

    def took_page(self, value: object) -> None:
        raise NotImplementedError

    def on_line_panel_moved(self, event: LinePanel.Moved) -> None:
        if event.panel is self.parts:
            self.parts.reason = ""
            self.asked_by = "2"
            self.ask_why()
        elif event.panel is self.builds:
            self._build_moved()
        elif event.panel is self.needs:
            self.hw.count_need(self.needs.need)

    def _build_moved(self) -> None:
        build = self.builds.build
        if build is None:
            return
        if self.window.shown is None or build is not self.window.shown.build:
            self.hw.window_for(build)
        if self.asked_by == "4":
            self.ask_why()

    def ask_why(self) -> None:
        """Have the reasons worked out for what the cursor is on."""
        session = self.hw.session
        answer, draft = session.answer, session.draft
        if answer is None or session.stale:
            return
        build, slot, option = self.builds.build, self.parts.slot, self.parts.option
        of_build = self.asked_by == "4"

        def why() -> object:
            from configurator.tui.desk_work import reasons_of_build, reasons_of_part

            if slot is None or option is None or of_build:
                return reasons_of_build(answer, draft, build)
            return reasons_of_part(answer, draft, slot, option)

        if (build is not None or not answer.count) if of_build else option is not None:
            self.hw.work_out("why", why)

    def _told(self, about: str, said: Sequence[Said]) -> None:
        self.why.show(about, said)
        slot, option = self.parts.slot, self.parts.option
        if slot is not None and option is not None and about == about_part(slot, option):
            words = [entry.text.strip() for entry in said if entry.style == "out"]
            rules = [entry.text.strip() for entry in said if entry.style != "out"]
            whole = words and not words[0].endswith(":")  # else the rules follow
            self.parts.reason = words[0] if whole else "".join(rules[1:2])
            self.parts.refresh()
