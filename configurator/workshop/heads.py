"""Heads of an answer: what is bought and stays, with the tips and feeds that go with it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import merge
from itertools import islice
from operator import itemgetter

import numpy as np

from configurator.engine import Build
from configurator.engine.arrays import AnyArray, IntArray
from configurator.engine.eliminate import TooWideError
from configurator.rules.finding import State
from configurator.rules.left_with import left_with
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


Left = Mapping[str, frozenset[str]]
"""By slot, the names that may stand."""


def holding(answer: Answer, words: Sequence[str]) -> Iterator[Build]:
    """Yield, in order, the builds that have every word in the name of some part.

    Parameters
    ----------
    answer : Answer
        Of the question.
    words : sequence of str
        In small letters.
    """
    asked, parts = answer.question, answer.grid.frame.parts
    names = {slot: frozenset(part.name for part in each) for slot, each in parts.items()}
    lists = []
    for left in _pieces(names, words):
        out = {
            slot: asked.without.get(slot, frozenset()) | names[slot] - left[slot] for slot in names
        }
        without = {**asked.without, **{slot: each for slot, each in out.items() if each}}
        piece = answer.with_question(replace(asked, without=without))
        if piece.listed:
            lists.append(piece.keyed())
    return (build for _, build in merge(*lists, key=itemgetter(0)))


def _pieces(names: Left, words: Sequence[str]) -> Iterator[Left]:
    """Cut what holds every word into pieces that share no build."""
    if not words:
        yield names
        return
    word, *rest = words
    hits = {
        slot: frozenset(name for name in each if word in name.casefold())
        for slot, each in names.items()
    }
    if any(each and each == names[slot] for slot, each in hits.items()):
        yield from _pieces(names, rest)  # every build holds it
        return
    left = dict(names)
    for slot, each in hits.items():
        if each:
            yield from _pieces({**left, slot: each}, rest)
            left[slot] = names[slot] - each


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
    told = [slot for slot in build if slot.rpartition(".")[2] in free]
    held = {slot: np.array([at], dtype=np.intp) for slot, at in build.items()}
    for slot in told:
        picked = answer.picks.get(slot)
        held[slot] = np.arange(len(answer.live[slot])) if picked is None else _values(picked)
    left = _left(answer, best.state, held, told)
    folded = {}
    for slot in told:
        parts, live = answer.frame.parts[slot], answer.live[slot]
        among = zip(held[slot].tolist(), left[slot].tolist(), strict=True)
        folded[slot] = tuple(parts[live[value]].name for value, builds in among if builds)
    return ListedHead(rank, best, folded, int(sum(left[told[0]].tolist())) if told else 1)


def _values(picked: int | Collection[int]) -> IntArray:
    return np.array([picked] if isinstance(picked, int) else sorted(picked), dtype=np.intp)


def _left(
    answer: Answer, level: State, held: Mapping[str, IntArray], told: Sequence[str]
) -> Mapping[str, AnyArray]:
    """By slot, the builds with each of some live parts where the other slots hold one each."""
    try:
        among = {slot: answer.live[slot][values] for slot, values in held.items()}
        return left_with(answer.left, level, among, told)
    except TooWideError:
        picks = {slot: values.tolist() for slot, values in held.items()}
        every = answer.spaces[level].remaining(picks)
        return {slot: every[slot][held[slot]] for slot in told}
