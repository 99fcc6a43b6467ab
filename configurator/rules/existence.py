"""Whether a request has any build: what is told most cheaply is asked first.

Of most requests without a build some slot has no part that stands by itself, whatever its
partners are. That is seen before any rule over several slots is heard.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.eliminate import TooWideError
from configurator.rules.counting import Count
from configurator.rules.evaluation import Evaluation, Live
from configurator.rules.finding import State
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import RuleTables
from configurator.rules.ruleset import Judgement
from configurator.rules.spaces import Spaces


@dataclass(frozen=True)
class EmptySlot:
    """That some slot is left nothing, and what of a request has to stay for it to be so."""

    rules: frozenset[int]
    """Numbers of rules that leave nothing of it between them."""
    slots: frozenset[str]
    """Slots of which parts were taken out, by rules or by wishes."""


@dataclass(frozen=True, eq=False)
class _Taken:
    """Parts that one rule over several slots left no partner."""

    judgement: Judgement
    slot: str
    out: BoolArray
    before: Live


class Narrowing:
    """What rules over few slots leave of one request, heard until a slot is empty.

    It starts with the parts that may stand, by slot in shape (1, parts).
    """

    def __init__(self, evaluation: Evaluation, start: Live) -> None:
        self._evaluation = evaluation
        self._start = start
        self.standing = dict(start)
        self._single: dict[str, dict[int, BoolArray]] = {slot: {} for slot in start}
        self._taken: list[_Taken] = []
        self._asked: dict[int, RuleTables] = {}
        self._worst: int | None = None
        self._empty = next((slot for slot, flags in start.items() if not flags.any()), None)

    def under(self, evaluation: Evaluation) -> Narrowing:
        """The same for a changed request, of which rules that the change moves are to be heard."""
        other = Narrowing(evaluation, self._start)
        other.standing, other._taken = dict(self.standing), list(self._taken)
        other._single = {slot: dict(out) for slot, out in self._single.items()}
        other._asked = dict(self._asked)
        other._worst, other._empty = self._worst, self._empty
        return other

    @property
    def is_empty(self) -> bool:
        """Whether a slot has no part that stands."""
        return self._empty is not None or self._worst is not None

    def hear(self, judgements: Iterable[Judgement]) -> Judgement | None:
        """Hear rules, those on single parts first; the one that left nothing, None if none did.

        Those over several slots are asked again until no part falls because another one has.
        """
        rules = [] if self.is_empty else list(judgements)
        before = dict(self.standing)
        for each in (each for each in rules if each.alone):
            if self._hear_alone(each):
                return each
        waiting = {
            number: tables
            for number, tables in self._asked.items()
            if any(self.standing[slot] is not before[slot] for slot in tables.scope)
        }
        every = self._evaluation.rules.every_kind
        for each in (each for each in rules if not each.alone):
            tables = self._evaluation.tables(each, every)
            cuts = tables is not None and not tables.always[State.UNPROVEN]
            last = self._settled({each.number: tables}) if cuts and tables else None
            if last is not None:
                return last
        return self._settled(waiting)

    def hear_wide(self, judgements: Iterable[Judgement], evaluation: Evaluation) -> None:
        """Hear rules over many slots once, for the kinds that stand, and settle what they take.

        They are asked of another evaluation, and not asked again.
        """
        kinds = evaluation.rules.kinds
        live = {s: np.flatnonzero(kinds[s].any_of(f[0])) for s, f in self.standing.items()}
        for each in judgements:
            tables = None if self.is_empty else evaluation.tables(each, live)
            if tables is not None and not tables.always[State.UNPROVEN]:
                self._settled({each.number: tables})

    def _hear_alone(self, judgement: Judgement) -> bool:
        states = self._evaluation.alone(judgement)
        if states is None:
            return False
        if states.floor[0] == State.RULED_OUT:
            self._worst = judgement.number
        for slot, found in states.by_slot.items():
            out = found == State.RULED_OUT
            if out.any():
                self._single[slot][judgement.number] = out
                self.standing[slot] = self.standing[slot] & ~out
                if not self.standing[slot].any():
                    self._empty = slot
        return self.is_empty

    def _settled(self, waiting: dict[int, RuleTables]) -> Judgement | None:
        """Ask rules, and others again whose parts have fallen; the one that left nothing."""
        kinds = self._evaluation.rules.kinds
        while waiting:
            number = next(iter(waiting))
            tables = waiting.pop(number)
            if not tables.judgement.wide:
                self._asked[number] = tables
            before = dict(self.standing)
            alive = {slot: kinds[slot].any_of(before[slot]) for slot in tables.scope}
            for slot, has in tables.partners(State.UNPROVEN, alive):
                out = before[slot] & ~has[:, kinds[slot].of]
                if out.any():
                    self._taken.append(_Taken(tables.judgement, slot, out, before))
                    self.standing[slot] = before[slot] & ~out
                    if not self.standing[slot].any():
                        self._empty = slot
                        return tables.judgement
                    waiting |= {n: t for n, t in self._asked.items() if slot in t.scope}
        return None

    def told(self, dear: Callable[[int], int]) -> EmptySlot:
        """Which rules empty a slot between them; `dear` says how little one on parts is wanted.

        Parts that one rule took are followed to those whose loss let it take them.
        """
        if self._worst is not None:
            return EmptySlot(frozenset({self._worst}), frozenset())
        assert self._empty is not None  # else nobody would ask
        need = {self._empty: self._start[self._empty]}
        rules: set[int] = set()
        for cut in reversed(self._taken):
            gone = [need.get(cut.slot, np.False_) & cut.out, *self._single[cut.slot].values()]
            if (gone[0] & ~np.logical_or.reduce([np.zeros_like(cut.out), *gone[1:]])).any():
                rules.add(cut.judgement.number)
                for slot in cut.judgement.scope:
                    lost = self._start[slot] & ~cut.before[slot]
                    if slot != cut.slot:
                        need[slot] = need.get(slot, np.False_) | lost
        for slot, parts in need.items():
            rules.update(_cover(parts & self._start[slot], self._single[slot], dear))
        return EmptySlot(frozenset(rules), frozenset(need))


def _cover(
    parts: BoolArray, out: Mapping[int, BoolArray], dear: Callable[[int], int]
) -> Iterator[int]:
    """Rules, as few as may be, that take out whatever of some parts any of them takes out."""
    kept: list[int] = []
    left = parts
    for number in sorted(out, key=lambda number: (dear(number), number)):
        if (left & out[number]).any():
            kept.append(number)
            left = left & ~out[number]
    for number in reversed(kept):
        others = [out[other] for other in kept if other != number]
        if not others or (parts & out[number] & ~np.logical_or.reduce(others)).any():
            yield number
        else:
            kept.remove(number)


def has_build(evaluation: Evaluation, numbers: Collection[int] | None, start: Live) -> bool:
    """Whether a build of one request passes some judgements by their numbers; without any, all."""
    every = evaluation.rules.judgements
    left = Narrowing(evaluation, start)
    left.hear(e for e in every if not e.wide and (numbers is None or e.number in numbers))
    return not left.is_empty and leaves_build(Propagation(evaluation, numbers, left.standing))


def slow_enough(evaluation: Evaluation, start: Live) -> Live | None:
    """What narrow rules leave of the rotors that would not turn too fast if nothing slipped.

    Slip is the dearest figure of all, and half of the cavities are out whatever it is. None if
    nothing is left of a slot.
    """
    rules = evaluation.rules.judgements
    narrow = {each.number for each in rules if not each.wide}
    growing = {each.number for each in rules if each.wide and each.rule.grows_with_slip}
    left = Propagation(evaluation, narrow, start).settled
    if emptied(left):
        return None
    left = Propagation(evaluation.without_slip, growing, left).live
    if emptied(left):
        return None
    left = Propagation(evaluation, narrow, left).settled
    return None if emptied(left) else left


def leaves_build(left: Propagation) -> bool:
    """Whether the one request of a propagation has a build."""
    try:
        return bool(Count(left, (State.UNPROVEN,)).some(State.UNPROVEN)[0])
    except TooWideError:
        return bool(Spaces(left)[State.UNPROVEN].count())


def emptied(live: Mapping[str, BoolArray]) -> tuple[str, ...]:
    """Slots for which no part stands."""
    return tuple(slot for slot, mask in live.items() if not mask.any())
