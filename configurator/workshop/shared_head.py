"""One head for several jobs: heads that serve all of them, or the fewest that do."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SLOTS, Part
from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.cover import fewest
from configurator.engine.eliminate import TooWideError
from configurator.engine.table import Table
from configurator.errors import UsageError
from configurator.request.question import Question
from configurator.rules.finding import LISTED, State
from configurator.rules.projection import least_over, strides
from configurator.workshop.answer import Answer
from configurator.workshop.heads import EXCHANGED, ListedHead, head_of
from configurator.workshop.named_parts import check_names
from configurator.workshop.told import RankedBuild
from configurator.workshop.workshop import Workshop

MOST_JOBS = 60
"""Jobs of one question: each is a bit of a whole number."""

NOT = State.RULED_OUT


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
    heads: int
    """Heads that serve all jobs then."""


@dataclass(frozen=True)
class Common:
    """Heads for several jobs."""

    answers: tuple[Answer, ...]
    """One a job, in their order."""
    free: tuple[str, ...]
    """Slots whose part may differ from job to job."""
    counts: Mapping[State, int]
    """By state, the heads that serve all jobs; the worst of the jobs is a head's state."""
    each: tuple[int, ...]
    """Heads that serve each job."""
    heads: tuple[SharedHead, ...]
    """The first of those that serve all jobs; or as few as serve all that have any."""
    without: Mapping[int, int]
    """By job, the heads that would serve all others; told where none serves all."""
    releases: tuple[Release, ...]
    """The same of picks and exclusions."""

    @property
    def count(self) -> int:
        """Heads that serve all jobs."""
        return sum(self.counts.values())

    @property
    def unserved(self) -> tuple[int, ...]:
        """Jobs that no head serves."""
        return tuple(job for job, number in enumerate(self.each) if not number)


