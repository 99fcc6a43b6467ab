"""The builds of one answer in order, fetched as far as somebody has looked and no further."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import islice
from typing import TYPE_CHECKING

from configurator.tui.desk import Desk
from configurator.tui.session import Session

if TYPE_CHECKING:
    from configurator.engine import Build
    from configurator.workshop.answer import Answer
    from configurator.workshop.heads import ListedHead
    from configurator.workshop.told import RankedBuild

MOST_LISTED = 10_000
"""Rows that a list goes down to, as on the command line; beyond, picks narrow better."""

PAGE = 40
"""Builds that are worked out at a time: a screen and a bit."""


class BuildList:
    """The builds of an answer: its length is known at once, its rows when they are fetched."""

    def __init__(self, answer: Answer, *, folds: bool = False) -> None:
        self.answer = answer
        self.folds = folds
        """True if only the first build of each head is listed."""
        self.total = answer.listed
        self.stand_on: tuple[Mapping[str, str], str] | None = None
        """A build to look for before anything is shown, and what is said if it is not there."""
        self.start = 0
        """Row to stand on when the list is shown first."""
        self.note = ""
        """What to say when it is shown first."""
        self._order: Iterator[tuple[int, Build]] | None = None
        self._found: list[tuple[int, Build]] = []
        self._all_found = False
        self._rows: dict[int, RankedBuild] = {}
        self.heads: dict[int, ListedHead] = {}
        """Heads at hand by the rank of their first builds, where they are listed."""

    def __len__(self) -> int:
        """Rows that can be looked at; of heads, those found and a page of what may follow."""
        most = min(self.total, MOST_LISTED)
        if not self.folds:
            return most
        return len(self._found) if self._all_found else min(len(self._found) + PAGE, most)

    def folds_slot(self, slot: str) -> bool:
        """Whether a slot is folded: told by its number, and no part of a head."""
        if not self.folds:
            return False
        from configurator.workshop.heads import is_exchanged  # with the engine, not before

        return is_exchanged(slot)

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
            page = self._found[offset : offset + PAGE]
            for place, (_, build) in enumerate(page, start=offset):
                if all(build[slot] == value for slot, value in wanted.items()):
                    return place
        return None

    def _reach(self, stop: int) -> None:
        if self._order is None:
            from configurator.workshop.heads import first_builds  # with the engine, not before

            order = enumerate(self.answer.in_order(), start=1)
            self._order = first_builds(order) if self.folds else order
        missing = stop - len(self._found)
        if missing > 0 and not self._all_found:
            more = list(islice(self._order, missing))
            self._found.extend(more)
            self._all_found = len(more) < missing

    def _page(self, offset: int) -> None:
        self._reach(offset + PAGE)
        page = self._found[offset : min(offset + PAGE, len(self))]
        if not page:
            return
        told = self.answer.described_builds([build for _, build in page])
        for place, (build, (rank, _)) in enumerate(zip(told, page, strict=True), start=offset):
            self._rows[place] = replace(build, rank=rank)
            if self.folds:
                self._fold(place, page[place - offset][1])

    def _fold(self, place: int, build: Build) -> None:
        from configurator.workshop.heads import head_of

        best = self._rows[place]
        self.heads[best.rank] = head_of(self.answer, place + 1, best, build)


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
        self.folds = False
        """True if heads are listed and not each build."""
        self._made_for: tuple[Answer | None] | None = None
        self._seek: tuple[Mapping[str, str], str] | None = None

    def seek(self, parts: Mapping[str, str], words: str) -> None:
        """Stand on a build once the next builds are listed, or say that it is not there."""
        self._seek = (parts, words)

    def go_to(self, parts: Mapping[str, str], words: str) -> None:
        """List the builds anew, standing on one of them, or say that it is not there."""
        self.folds = False
        self.seek(parts, words)
        self._made_for = None
        self.renew()

    def fold(self) -> None:
        """List heads, or each build again."""
        self.folds = not self.folds
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
        builds = self.newest = BuildList(answer, folds=self.folds)
        if not self._session.stale:
            builds.stand_on, self._seek = self._seek, None
        if builds.total:
            self.fetch(builds, 0, PAGE)
        else:
            self._desk.drop("builds")
            self._desk.drop("window")
            self._show(builds)
