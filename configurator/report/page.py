"""The part of an answer that is shown: which builds, in which order, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from configurator.engine.pareto import Progress
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.told import RankedBuild

DEFAULT_LIMIT = 20


@dataclass(frozen=True)
class Page:
    """Some of an answer's builds, best first."""

    answer: Answer
    """What they come from."""
    builds: tuple[RankedBuild, ...]
    """The builds of this page."""
    offset: int
    """How many builds stand before them."""
    traded: tuple[Figure, ...] = ()
    """Figures of a trade-off, of which the builds are the Pareto front; else empty."""
    front: int = 0
    """Builds of the whole trade-off."""

    @property
    def total(self) -> int:
        """Builds on all pages together."""
        return self.front if self.traded else self.answer.listed

    @property
    def sort(self) -> Figure:
        """What orders builds of the same state, or those of a trade-off."""
        return self.traded[0] if self.traded else self.answer.order

    @property
    def more(self) -> int:
        """Builds after this page."""
        return max(self.total - self.offset - len(self.builds), 0)

    @property
    def hidden(self) -> int:
        """Builds that are left out for not being shown to fit."""
        return self.answer.count - self.answer.listed

    @property
    def shown(self) -> tuple[Figure, ...]:
        """Figures that the list is about beside the usual ones."""
        return self.traded or ((self.sort,) if self.sort is not FIGURES[0] else ())


def page_of(answer: Answer, *, offset: int = 0, limit: int = DEFAULT_LIMIT) -> Page:
    """Take one page out of an answer.

    Parameters
    ----------
    answer : Answer
        What to show.
    offset, limit : int
        How many builds to pass over, and the most to show.
    """
    return Page(answer, answer.builds(offset=offset, limit=limit), offset)


def front_page(
    answer: Answer,
    traded: Sequence[Figure],
    *,
    limit: int = DEFAULT_LIMIT,
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
    progress : callable, optional
        Told how far a long run is.
    """
    front = answer.front(traded, progress=progress)
    return Page(answer, front[:limit], 0, tuple(traded), len(front))
