"""The application: one session, two desks of work beside the screen, and what comes back."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import App
from textual.css.query import NoMatches
from textual.message import Message

from configurator.errors import HeadwrightError, shown
from configurator.request.question import Question
from configurator.tui.autosave import keep
from configurator.tui.desk import Delivery, Desk, IsStale, NobodyWaitsError
from configurator.tui.draft import Draft
from configurator.tui.engine import drawn, timed
from configurator.tui.glyphs import ASCII, LINES
from configurator.tui.line_panel import LinePanel
from configurator.tui.listed import Listed
from configurator.tui.main_screen import MainScreen
from configurator.tui.need_counts import NeedCounts, counted
from configurator.tui.needs import Need
from configurator.tui.session import Session
from configurator.tui.themes import THEMES

if TYPE_CHECKING:
    from configurator.tui.review.rebuilt import Bench
    from configurator.tui.reviewing import Reviewing
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

OF_RESULTS = ("row", "found", "results")
"""Lanes in which results are looked up, the most urgent first."""

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
    bench : callable
        Gives what rows of results are rebuilt and compared with.
    results : Path
        Results of a screening to begin with.
    painted : callable
        Called once there is something to see.

    Raises
    ------
    InputError
        If there are no results in that file.
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
        solve: Callable[[Question], Answer] | None = None,
        bench: Callable[[], Bench] | None = None,
        results: Path | None = None,
        painted: Callable[[], None] | None = None,
    ) -> None:
        super().__init__()
        self.session = session
        self.folder = folder
        self.ascii_only = ascii_only
        self.glyphs = ASCII if ascii_only else LINES
        self.options = tuple(options)
        self.need_counts = NeedCounts(Draft(), 0)
        self.last_words = ""
        self.solve = solve or session.workshop.answer
        self._bench = bench
        self._results = results
        self._painted = painted
        if results is not None:
            self.reviewing.open(results)
        self._solver = Desk(("answer", "export", "further", "needs"), self._deliver)
        lanes = ("builds", "nothing", "window", "why", "page", *OF_RESULTS)
        self._viewer = Desk(lanes, self._deliver)
        self._asked = False
        self.listed = Listed(self, self._viewer)
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
    def is_asked(self) -> bool:
        """True while an answer is on its way, or about to be asked for."""
        if self.session.to_solve is None:
            return False
        return not self._asked or self._solver.waiting_for("answer") is not None

    @property
    def fault(self) -> HeadwrightError | None:
        """What was found wrong with the results while they were read."""
        return None if self._results is None else self.reviewing.fault

    @cached_property
    def reviewing(self) -> Reviewing:
        """The results of a screening; loaded when they are asked for first."""
        from configurator.tui.reviewing import Reviewing

        return Reviewing(self, self._bench)

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
        """Show what there is, and ask the first question once it is seen: solving takes time.

        With results to review, that waits until somebody comes to the panels.
        """
        if self._results is None:
            self.redraw()
            self.call_after_refresh(self.ask_late)
        else:
            self.reviewing.show()
        if self._painted is not None:
            self.call_after_refresh(self._painted)

    def ask_late(self) -> None:
        """Ask what was not asked yet."""
        if not self._asked:
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
        for screen in self.screen_stack:
            if (show := getattr(screen, "show_says", None)) is not None:
                show(words)

    def changed(self, words: str = "") -> None:
        """Follow a change of the session: solve what has to be, keep it, draw it."""
        self._keep()
        self._ask()
        self.redraw()
        if words:
            self.say(words)

    def redraw(self) -> None:
        """Draw everything from the session as it is; what needs longer begins once that is seen."""
        self._viewer.hold()
        self.call_after_refresh(self._viewer.hold, 0.0)
        self._follow_needs()
        self.main.renew()
        self.listed.renew()

    def window_for(self, build: RankedBuild) -> None:
        """Work out the flow window of a build."""
        answer = self.session.answer
        if answer is not None:
            self._viewer.ask("window", lambda _: drawn(answer, build))

    def work_out(self, lane: str, work: Callable[[], object]) -> None:
        """Have something worked out beside the screen, for `MainScreen.took`."""
        desk = self._solver if lane == "export" else self._viewer
        desk.ask(lane, lambda _: work())

    def look_up(self, lane: str, work: Callable[[IsStale], object]) -> None:
        """Have something of the results looked up, for `Reviewing.took`."""
        self._viewer.ask(lane, work)

    def forget(self, lane: str) -> None:
        """Want nothing of a lane of the results any more."""
        self._viewer.drop(lane)

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
            return ledger, need, wanted, way, counted(ledger.draft, wanted, way, self.solve)

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
        self._asked = True
        self._solver.drop("further")
        question = self.session.to_solve
        if question is None:
            self._solver.drop("answer")
        else:
            self._solver.drop("needs")
            self._solver.ask("answer", lambda _: timed(self.solve, question))

    def _follow_needs(self) -> None:
        session = self.session
        if session.answer is None or session.stale:
            return
        if self.need_counts.draft != session.draft or self.need_counts.now != session.answer.count:
            self.need_counts = NeedCounts(session.draft, session.answer.count)
            self._solver.drop("needs")

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
        elif delivery.lane in OF_RESULTS:
            self.reviewing.took(delivery.lane, delivery.value)
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
        self.redraw()

    def action_help_quit(self) -> None:
        """Say how to leave when somebody tries Ctrl+C."""
        self.say("q leaves; your work is kept")

    def leave(self) -> None:
        """Keep the session and end."""
        self._keep()
        self._solver.close()
        self._viewer.close()
        self.exit()
