"""The application: which screens there are, and what becomes of what a desk brings back."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, cast

from textual.css.query import NoMatches

from configurator.errors import HeadwrightError, UsageError, shown
from configurator.reading import typed_path
from configurator.tui.build_list import BuildList
from configurator.tui.desk import NobodyWaitsError
from configurator.tui.main_screen import MainScreen
from configurator.tui.needs import Need, NeedCounts
from configurator.tui.screens import Prompt
from configurator.tui.session import Session
from configurator.tui.session_app import OF_RESULTS, Delivered, SessionApp

if TYPE_CHECKING:
    from configurator.tui.review.rebuilt import Bench
    from configurator.tui.review_screen import ReviewScreen
    from configurator.tui.reviewing import Reviewing
    from configurator.workshop.answer import Answer

SLOW = 2.0
"""Seconds of solving from which needs are counted on demand only. [s]"""


class HeadwrightApp(SessionApp):
    """Screens over a session, with what `SessionApp` is given.

    Results of a screening may come first; `bench` gives what their rows are rebuilt and compared
    with, and `painted` is called once there is something to see.

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
        bench: Callable[[], Bench] | None = None,
        results: Path | None = None,
        painted: Callable[[], None] | None = None,
        **given: Any,
    ) -> None:
        super().__init__(session, **given)
        self._bench = bench
        self._results = results
        self._painted = painted
        self._said_waiting = False
        if results is not None:
            self.reviewing.open(results)

    @property
    def main(self) -> MainScreen:
        """The screen below all others."""
        return cast("MainScreen", self.screen_stack[0])

    @property
    def fault(self) -> HeadwrightError | None:
        """What was found wrong with the results while they were read."""
        review = None if self._results is None else self.reviewing.review
        return None if review is None else review.fault

    @cached_property
    def reviewing(self) -> Reviewing:
        """The results of a screening; loaded when they are asked for first."""
        from configurator.tui.reviewing import Reviewing

        return Reviewing(self, self._bench)

    @property
    def review_screen(self) -> ReviewScreen | None:
        """The screen of the results, if it is there."""
        from configurator.tui.review_screen import ReviewScreen

        return next((each for each in self.screen_stack if isinstance(each, ReviewScreen)), None)

    def get_default_screen(self) -> MainScreen:
        """The main screen."""
        return MainScreen()

    def run(self, *, headless: bool = False, **options: Any) -> None:
        """Open the screen and wait for its end.

        Raises
        ------
        UsageError
            If there is no terminal to show it on, which would be waited for without end.
        """
        if not headless and not (sys.stdin.isatty() and sys.stdout.isatty()):
            raise UsageError("the screen needs a terminal", "headwright builds prints plain lines")
        super().run(headless=headless, **options)

    def on_mount(self) -> None:
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
            self.show_review()
        if self._painted is not None:
            self.call_after_refresh(self._painted)

    def redraw(self) -> None:
        """Draw everything from the session as it is; what needs longer begins once that is seen."""
        self._viewer.hold()
        self.call_after_refresh(self._viewer.hold, 0.0)
        self._follow_needs()
        self.main.renew()
        self.listed.renew()

    def show_builds(self, builds: BuildList | None) -> None:
        self.main.show_builds(builds)

    def show_panel(self, digit: str) -> None:
        self.main.action_panel(digit)

    def show_review(self) -> None:
        """Show the results where somebody left them, or ask which to open."""
        review = self.reviewing.review
        if review is None:
            words = "Review which results of `headwright screen`?"
            self.ask_for(Prompt(words, str(Path.cwd())), self._named)
            return
        from configurator.tui.review_screen import ReviewScreen

        self.push_screen(ReviewScreen(review, self.reviewing))
        self.reviewing.read_on()

    def _named(self, name: str) -> None:
        try:
            self.reviewing.open(typed_path(name))
        except HeadwrightError as error:
            self.say(str(error))
            return
        self.show_review()

    def _tick(self) -> None:
        waiting = self.solving is not None
        if waiting or self._said_waiting:
            with contextlib.suppress(NoMatches):  # a last tick while the panels are taken down
                self.main.show_top()
        self._said_waiting = waiting

    # What comes back

    def on_delivered(self, event: Delivered) -> None:
        delivery = event.delivery
        if delivery.error is not None:
            self._failed(delivery.error)
        elif delivery.lane == "answer":
            self._answered(delivery.value)
        elif delivery.lane == "needs":
            self._counted(delivery.value)
        elif delivery.lane in OF_RESULTS:
            self._looked_up(delivery.lane, delivery.value)
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

    def _looked_up(self, lane: str, value: object) -> None:
        if self.reviewing.took(lane, value) and (screen := self.review_screen) is not None:
            screen.show_row() if lane == "row" else screen.renew()

    def _failed(self, error: Exception) -> None:
        if isinstance(error, NobodyWaitsError):
            return
        words = str(error) if isinstance(error, HeadwrightError) else f"internal error: {error!r}"
        self.say(shown(words, 300))
        self.redraw()

    def action_help_quit(self) -> None:
        self.say("q leaves; your work is kept")
