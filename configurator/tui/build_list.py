"""The builds of one answer in order, fetched as far as somebody has looked and no further."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice

from configurator.engine import Build
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

PAGE = 40
"""Builds that are worked out at a time: a screen and a bit."""

MOST_LISTED = 10_000
"""Rows that a list goes down to, as on the command line; beyond, picks narrow better."""


class BuildList:
    """A list that knows its length at once and its rows when they are fetched.

    Parameters
    ----------
    answer : Answer
        Whose builds.
    """

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

    def fetch(self, start: int, stop: int) -> None:
        """Work out whole pages around a range; meant for a thread beside the screen."""
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

    def place_of(self, parts: Mapping[str, str]) -> int | None:
        """The row of a build given by the names of its parts; None if it is in none.

        It is meant for a thread beside the screen: the list is gone through from its top.
        """
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
