"""The heads or builds of one answer in order, fetched as far as somebody has looked and no further."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING

from configurator.tui.desk import Desk
from configurator.tui.session import Session, key_of

if TYPE_CHECKING:
    from configurator.engine import Build
    from configurator.workshop.answer import Answer
    from configurator.workshop.heads import ListedHead
    from configurator.workshop.told import RankedBuild

MOST_LISTED = 10_000
"""Builds that a list is looked through down to, as on the command line; beyond, picks narrow better."""

MOST_NUMBERED = 2_000
"""Builds among which the number of one that holds words is looked for."""

PAGE = 40
"""Builds that are worked out at a time: a screen and a bit."""

PAGE_OF_HEADS = 16
"""The same of heads, each of which tells what goes with it."""


@dataclass(frozen=True)
class View:
    """Which of the builds of an answer are listed."""

    folds: bool = True
    """True if only the first build of each head is listed."""
    opened: RankedBuild | None = None
    """The head whose builds are listed, by its first build."""
    words: str = ""
    """What the names of a build's parts have to hold."""


class BuildList:
    """Rows of a view, each a head, or a build told as a head with one tip and feed."""

    def __init__(self, answer: Answer, view: View = View()) -> None:
        self.answer = answer
        self.view = view
        self.asked = answer if view.opened is None else _within(answer, view.opened)
        """The answer of which this lists all builds."""
        self.total = self.asked.listed
        self.stand_on: tuple[Mapping[str, str], str] | None = None
        """A build to look for before anything is shown, and what is said if it is not there."""
        self.start = 0
        """Row to stand on when the list is shown first."""
        self.note = ""
        """What to say when it is shown first."""
        self.page = PAGE_OF_HEADS if view.folds else PAGE
        self._order: Iterator[tuple[int, Build]] | None = None
        self._found: list[tuple[int, Build]] = []
        self._all_found = False
        self._rows: dict[int, ListedHead] = {}

    def __len__(self) -> int:
        """Rows that can be looked at; of those to be found first, the found and a page more."""
        most = min(self.total, MOST_LISTED)
        if not self.view.folds and not self.view.words:
            return most
        return len(self._found) if self.whole else min(len(self._found) + self.page, most)

    @property
    def whole(self) -> bool:
        """True once no further row will be found."""
        return self._all_found

    def row(self, index: int) -> RankedBuild | None:
        """A build of the list; None until it is fetched."""
        return None if (head := self.head(index)) is None else head.best

    def head(self, index: int) -> ListedHead | None:
        """A row of the list; None until it is fetched."""
        return self._rows.get(index)

    def fetched(self) -> tuple[RankedBuild, ...]:
        """The builds that are at hand, in no order."""
        return tuple(head.best for head in self._rows.values())

    def heads(self) -> tuple[ListedHead, ...]:
        """The rows that are at hand, in no order."""
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
        first = max(start, 0) // self.page * self.page
        last = min(stop, len(self))
        for offset in range(first, last, self.page):
            if self.lacks(offset, offset + self.page):
                self._page(offset)
        return self

    def place_of(self, parts: Mapping[str, str]) -> int | None:
        """The row of a build, or its head, by the names of its parts; None if it is in none."""
        from configurator.workshop.heads import is_exchanged  # with the engine, not before

        wanted = {}
        for slot, live in self.answer.grid.frame.parts.items():
            if self.view.folds and is_exchanged(slot):
                continue
            names = [part.name for part in live]
            if parts.get(slot) not in names:
                return None
            wanted[slot] = names.index(parts[slot])
        for offset in range(0, min(self.total, MOST_LISTED), self.page):
            self._reach(offset + self.page)
            if offset >= len(self._found):
                break
            page = self._found[offset : offset + self.page]
            for place, (_, build) in enumerate(page, start=offset):
                if all(build[slot] == value for slot, value in wanted.items()):
                    return place
        return None

    def _reach(self, stop: int) -> None:
        if self._order is None:
            self._order = self._in_view()
        missing = stop - len(self._found)
        if missing > 0 and not self._all_found:
            more = list(islice(self._order, missing))
            self._found.extend(more)
            self._all_found = len(more) < missing

    def _in_view(self) -> Iterator[tuple[int, Build]]:
        from configurator.workshop.heads import first_builds, holding  # with the engine, not before

        words = self.view.words.casefold().split()
        order: Iterator[tuple[int, Build]] = enumerate(self.asked.in_order(), start=1)
        if words:
            order = self._numbered(islice(order, MOST_NUMBERED), holding(self.asked, words))
        return first_builds(order) if self.view.folds else order

    @staticmethod
    def _numbered(
        known: Iterator[tuple[int, Build]], order: Iterator[Build]
    ) -> Iterator[tuple[int, Build]]:
        """Builds of an order with the number that those known have; the others have none."""
        ranks: dict[tuple[int, ...], int] = {}
        for build in order:
            key = tuple(build.values())
            while key not in ranks and (following := next(known, None)) is not None:
                ranks[tuple(following[1].values())] = following[0]
            yield ranks.get(key, 0), build

    def _page(self, offset: int) -> None:
        from configurator.workshop.heads import ListedHead, head_of, is_exchanged

        self._reach(offset + self.page)
        page = self._found[offset : min(offset + self.page, len(self))]
        if not page:
            return
        told = self.asked.described_builds([build for _, build in page])
        opened = self.view.opened
        for place, (best, (number, build)) in enumerate(zip(told, page, strict=True), start=offset):
            rank = number
            # Within a head nobody has counted what stands before its builds in the whole list.
            if opened is not None:
                rank = opened.rank if key_of(best) == key_of(opened) else 0
            ranked = replace(best, rank=rank)
            if self.view.folds:
                self._rows[place] = head_of(self.answer, place + 1, ranked, build)
                continue
            folded = {slot: (p.name,) for slot, p in best.parts.items() if is_exchanged(slot)}
            self._rows[place] = ListedHead(place + 1, ranked, folded, 1)


