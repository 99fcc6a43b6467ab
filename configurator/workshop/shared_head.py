"""One head for several jobs: heads that serve all of them, or the fewest that do."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS, SIDE_SLOTS, SLOTS, Part
from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.cover import fewest
from configurator.engine.eliminate import TooWideError
from configurator.engine.table import Table
from configurator.errors import UsageError
from configurator.request.question import Question
from configurator.rules.finding import LISTED, State
from configurator.rules.projection import least_over, strides
from configurator.workshop.answer import Answer
from configurator.workshop.heads import EXCHANGED, head_of
from configurator.workshop.named_parts import check_names
from configurator.workshop.serving import Common, Release, Served, SharedHead
from configurator.workshop.shared_two_part import TwoPartHeads
from configurator.workshop.told import RankedBuild
from configurator.workshop.workshop import Workshop

MOST_JOBS = 60
"""Jobs of one question: each is a bit of a whole number."""

NOT = State.RULED_OUT

TWO_PART_SLOTS = (*(f"{side}.{slot}" for side in "ab" for slot in SIDE_SLOTS), *SHARED_SLOTS)


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

    def parts_of(self, at: int) -> dict[str, Part]:
        """By slot, the part of a head, by its place among the codes."""
        sizes = [len(self.parts[slot]) for slot in self.slots]
        return {
            slot: self.parts[slot][self.codes[at] // stride % size]
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
        One a job, all of one part or all of two; picks, exclusions and strictness are the same in all.
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
    two_part = question.material.two_part
    slots = TWO_PART_SLOTS if two_part else SLOTS
    check_names(workshop.catalog, slots, question.picks, question.without)
    # What is picked may have to be released: answers without picks serve all of that.
    answers = [workshop.answer(replace(each, picks={}, without={})) for each in asked]
    if two_part:
        return _of_two_parts(answers, question, free, limit)
    heads = Heads([_asked(answer, question) for answer in answers], free)
    each = tuple((heads.states < NOT).sum(axis=1).tolist())
    counts = {level: int((heads.worst == level).sum()) for level in LISTED}
    if any(counts.values()):
        best = next(level for level in LISTED if counts[level])
        among = heads.worst < NOT if limit > counts[best] else heads.worst == best
        every = range(len(answers))
        listed = tuple(
            _shared(heads.answers, heads.free, heads.parts_of(int(at)), every)
            for at in heads.in_order(among, every)[:limit]
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


def _of_two_parts(
    answers: Sequence[Answer], question: Question, free: Collection[str], limit: int
) -> Common:
    """The same over heads of two sides, which are too many to count."""
    slots = tuple(s for s in answers[0].frame.slots if s.rpartition(".")[2] not in free)
    heads = TwoPartHeads([_asked(answer, question) for answer in answers], slots)
    every = range(len(answers))
    each = tuple(None if heads.serves([job]) else 0 for job in every)
    without: dict[int, int | None] = {}
    releases = []
    found, in_order = heads.first(every, limit) if 0 not in each else ([], True)
    sets: list[Sequence[int]] = [every] * len(found)
    if not found:
        sets = heads.cover()
        for jobs in sets:
            best, proven = heads.first(jobs, 1)
            found += best
            in_order &= proven
        if len(each) > 1:
            others = {job: [other for other in every if other != job] for job in every}
            without = {job: None if heads.serves(rest) else 0 for job, rest in others.items()}
        for option, changed in _changed(question).items():
            asked = [_asked(answer, changed) for answer in answers]
            if TwoPartHeads(asked, slots, heads.looks).serves(every):
                releases.append(Release(option, None))
    frame = answers[0].frame
    listed = tuple(
        _shared(heads.answers, free, {slot: frame.parts[slot][at] for slot, at in head.items()}, to)
        for head, to in zip(found, sets, strict=True)
    )
    return Common(
        tuple(heads.answers), tuple(free), {}, each, listed, without, tuple(releases), in_order
    )


def _shared(
    answers: Sequence[Answer],
    free: Collection[str],
    parts: Mapping[str, Part],
    jobs: Sequence[int],
) -> SharedHead:
    """A head with its first build in each of some jobs."""
    served = []
    for job in jobs:
        answer = answers[job]
        picks = {**answer.question.picks, **{slot: part.name for slot, part in parts.items()}}
        held = answer.with_question(replace(answer.question, picks=picks))
        places = next(held.in_order())
        best: RankedBuild = replace(held.described_builds([places])[0], rank=0)
        served.append(Served(job, head_of(answer, 1, best, places, free)))
    return SharedHead(parts, max(each.head.best.state for each in served), tuple(served))


def _cover(heads: Heads, each: Sequence[int | None]) -> tuple[SharedHead, ...]:
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
        first = heads.parts_of(int(heads.in_order(among, jobs)[0]))
        found.append(_shared(heads.answers, heads.free, first, jobs))
    return tuple(found)


def _releases(
    answers: Sequence[Answer], question: Question, free: Collection[str]
) -> list[Release]:
    """Each pick and exclusion that would bring heads back if it were given up alone."""
    found = []
    for option, asked in _changed(question).items():
        heads = Heads([_asked(answer, asked) for answer in answers], free)
        number = int((heads.worst < NOT).sum())
        if number:
            found.append(Release(option, number))
    return found


def _changed(question: Question) -> dict[str, Question]:
    """By pick and exclusion, the question without it."""
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
    return changed
