"""The application: one session, two desks of work beside the screen, and what comes back."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import ClassVar, cast

from textual.app import App
from textual.css.query import NoMatches
from textual.message import Message

from configurator.answer import Answer, RankedBuild
from configurator.configure import configure
from configurator.errors import HeadwrightError, shown
from configurator.rank.figures import Figure
from configurator.request.request import Request
from configurator.tui.autosave import keep
from configurator.tui.build_list import PAGE, BuildList
from configurator.tui.desk import Delivery, Desk, IsStale
from configurator.tui.flow_window import windows_of
from configurator.tui.further import NobodyWaitsError
from configurator.tui.glyphs import ASCII, LINES
from configurator.tui.line_panel import LinePanel
from configurator.tui.main_screen import MainScreen
from configurator.tui.need_counts import NeedCounts, counted
from configurator.tui.needs import Need
from configurator.tui.session import Session
from configurator.tui.themes import THEMES
from configurator.tui.wish import Wish

SLOW = 2.0
"""Seconds of solving from which needs are counted on demand only. [s]"""

SAID_WHILE = 0.5
"""Seconds after which the screen says that it is solving. [s]"""


class Delivered(Message):
    """Something came back from a desk."""

    def __init__(self, delivery: Delivery) -> None:
        super().__init__()
        self.delivery = delivery


class HeadwrightApp(App[None]):
    """Screens over a session.

    Parameters
    ----------
    session : Session
        What is asked so far.
    folder : Path or None
        Where the session is kept; None keeps nothing.
    theme : str
        dark, light or mono.
    ascii_only : bool
        True to draw with plain ASCII.
    options : sequence of str
        What the command was given beside the question, as `--catalog DIR`.
    solve : callable
        Gives the answer to a request.
    """

    CSS_PATH = "style.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "headwright"

    TIMERS: ClassVar[float] = 0.25

    def __init__(
        self,
        session: Session,
        *,
        folder: Path | None = None,
        theme: str = "dark",
        ascii_only: bool = False,
        options: Sequence[str] = (),
        solve: Callable[[Request], Answer] | None = None,
    ) -> None:
        super().__init__()
        self.session = session
        self.folder = folder
        self.ascii_only = ascii_only
        self.glyphs = ASCII if ascii_only else LINES
        self.options = tuple(options)
        self.need_counts = NeedCounts(Wish(), 0)
        self.last_words = ""
        self.solve = solve or (lambda request: configure(request, session.catalog))
        self._solver = Desk(("answer", "export", "further", "needs"), self._deliver)
        self._viewer = Desk(("builds", "nothing", "window", "why", "page"), self._deliver)
        self._list: BuildList | None = None
        self._listed: tuple[Answer | None, Figure, bool] | None = None
        self._slow = False
        self._said_waiting = False
        for ours in THEMES.values():
            self.register_theme(ours)
        # Textual turns colours to greys for NO_COLOR; our mono theme keeps its contrast then.
        self.theme = THEMES["mono" if self.no_color else theme].name

    @property
    def main(self) -> MainScreen:
        """The screen below all others."""
        return cast("MainScreen", self.screen_stack[0])

    @property
    def idle(self) -> bool:
        """True if nothing is at work beside the screen."""
        return self._solver.idle and self._viewer.idle

    @property
    def solving(self) -> float | None:
        """Seconds that the newest question has been waiting, once they are worth a word. [s]"""
        waiting = self._solver.waiting_for("answer")
        return waiting if waiting is not None and waiting > SAID_WHILE else None

    def get_default_screen(self) -> MainScreen:
        """The main screen."""
        return MainScreen()

    def on_mount(self) -> None:
        """Look after the time that passes."""
        self.set_class(self.ascii_only, "-ascii")
        self.set_interval(self.TIMERS, self._tick)

    def begin(self) -> None:
        """Ask the first question, once there are panels to show the answer in."""
        self._ask()
        self.redraw()

    def _tick(self) -> None:
        waiting = self.solving is not None
        if waiting or self._said_waiting:
            with contextlib.suppress(NoMatches):  # a last tick while the panels are taken down
                self.main.show_top()
        self._said_waiting = waiting

    # What screens call

    def say(self, words: str) -> None:
        """Say something in the line above the keys."""
        self.last_words = words
        self.main.show_says(words)

    def changed(self, words: str = "") -> None:
        """Follow a change of the session: solve what has to be, keep it, draw it."""
        self._keep()
        self._ask()
        self.redraw()
        if words:
            self.say(words)

    def redraw(self) -> None:
        """Draw everything from the session as it is."""
        self._follow_needs()
        self.main.renew()
        self._list_builds()

    def fetch_builds(self, builds: BuildList, first: int, last: int) -> None:
        """Fetch rows that somebody looks at, unless a newer list is on its way already."""
        if builds is self._list:
            self._viewer.ask("builds", partial(_fetched, builds, first, last))

    def window_for(self, build: RankedBuild) -> None:
        """Work out the flow window of a build."""
        answer = self.session.answer
        if answer is not None:
            self._viewer.ask("window", lambda _: (build, windows_of(answer, build)))

    def work_out(self, lane: str, work: Callable[[], object]) -> None:
        """Have something worked out beside the screen, for `MainScreen.took`."""
        desk = self._solver if lane == "export" else self._viewer
        desk.ask(lane, lambda _: work())

    def search(self, work: Callable[[IsStale], object]) -> None:
        """Have a long search done beside the screen; any change of what is asked ends it."""
        self._solver.drop("needs")
        self._solver.ask("further", work)

    def count_need(self, need: Need | None) -> None:
        """Count what a need costs, then what is missing else, unless that takes long."""
        session = self.session
        if session.stale or session.answer is None or (self._slow and need is None):
            return
        following = next(iter(self.need_counts.missing(need)), None)
        if following is None or (self._slow and following[0] != need):
            return
        wanted, way = following
        ledger = self.need_counts

        def work(_: object) -> object:
            return ledger, need, wanted, way, counted(ledger.wish, wanted, way, self.solve)

        self._solver.ask("needs", work)

    def panel_focused(self, panel: LinePanel) -> None:
        """Hear which panel has the keys."""
        if self.screen_stack and isinstance(self.screen_stack[0], MainScreen):
            self.main.panel_focused(panel)

    # What happens inside

    def _keep(self) -> None:
        if self.folder is None:
            return
        try:
            keep(self.session, self.folder)
        except OSError as error:
            self.say(f"not kept in {self.folder}: {error.strerror or error}")

    def _ask(self) -> None:
        self._solver.drop("further")
        request = self.session.to_solve
        if request is None:
            self._solver.drop("answer")
        else:
            self._solver.drop("needs")
            self._solver.ask("answer", lambda _: _timed(self.solve, request))

    def _follow_needs(self) -> None:
        session = self.session
        if session.answer is None or session.stale:
            return
        if self.need_counts.wish != session.wish or self.need_counts.now != session.answer.count:
            self.need_counts = NeedCounts(session.wish, session.answer.count)
            self._solver.drop("needs")

    def _list_builds(self) -> None:
        session = self.session
        answer = session.answer
        if self._listed is not None:
            listed, sort, strict = self._listed
            if listed is answer and sort is session.sort and strict == session.strict:
                return
        self._listed = (answer, session.sort, session.strict)
        if answer is None:
            self._list = None
            self.main.show_builds(None)
            return
        builds = self._list = BuildList(answer, session.sort, strict=session.strict)
        if builds.total:
            self._viewer.ask("builds", partial(_fetched, builds, 0, PAGE))
        else:
            self._viewer.drop("builds")
            self._viewer.drop("window")
            self.main.show_builds(builds)

    def _deliver(self, delivery: Delivery) -> None:
        """Hand a result over to the screen's own thread; late ones go nowhere."""
        with contextlib.suppress(RuntimeError):  # the loop is closed once we leave
            self.post_message(Delivered(delivery))

    def on_delivered(self, event: Delivered) -> None:
        """Take a result."""
        delivery = event.delivery
        if delivery.error is not None:
            self._failed(delivery.error)
        elif delivery.lane == "answer":
            self._answered(delivery.value)
        elif delivery.lane == "needs":
            self._counted(delivery.value)
        else:
            self.main.took(delivery.lane, delivery.value)

    def _answered(self, value: object) -> None:
        answer, seconds = cast("tuple[Answer, float]", value)
        self._slow = seconds > SLOW
        self.session.solved(answer)
        self.redraw()
        if self.main.needs_shown:
            self.count_need(self.main.needs.need)

    def _counted(self, value: object) -> None:
        ledger, asked, need, way, count = cast(
            "tuple[NeedCounts, Need | None, Need, str, int | str]", value
        )
        ledger.take(need.key, way, count)
        if ledger is self.need_counts:
            self.main.needs.renew()
            if self.main.needs_shown:
                self.count_need(asked)

    def _failed(self, error: Exception) -> None:
        if isinstance(error, NobodyWaitsError):
            return
        words = str(error) if isinstance(error, HeadwrightError) else f"internal error: {error!r}"
        self.say(shown(words, 300))

    def action_help_quit(self) -> None:
        """Say how to leave when somebody tries Ctrl+C."""
        self.say("q leaves; your work is kept")

    def leave(self) -> None:
        """Keep the session and end."""
        self._keep()
        self._solver.close()
        self._viewer.close()
        self.exit()


def _timed(solve: Callable[[Request], Answer], request: Request) -> tuple[Answer, float]:
    start = time.monotonic()
    return solve(request), time.monotonic() - start


def _fetched(builds: BuildList, first: int, last: int, _: object) -> BuildList:
    builds.fetch(first, last)
    return builds