def _within(answer: Answer, first: RankedBuild) -> Answer:
    """The answer with the parts of a head as picks."""
    question = answer.question
    return answer.with_question(replace(question, picks={**question.picks, **kept_parts(first)}))


def kept_parts(build: RankedBuild) -> dict[str, str]:
    """The parts of a build that belong to its head, by slot."""
    from configurator.workshop.heads import is_exchanged

    return {slot: part.name for slot, part in build.parts.items() if not is_exchanged(slot)}


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
        self.view = View()
        self._made_for: tuple[Answer | None, View] | None = None
        self._seek: tuple[Mapping[str, str], str] | None = None

    def seek(self, parts: Mapping[str, str], words: str) -> None:
        """Stand on a head once the next are listed, or say that it is not there."""
        self.view = View()
        self._seek = (parts, words)

    def go_to(self, build: RankedBuild) -> None:
        """List the builds of a head, standing on one of them."""
        self.show_only(View(folds=False, opened=build), build)

    def show_only(self, view: View, on: RankedBuild | None = None) -> None:
        """List something else of the same answer, standing on a build or where a head was opened."""
        on = on or self.view.opened
        if on is not None:
            self._seek = ({slot: part.name for slot, part in on.parts.items()}, "")
        self.view = view
        self.renew()

    def fetch(self, builds: BuildList, first: int, last: int) -> None:
        """Fetch rows that somebody looks at, unless a newer list is on its way already."""
        if builds is self.newest:
            self._desk.ask("builds", lambda _: builds.fetch(first, last))

    def renew(self) -> None:
        """Make another list if answer, order or view are others."""
        answer = self._session.answer
        if self._made_for is not None and self._made_for[0] is answer:
            if self._made_for[1] == self.view:
                return
        elif self.view.opened is not None:
            self.view = View()  # the head that was open belongs to an earlier answer
        self._made_for = (answer, self.view)
        if answer is None:
            self.newest = None
            self._show(None)
            return
        builds = self.newest = BuildList(answer, self.view)
        if not self._session.stale:
            builds.stand_on, self._seek = self._seek, None
        if builds.total:
            self.fetch(builds, 0, builds.page)
        else:
            self._desk.drop("builds")
            self._desk.drop("window")
            self._show(builds)
