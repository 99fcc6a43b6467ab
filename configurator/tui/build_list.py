"""The builds of one answer in order, fetched as far as somebody has looked and no further."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from typing import TYPE_CHECKING

from configurator.tui.desk import Desk
from configurator.tui.session import Session

if TYPE_CHECKING:
    from configurator.engine import Build
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

MOST_LISTED = 10_000
"""Rows that a list goes down to, as on the command line; beyond, picks narrow better."""

PAGE = 40
"""Builds that are worked out at a time: a screen and a bit."""


class BuildList:
    """The builds of an answer: its length is known at once, its rows when they are fetched."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer
        self.total = answer.listed
        self.stand_on: tuple[Mapping[str, str], str] | None = None
        """A build to look for before anything is shown, and what is said if it is not there."""
        self.start = 0
        """Row to stand on when the list is shown first."""
        self.note = ""
        """What to say when it is shown first."""
        self._order: Iterator[Build] | None = None
        self._found: list[Build] = []
        self._rows: dict[int, RankedBuild] = {}

    def __len__(self) -> int:
        """Rows that can be looked at."""
        return min(self.total, MOST_LISTED)

    def row(self, index: int) -> RankedBuild | None:
        """A build of the list; None until it is fetched."""
        return self._rows.get(index)

    def fetched(self) -> tuple[RankedBuild, ...]:
        """The builds that are at hand, in no order."""
        return tuple(self._rows.values())

    def lacks(self, start: int, stop: int) -> bool:
        """True if some row of a range is not fetched yet."""
        return any(index not in self._rows for index in range(max(start, 0), min(stop, len(self))))

    def fetch(self, start: int, stop: int) -> BuildList:
        """Work out whole pages around a range, for a thread beside the screen; the list itself."""
        if self.stand_on is not None:
            (parts, words), self.stand_on = self.stand_on, None
            place = self.place_of(parts)
            self.start, self.note = place or 0, words if parts and place is None else ""
            start, stop = self.start, self.start + stop - start
        first = max(start, 0) // PAGE * PAGE
        last = min(stop, len(self))
        for offset in range(first, last, PAGE):
            if self.lacks(offset, offset + PAGE):
                self._page(offset)
        return self

    def place_of(self, parts: Mapping[str, str]) -> int | None:
        """The row of a build by the names of its parts, from the top; None if it is in none."""
        wanted = {}
        for slot, live in self.answer.grid.frame.parts.items():
            names = [part.name for part in live]
            if parts.get(slot) not in names:
                return None
            wanted[slot] = names.index(parts[slot])
        for offset in range(0, len(self), PAGE):
            self._reach(offset + PAGE)
            for place, build in enumerate(self._found[offset : offset + PAGE], start=offset):
                if all(build[slot] == value for slot, value in wanted.items()):
                    return place
        return None

    def _reach(self, stop: int) -> None:
        if self._order is None:
            self._order = self.answer.in_order()
        missing = stop - len(self._found)
        if missing > 0:
            self._found.extend(islice(self._order, missing))

    def _page(self, offset: int) -> None:
        self._reach(offset + PAGE)
        page = self._found[offset : min(offset + PAGE, len(self))]
        if not page:
            return
        for build in self.answer.described_builds(page, first_rank=offset + 1):
            self._rows[build.rank - 1] = build


class Listed:
    """Keeps the list on the screen in step with the session.

    Rows are fetched on a desk, in the lane `builds`; `show` is called with what needs no fetching.
    """

    def __init__(
        self, session: Session, desk: Desk, show: Callable[[BuildList | None], None]
    ) -> None:
        self._session = session
        self._desk = desk
        self._show = show
        self.newest: BuildList | None = None
        self._made_for: tuple[Answer | None] | None = None
        self._seek: tuple[Mapping[str, str], str] | None = None

    def seek(self, parts: Mapping[str, str], words: str) -> None:
        """Stand on a build once the next builds are listed, or say that it is not there."""
        self._seek = (parts, words)

    def go_to(self, parts: Mapping[str, str], words: str) -> None:
        """List the builds anew, standing on one of them, or say that it is not there."""
        self.seek(parts, words)
        self._made_for = None
        self.renew()

    def fetch(self, builds: BuildList, first: int, last: int) -> None:
        """Fetch rows that somebody looks at, unless a newer list is on its way already."""
        if builds is self.newest:
            self._desk.ask("builds", lambda _: builds.fetch(first, last))

    def renew(self) -> None:
        """Make another list if answer, order or filter are others."""
        answer = self._session.answer
        if self._made_for is not None and self._made_for[0] is answer:
            return
        self._made_for = (answer,)
        if answer is None:
            self.newest = None
            self._show(None)
            return
        builds = self.newest = BuildList(answer)
        if not self._session.stale:
            builds.stand_on, self._seek = self._seek, None
        if builds.total:
            self.fetch(builds, 0, PAGE)
        else:
            self._desk.drop("builds")
            self._desk.drop("window")
            self._show(builds)
