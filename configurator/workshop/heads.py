"""Heads of an answer: what is bought and stays, with the tips and feeds that go with it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from configurator.engine import Build
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

EXCHANGED = ("outlet", "feed")
"""Slots whose part is changed in a minute, or stands beside the head."""


@dataclass(frozen=True)
class ListedHead:
    """One head: a part in every slot but tip and feed."""

    rank: int
    """From 1 for the head of the first build."""
    best: RankedBuild
    """Its first build, with the rank that this has among all builds."""
    folded: Mapping[str, tuple[str, ...]]
    """By slot of tip and feed, the parts that make a build of the same state or better."""
    builds: int
    """How many builds these are."""


def is_exchanged(slot: str) -> bool:
    """Whether a slot is left out of a head."""
    return slot.rpartition(".")[2] in EXCHANGED


def heads_of(answer: Answer, *, offset: int = 0, limit: int) -> tuple[ListedHead, ...]:
    """Heads in the order of their first builds.

    Parameters
    ----------
    answer : Answer
        Of the question.
    offset : int
        Heads to pass over first.
    limit : int
        Most heads.
    """
    if not answer.listed:
        return ()
    found = list(
        islice(first_builds(enumerate(answer.in_order(), start=1)), offset, offset + limit)
    )
    best = answer.described_builds([build for _, build in found])
    return tuple(
        head_of(answer, offset + number, replace(ranked, rank=rank), build)
        for number, ((rank, build), ranked) in enumerate(zip(found, best, strict=True), start=1)
    )


def first_builds(order: Iterable[tuple[int, Build]]) -> Iterator[tuple[int, Build]]:
    """Yield of builds with their ranks the first of each head."""
    seen = set()
    for rank, build in order:
        head = tuple(value for slot, value in build.items() if not is_exchanged(slot))
        if head not in seen:
            seen.add(head)
            yield rank, build


def head_of(
    answer: Answer,
    rank: int,
    best: RankedBuild,
    build: Build,
    free: Collection[str] = EXCHANGED,
) -> ListedHead:
    """The head of a build, with all that makes a build of its state or better with it.

    Parameters
    ----------
    answer : Answer
        Of the question.
    rank : int
        Of the head, from 1.
    best : RankedBuild
        The build that stands for it.
    build : dict of str to int
        The same as places among the live parts.
    free : collection of str
        Slots, of both sides, whose parts are told.
    """
    space = answer.spaces[best.state]
    told = [slot for slot in build if slot.rpartition(".")[2] in free]
    picks = {**answer.picks, **{slot: at for slot, at in build.items() if slot not in told}}
    left = space.remaining(picks)
    folded = {}
    for slot in told:
        picked = answer.picks.get(slot, range(len(left[slot])))
        among = {picked} if isinstance(picked, int) else set(picked)
        parts = answer.frame.parts[slot]
        folded[slot] = tuple(
            parts[answer.live[slot][value]].name
            for value in np.flatnonzero(left[slot]).tolist()
            if value in among
        )
    return ListedHead(rank, best, folded, space.count(picks))
