"""The application as its panels and screens know it: one session, and two desks of work beside it."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App
from textual.message import Message
from textual.screen import ModalScreen

from configurator.request.question import Question
from configurator.tui.build_list import BuildList, Listed
from configurator.tui.desk import Delivery, Desk, IsStale
from configurator.tui.document import Draft
from configurator.tui.kept import keep
from configurator.tui.looks import ASCII, LINES, THEMES
from configurator.tui.needs import Need, NeedCounts, counted
from configurator.tui.session import Session

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

OF_RESULTS = ("row", "found", "results")
"""Lanes in which results are looked up, the most urgent first."""

SAID_WHILE = 0.5
"""Seconds after which the screen says that it is solving. [s]"""


class Delivered(Message):
    """Something came back from a desk."""

    def __init__(self, delivery: Delivery) -> None:
        super().__init__()
        self.delivery = delivery


class SessionApp(App[None]):
    """What panels and screens may ask for; the screens themselves come with who derives from it.

    The session is kept in a folder, if one is named. `options` is what the command was given beside
    the question, as `--catalog DIR`; `solve` gives the answer to a request.
    """

    def __init__(
        self,
        session: Session,
        *,
        folder: Path | None = None,
        theme: str = "dark",
        ascii_only: bool = False,
        options: Sequence[str] = (),
        solve: Callable[[Question], Answer] | None = None,
    ) -> None:
        super().__init__()
        self.session = session
        self.folder = folder
        self.ascii_only = ascii_only
        self.glyphs = ASCII if ascii_only else LINES
        self.options = tuple(options)
        self.solve = solve or session.workshop.answer
        self.need_counts = NeedCounts(Draft(), 0)
        self.last_words = ""
        self._solver = Desk(("answer", "export", "further", "needs"), self._deliver)
        lanes = ("builds", "nothing", "window", "why", "page", *OF_RESULTS)
        self._viewer = Desk(lanes, self._deliver)
        self.listed = Listed(session, self._viewer, self.show_builds)
        self._asked = False
        self._slow = False
        for ours in THEMES.values():
            self.register_theme(ours)
        # Textual turns colours to greys for NO_COLOR; our mono theme keeps its contrast then.
        self.theme = THEMES["mono" if self.no_color else theme].name

    @property
    def is_asked(self) -> bool:
        """True while an answer is on its way, or about to be asked for."""
        if self.session.to_solve is None:
            return False
        return not self._asked or self._solver.waiting_for("answer") is not None

    @property
    def solving(self) -> float | None:
        """Seconds that the newest question has been waiting, once they are worth a word. [s]"""
        waiting = self._solver.waiting_for("answer")
        return waiting if waiting is not None and waiting > SAID_WHILE else None

    # What the screens themselves do

    def begin(self) -> None:
        """Show what there is, once there is a screen."""
        raise NotImplementedError

    def redraw(self) -> None:
        """Draw everything from the session as it is."""
        raise NotImplementedError

    def show_builds(self, builds: BuildList | None) -> None:
        """Show a list of builds."""
        raise NotImplementedError

    def show_panel(self, digit: str) -> None:
        """Go to a panel of the main screen."""
        raise NotImplementedError

    def show_review(self) -> None:
        """Go to the results of a screening, or ask which."""
        raise NotImplementedError

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

    def ask_late(self) -> None:
        """Ask what was not asked yet."""
        if not self._asked:
            self._ask()
            self.redraw()

    def ask_for(self, box: ModalScreen[str | None], then: Callable[[str], None]) -> None:
        """Put a small screen over the others, and go on only with what comes of it."""

        def took(given: str | None) -> None:
            if given is not None:
                then(given)

        self.push_screen(box, took)

    def next_theme(self) -> None:
        """Go to the next theme."""
        names = {theme.name: word for word, theme in THEMES.items()}
        if self.no_color:
            self.say("NO_COLOR is set: mono it is")
            return
        order = list(names)
        self.theme = order[(order.index(self.theme) + 1) % len(order)]
        self.say(f"theme {names[self.theme]}")

    def leave(self) -> None:
        """Keep the session and end."""
        self._keep()
        self._solver.close()
        self._viewer.close()
        self.exit()

    # Work beside the screen

    def window_for(self, build: RankedBuild) -> None:
        """Work out the numbers behind the pictures of a build."""
        answer = self.session.answer
        if answer is None:
            return

        def drawn(_: IsStale) -> object:
            from configurator.tui.pictures import pictured  # with it comes the engine

            return pictured(answer, build)

        self._viewer.ask("window", drawn)

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

    def _keep(self) -> None:
        if self.folder is None:
            return
        try:
            folder = keep(self.session, self.folder)
            if folder != self.folder:
                self.folder = folder
                self.say(f"another screen keeps its session there; this one is kept in {folder}")
        except OSError as error:
            self.say(f"not kept in {self.folder}: {error.strerror or error}")

    def _ask(self) -> None:
        self._asked = True
        self._solver.drop("further")
        question = self.session.to_solve
        if question is None:
            self._solver.drop("answer")
            return

        def timed(_: IsStale) -> tuple[Answer, float]:
            start = time.monotonic()
            return self.solve(question), time.monotonic() - start

        self._solver.drop("needs")
        self._solver.ask("answer", timed)

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
