"""One head of two metering sides for several jobs, found and proven without counting heads.

Two-part heads are too many to lay out. A choice of parts for each slot is bounded from below by
what the first build in each job costs within it, summed over the jobs: sums of least keys never
exceed the key of one head. Where the first builds of all jobs are builds of one head, and that head
costs as much, it is the best of the choice; else the choice is cut at a slot, and the cut of the
least bound is looked at next (branch and bound, best first: Land and Doig 1960, from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count, islice

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.cover import fewest
from configurator.engine.table import Table
from configurator.errors import UsageError
from configurator.rules.finding import LISTED, State
from configurator.workshop.answer import Answer

MOST_LOOKS = 2_000
"""Choices of one job that are looked at before a question is given up, some 20 ms each."""

MOST_PROVING = 60
"""Those spent on a proof that a head is the first in order."""

Choice = Mapping[str, BoolArray]
"""By slot of a head, which of all parts it may hold."""

Key = tuple[int, ...]
"""Worst state, then steps short, steps of strain and whole cost, each summed over the jobs."""

Found = tuple[Key, dict[str, int]] | None
"""Key and head of a build; None if there is none."""

Known = Mapping[tuple[int, State], Found]
"""By job and level, the build of the least key up to it."""


@dataclass
class Looks:
    """What a question may still look at, over all its searches."""

    left: int = MOST_LOOKS

    def take(self) -> None:
        """Count one look.

        Raises
        ------
        UsageError
            If none is left.
        """
        if not self.left:
            raise UsageError(
                "two-part heads for these jobs take too long to compare; fix slots with --pick, "
                "let fewer jobs be asked at once, or more slots be --free"
            )
        self.left -= 1


@dataclass
class TwoPartHeads:
    """Heads of two sides over some jobs.

    Attributes
    ----------
    answers : sequence of Answer
        Of one catalog, each of two parts.
    slots : tuple of str
        Of a head, in the order of the frame.
    looks : Looks
        Shared by all searches of a question.
    soonest : dict
        By jobs, a head that serves them, of those that were found.
    """

    answers: Sequence[Answer]
    slots: tuple[str, ...]
    looks: Looks = field(default_factory=Looks)
    soonest: dict[frozenset[int], dict[str, int]] = field(default_factory=dict)

    def best(
        self, jobs: Sequence[int], *, any_: bool = False
    ) -> Iterator[tuple[Key, dict[str, int]]]:
        """Yield heads that serve some jobs, as places of their parts.

        The best come first, or with `any_` those that are found soonest.
        """
        order = count()
        waiting: list[tuple[int, Key, int, _Cut]] = []

        def put(choice: Choice, known: Known, depth: int) -> None:
            cut = _Cut(self, choice, known)
            found = cut.bound(jobs)
            if found is not None:
                heappush(waiting, (-depth if any_ else 0, found, next(order), cut))

        put(self._begin(jobs), {}, 0)
        while waiting:
            depth, bound, _, cut = heappop(waiting)
            apart = next((s for s in self.slots if len({head[s] for head in cut.heads}) > 1), None)
            head = cut.heads[0]
            if apart is None:
                alone = _Cut(self, {s: self.only(s, {at}) for s, at in head.items()}, cut.known)
                own = alone.key(jobs)
                if own == bound:
                    yield own, head
                for choice in self._others(cut.choice, head):
                    put(choice, cut.known, 1 - depth)
                if own is not None and own != bound:
                    alone.heads = [head]
                    heappush(waiting, (depth - 2 if any_ else 0, own, next(order), alone))
                continue
            values = {each[apart] for each in cut.heads}
            for value in sorted(values):
                put({**cut.choice, apart: self.only(apart, {value})}, cut.known, 1 - depth)
            rest = cut.choice[apart] & ~self.only(apart, values)
            put({**cut.choice, apart: rest}, cut.known, 1 - depth)

    def serves(self, jobs: Sequence[int]) -> bool:
        """Whether one head serves some jobs."""
        return any(set(jobs) <= known for known in self.soonest) or self._any(jobs) is not None

    def _any(self, jobs: Sequence[int]) -> dict[str, int] | None:
        """The head that serves some jobs and is found soonest."""
        at = frozenset(jobs)
        if at not in self.soonest:
            self.looks.take()
            found = next(self.best(jobs, any_=True), None)
            if found is None:
                return None
            self.soonest[at] = found[1]
        return self.soonest[at]

    def first(self, jobs: Sequence[int], limit: int) -> tuple[list[dict[str, int]], bool]:
        """The first heads that serve some jobs, and whether they are proven to be the first.

        Where the proof takes too many looks, it is the one that is found soonest.
        """
        soonest = self._any(jobs)
        if soonest is None:
            return [], True
        proving = TwoPartHeads(self.answers, self.slots, Looks(MOST_PROVING))
        found: list[dict[str, int]] = []
        with suppress(UsageError):
            found += (head for _, head in islice(proving.best(jobs), limit))
        return (found, True) if found else ([soonest], False)

    def cover(self) -> list[Sequence[int]]:
        """As few sets of jobs, each of one head, as hold all that any head serves."""
        jobs = range(len(self.answers))
        found: list[frozenset[int]] = []
        waiting = {frozenset(jobs)}
        while waiting:  # the sets that no served one holds, from the largest on
            fresh = set()
            for some in sorted(waiting, key=sorted):
                if any(some <= each for each in found):
                    continue
                if self.serves(sorted(some)):
                    found.append(some)
                else:
                    fresh |= {some - {job} for job in some if len(some) > 1}
            waiting = fresh
        sets = [sum(1 << job for job in each) for each in found]
        things = sum(1 << job for job in frozenset().union(*found))
        return [[job for job in jobs if mask >> job & 1] for mask in fewest(sets, things) or ()]

    def _begin(self, jobs: Sequence[int]) -> Choice:
        """All parts that no rule takes out alone in any of some jobs."""
        found = {}
        for slot in self.slots:
            flags = np.ones(self._size(slot), dtype=np.bool_)
            for job in jobs:
                live = np.zeros_like(flags)
                live[self.answers[job].live[slot]] = True
                flags &= live
            found[slot] = flags
        return found

    def _others(self, choice: Choice, head: Mapping[str, int]) -> Iterator[Choice]:
        """Yield all of a choice but one head, cut so that no two hold the same head."""
        fixed = dict(choice)
        for slot, place in head.items():
            here = self.only(slot, {place})
            yield {**fixed, slot: fixed[slot] & ~here}
            fixed[slot] = here

    def only(self, slot: str, places: Collection[int]) -> BoolArray:
        """Flags of some parts of a slot."""
        flags = np.zeros(self._size(slot), dtype=np.bool_)
        flags[list(places)] = True
        return flags

    def _size(self, slot: str) -> int:
        return len(self.answers[0].frame.parts[slot])


class _Cut:
    """A choice of parts, with what is known of the first build of each job within it.

    What is known of a wider choice holds here where its build is in here, or where it has none.
    """

    def __init__(self, of: TwoPartHeads, choice: Choice, known: Known) -> None:
        self.of, self.choice = of, choice
        self.heads: list[dict[str, int]] = []
        self.known: dict[tuple[int, State], Found] = {
            at: found for at, found in known.items() if found is None or self._holds(found[1])
        }

    def _holds(self, head: Mapping[str, int]) -> bool:
        return all(self.choice[slot][place] for slot, place in head.items())

    def key(self, jobs: Sequence[int]) -> Key | None:
        """What one head costs: in each job its first build, of the best state that it reaches."""
        found = self._firsts(jobs)
        return None if found is None else _summed(found)

    def bound(self, jobs: Sequence[int]) -> Key | None:
        """What every head of a choice costs at least; None if none serves all jobs."""
        if not all(flags.any() for flags in self.choice.values()):
            return None
        found = self._firsts(jobs)
        if found is None:
            return None
        worst = max(level for level, _, _ in found)
        for place, job in enumerate(jobs):
            for level in LISTED[LISTED.index(found[place][0]) + 1 : LISTED.index(worst) + 1]:
                # A head that is worse in this job than need be may cost less in it.
                there = self._at(job, level)
                if there is not None and there[0] < found[place][1]:
                    found[place] = level, *there
        self.heads = [head for _, _, head in found]
        return (int(worst), *_summed(found)[1:])

    def _firsts(self, jobs: Sequence[int]) -> list[tuple[State, Key, dict[str, int]]] | None:
        """State, key and head of the first build of each job; None if one has none."""
        found = []
        for job in jobs:
            for level in LISTED:
                first = self._at(job, level)
                if first is not None:
                    found.append((level, *first))
                    break
            else:
                return None
        return found

    def _at(self, job: int, level: State) -> Found:
        """Key and head of the build of the least key up to a level."""
        if (job, level) not in self.known:
            self.known[job, level] = self._looked_up(job, level)
        return self.known[job, level]

    def _looked_up(self, job: int, level: State) -> Found:
        answer = self.of.answers[job]
        flags = {slot: each[answer.live[slot]] for slot, each in self.choice.items()}
        if not (level in answer.levels and answer.counts[level]):
            return None
        if not all(each.any() for each in flags.values()):
            return None
        self.of.looks.take()
        held = [Table((slot,), each[np.newaxis]) for slot, each in flags.items()]
        order = answer.listing.order_at(level, held)
        first = next(order.by_key(), None)
        if first is None:
            return None
        key, build = first
        told = order.priced.prices.told(np.array([key], dtype=np.int64))
        head = dict(zip(answer.frame.slots, build, strict=True))
        return tuple(int(each[0]) for each in told), {slot: head[slot] for slot in self.of.slots}


def _summed(found: Sequence[tuple[State, Key, Mapping[str, int]]]) -> Key:
    worst = max(level for level, _, _ in found)
    return (int(worst), *(sum(each) for each in zip(*(key for _, key, _ in found), strict=True)))
