"""The list of builds on the screen: made anew when it has to be, fetched where it is looked at."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from configurator.tui.app import HeadwrightApp
    from configurator.tui.build_list import BuildList
    from configurator.tui.desk import Desk
    from configurator.workshop.answer import Answer


class Listed:
    """Keeps the list in step with the session.

    Parameters
    ----------
    app : HeadwrightApp
        Whose session and screen.
    desk : Desk
        Where builds are fetched, in the lane `builds`.
    """

    def __init__(self, app: HeadwrightApp, desk: Desk) -> None:
        self._app = app
        self._desk = desk
        self._list: BuildList | None = None
        self._made_for: tuple[Answer | None] | None = None
        self._seek: tuple[Mapping[str, str], str] | None = None

    def seek(self, parts: Mapping[str, str], words: str) -> None:
        """Stand on a build once the next builds are listed, or say that it is not there."""
        self._seek = (parts, words)

    def fetch(self, builds: BuildList, first: int, last: int) -> None:
        """Fetch rows that somebody looks at, unless a newer list is on its way already."""
        if builds is self._list:
            self._desk.ask("builds", partial(_fetched, builds, first, last))

    def renew(self) -> None:
        """Make another list if answer, order or filter are others."""
        session = self._app.session
        answer = session.answer
        if self._made_for is not None and self._made_for[0] is answer:
            return
        self._made_for = (answer,)
        if answer is None:
            self._list = None
            self._app.main.show_builds(None)
            return
        from configurator.tui.build_list import PAGE, BuildList  # with it comes the engine

        builds = self._list = BuildList(answer)
        if not session.stale:
            builds.stand_on, self._seek = self._seek, None
        if builds.total:
            self._desk.ask("builds", partial(_fetched, builds, 0, PAGE))
        else:
            self._desk.drop("builds")
            self._desk.drop("window")
            self._app.main.show_builds(builds)


def _fetched(builds: BuildList, first: int, last: int, _: object) -> BuildList:
    builds.fetch(first, last)
    return builds
