"""The part of an answer that is shown: which builds, in which order, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from configurator.engine.pareto import Progress
from configurator.rules.finding import LISTED
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.told import RankedBuild

DEFAULT_LIMIT = 20


@dataclass(frozen=True)
class Page:
    """Some of an answer's builds, best first.

    Attributes
    ----------
    answer : Answer
        What they come from.
    builds : tuple of RankedBuild
        The builds of this page.
    offset : int
        How many builds stand before them.
    strict : bool
        True if only builds that fit are listed.
    sort : Figure
        What orders builds of the same state.
    traded : tuple of Figure
        Figures of a trade-off, of which the builds are the Pareto front; else empty.
    front : int
        Builds of the whole trade-off.
    """

    answer: Answer
    builds: tuple[RankedBuild, ...]
    offset: int
    strict: bool
    sort: Figure
    traded: tuple[Figure, ...] = ()
    front: int = 0

    @property
    def total(self) -> int:
        """Builds on all pages together."""
        if self.traded:
            return self.front
        return self._listed

    @property
    def _listed(self) -> int:
        levels = LISTED[:1] if self.strict else LISTED
        return sum(self.answer.counts[level] for level in levels)

    @property
    def more(self) -> int:
        """Builds after this page."""
        return max(self.total - self.offset - len(self.builds), 0)

    @property
    def hidden(self) -> int:
        """Builds that are left out for not being shown to fit."""
        return self.answer.count - self._listed

    @property
    def shown(self) -> tuple[Figure, ...]:
        """Figures that the list is about beside the usual ones."""
        return self.traded or ((self.sort,) if self.sort is not FIGURES[0] else ())


def page_of(
    answer: Answer,
    *,
    offset: int = 0,
    limit: int = DEFAULT_LIMIT,
    strict: bool = False,
    sort: Figure = FIGURES[0],
) -> Page:
    """Take one page out of an answer.

    Parameters
    ----------
    answer : Answer
        What to show.
    offset, limit : int
        How many builds to pass over, and the most to show.
    strict : bool
        True to leave out marginal and unproven builds.
    sort : Figure
        What orders builds of the same state.
    """
    empty = Page(answer=answer, builds=(), offset=offset, strict=strict, sort=sort)
    if limit == 0 or offset >= empty.total:
        return empty  # without going through all builds to find that out
    builds = answer.builds(offset=offset, limit=limit, strict=strict, sort=sort)
    return replace(empty, builds=builds)


def front_page(
    answer: Answer,
    traded: Sequence[Figure],
    *,
    limit: int = DEFAULT_LIMIT,
    strict: bool = False,
    progress: Progress | None = None,
) -> Page:
    """Take the builds of a trade-off, in the order of its first figure.

    Parameters
    ----------
    answer : Answer
        What to show.
    traded : sequence of Figure
        Two to four figures.
    limit : int
        The most to show.
    strict : bool
        True to leave out marginal and unproven builds.
    progress : callable, optional
        Told how far a long run is.
    """
    front = answer.front(traded, strict=strict, progress=progress)
    return Page(
        answer=answer,
        builds=front[:limit],
        offset=0,
        strict=strict,
        sort=traded[0],
        traded=tuple(traded),
        front=len(front),
    )