class Heads:
    """Heads of one part, and the state of each in each job.

    Parameters
    ----------
    answers : sequence of Answer
        Of one catalog, each of one part.
    free : collection of str
        Slots that are no part of a head.
    """

    def __init__(self, answers: Sequence[Answer], free: Collection[str]) -> None:
        self.answers, self.free = tuple(answers), tuple(free)
        frame = answers[0].frame
        self.slots = tuple(slot for slot in frame.slots if slot not in free)
        self.parts = {slot: frame.parts[slot] for slot in self.slots}
        of_jobs = [self._states_in(answer) for answer in answers]
        self.codes: IntArray = np.unique(np.concatenate([codes for codes, _ in of_jobs]))
        self.states: NDArray[np.int8] = np.full((len(answers), len(self.codes)), NOT, dtype=np.int8)
        for row, (codes, states) in zip(self.states, of_jobs, strict=True):
            row[np.searchsorted(self.codes, codes)] = states
        self.worst: NDArray[np.int8] = self.states.max(axis=0, initial=State.FITS)

    def _states_in(self, answer: Answer) -> tuple[IntArray, NDArray[np.int8]]:
        """Heads of one job, each with the state of its best build."""
        codes: IntArray = np.zeros(0, dtype=np.int64)
        states: NDArray[np.int8] = np.zeros(0, dtype=np.int8)
        for level in answer.levels:
            if answer.counts[level]:
                try:
                    found, _ = least_over(answer.listing.order_at(level, priced=False), self.slots)
                except TooWideError as error:
                    raise UsageError(
                        "heads have too many parts to choose from; fix some with --pick, or let "
                        "fewer slots be free"
                    ) from error
                fresh = np.setdiff1d(found, codes, assume_unique=True)
                codes = np.concatenate([codes, fresh])
                states = np.concatenate([states, np.full(len(fresh), level, dtype=np.int8)])
        return codes, states

    def places(self, code: int) -> dict[str, int]:
        """By slot, the place of a head's part."""
        sizes = [len(self.parts[slot]) for slot in self.slots]
        return {
            slot: code // stride % size
            for slot, stride, size in zip(self.slots, strides(sizes), sizes, strict=True)
        }

    def in_order(self, among: BoolArray, jobs: Sequence[int]) -> IntArray:
        """Some heads, all of which serve some jobs, in order; places among the codes.

        The worst state comes first; then steps short, steps of strain and cost of the first build
        in each job, each summed over the jobs; then names.
        """
        at = np.flatnonzero(among)
        codes = self.codes[at]
        sums = np.zeros((3, len(at)), dtype=np.int64)
        for job in jobs:
            sums += self._key_of(job, codes)
        worst = self.states[np.array(jobs)][:, at].max(axis=0, initial=State.FITS)
        return np.asarray(at[np.lexsort([codes, *sums[::-1], worst])])

    def _key_of(self, job: int, codes: IntArray) -> IntArray:
        """Steps short, steps of strain and whole cost of each head's first build in a job."""
        answer = self.answers[job]
        held = self._flags(answer, codes)
        told = np.zeros((3, len(codes)), dtype=np.int64)
        left = np.ones(len(codes), dtype=np.bool_)
        for level in answer.levels:
            if answer.counts[level] and left.any():
                order = answer.listing.order_at(level, held)
                found, keys = least_over(order, self.slots)
                at = np.searchsorted(found, codes)
                at[at == len(found)] = 0
                here = left & (found[at] == codes) if len(found) else np.zeros_like(left)
                told[:, here] = order.priced.prices.told(keys[at[here]])
                left &= ~here
        return told

    def _flags(self, answer: Answer, codes: IntArray) -> list[Table]:
        """The parts of some heads, over the live parts of an answer."""
        sizes = [len(self.parts[slot]) for slot in self.slots]
        found = []
        for slot, stride, size in zip(self.slots, strides(sizes), sizes, strict=True):
            flags = np.zeros(size, dtype=np.bool_)
            flags[codes // stride % size] = True
            found.append(Table((slot,), flags[np.newaxis, answer.live[slot]]))
        return found

    @cached_property
    def masks(self) -> dict[State, dict[int, IntArray]]:
        """By level, heads by the jobs that they serve up to it; each set has a bit for every job."""
        bits = 1 << np.arange(len(self.answers), dtype=np.int64)
        found = {}
        for level in LISTED:
            sets = (self.states <= level).astype(np.int64).T @ bits
            values, of = np.unique(sets, return_inverse=True)
            order = np.argsort(of, kind="stable")
            groups = np.split(order, np.cumsum(np.bincount(of))[:-1]) if len(values) else []
            found[level] = dict(zip(values.tolist(), groups, strict=True))
        return found


def common_heads(
    workshop: Workshop,
    asked: Sequence[Question],
    free: Collection[str] = EXCHANGED,
    *,
    limit: int = 1,
) -> Common:
    """Find the heads that serve all jobs, or the fewest that do.

    Parameters
    ----------
    workshop : Workshop
        Who answers.
    asked : sequence of Question
        One a job, of one part each; picks, exclusions and strictness are the same in all.
    free : collection of str
        Slots whose part may differ from job to job.
    limit : int
        Most heads to list of those that serve all jobs.

    Raises
    ------
    InputError
        If a pick or exclusion names a slot or part that does not exist.
    UsageError
        If heads have too many parts to choose from.
    """
    question = asked[0]
    check_names(workshop.catalog, SLOTS, question.picks, question.without)
    # What is picked may have to be released: answers without picks serve all of that.
    answers = [workshop.answer(replace(each, picks={}, without={})) for each in asked]
    heads = Heads([_asked(answer, question) for answer in answers], free)
    each = tuple((heads.states < NOT).sum(axis=1).tolist())
    counts = {level: int((heads.worst == level).sum()) for level in LISTED}
    if any(counts.values()):
        best = next(level for level in LISTED if counts[level])
        among = heads.worst < NOT if limit > counts[best] else heads.worst == best
        every = range(len(answers))
        listed = tuple(
            _shared(heads, int(at), every) for at in heads.in_order(among, every)[:limit]
        )
        return Common(heads.answers, heads.free, counts, each, listed, {}, ())
    without = {
        job: int((np.delete(heads.states, job, axis=0).max(axis=0) < NOT).sum())
        for job in range(len(each))
        if len(each) > 1
    }
    releases = tuple(_releases(answers, question, free))
    return Common(heads.answers, heads.free, counts, each, _cover(heads, each), without, releases)


def _asked(answer: Answer, question: Question) -> Answer:
    picks, without = question.picks, question.without
    return answer.with_question(replace(answer.question, picks=picks, without=without))


def _shared(heads: Heads, at: int, jobs: Sequence[int]) -> SharedHead:
    """A head with its first build in each of some jobs."""
    parts = {
        slot: heads.parts[slot][place] for slot, place in heads.places(heads.codes[at]).items()
    }
    served = []
    for job in jobs:
        answer = heads.answers[job]
        picks = {**answer.question.picks, **{slot: part.name for slot, part in parts.items()}}
        held = answer.with_question(replace(answer.question, picks=picks))
        places = next(held.in_order())
        best: RankedBuild = replace(held.described_builds([places])[0], rank=0)
        served.append(Served(job, head_of(answer, 1, best, places, heads.free)))
    state = State(int(heads.states[list(jobs), at].max()))
    return SharedHead(parts, state, tuple(served))


def _cover(heads: Heads, each: Sequence[int]) -> tuple[SharedHead, ...]:
    """As few heads as serve all jobs that any head serves, up to the strictest level that can."""
    things = sum(1 << job for job, number in enumerate(each) if number)
    by_level = {level: fewest(heads.masks[level], things) for level in LISTED}
    least = by_level[LISTED[-1]]
    assert least is not None  # each of these jobs has a head
    level, chosen = next(
        (level, found)
        for level, found in by_level.items()
        if found is not None and len(found) == len(least)
    )
    found = []
    for mask in chosen:
        jobs = [job for job in range(len(each)) if mask >> job & 1]
        among = np.asarray((heads.states[jobs] <= level).all(axis=0))
        found.append(_shared(heads, int(heads.in_order(among, jobs)[0]), jobs))
    return tuple(found)


def _releases(
    answers: Sequence[Answer], question: Question, free: Collection[str]
) -> list[Release]:
    """Each pick and exclusion that would bring heads back if it were given up alone."""
    changed = {
        f"--pick {slot}={name}": replace(
            question, picks={s: n for s, n in question.picks.items() if s != slot}
        )
        for slot, name in question.picks.items()
    }
    for slot, names in question.without.items():
        for name in sorted(names):
            left = {**question.without, slot: names - {name}}
            changed[f"--without {slot}={name}"] = replace(question, without=left)
    found = []
    for option, asked in changed.items():
        heads = Heads([_asked(answer, asked) for answer in answers], free)
        number = int((heads.worst < NOT).sum())
        if number:
            found.append(Release(option, number))
    return found
