"""What is told of heads for several jobs: whom each serves, and what would help."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from configurator.catalog.parts import Part
from configurator.rules.finding import State
from configurator.workshop.answer import Answer
from configurator.workshop.heads import ListedHead


@dataclass(frozen=True)
class Served:
    """One job on a head."""

    job: int
    """Its place among the jobs."""
    head: ListedHead
    """The head in it, with its first build and the free parts that go with it."""


@dataclass(frozen=True)
class SharedHead:
    """A head with the jobs that it serves."""

    parts: Mapping[str, Part]
    """A part in every slot that is not free."""
    state: State
    """The worst of the states of its first builds."""
    serves: tuple[Served, ...]


@dataclass(frozen=True)
class Release:
    """What may be picked or left out no more, and what that brings."""

    option: str
    """`--pick` or `--without`, with slot and part."""
    heads: int | None
    """Heads that serve all jobs then; None if there are some, not counted."""


@dataclass(frozen=True)
class Common:
    """Heads for several jobs."""

    answers: tuple[Answer, ...]
    """One a job, in their order."""
    free: tuple[str, ...]
    """Slots whose part may differ from job to job."""
    counts: Mapping[State, int]
    """By state, the heads that serve all jobs; the worst of the jobs is a head's state. Heads of
    two sides are not counted: then it is empty."""
    each: tuple[int | None, ...]
    """Heads that serve each job; None if there are some, not counted."""
    heads: tuple[SharedHead, ...]
    """The first of those that serve all jobs; or as few as serve all that have any."""
    without: Mapping[int, int | None]
    """By job, the heads that would serve all others, likewise; told where none serves all."""
    releases: tuple[Release, ...]
    """The same of picks and exclusions."""
    in_order: bool = True
    """False if it is not proven that no head comes before those that are listed."""

    @property
    def counted(self) -> bool:
        """Whether all heads were counted."""
        return bool(self.counts)

    @property
    def count(self) -> int:
        """Heads that serve all jobs."""
        return sum(self.counts.values())

    @property
    def one_serves_all(self) -> bool:
        """Whether there is a head that serves all jobs."""
        return bool(self.heads) and len(self.heads[0].serves) == len(self.answers)

    @property
    def unserved(self) -> tuple[int, ...]:
        """Jobs that no head serves."""
        return tuple(job for job, number in enumerate(self.each) if number == 0)
