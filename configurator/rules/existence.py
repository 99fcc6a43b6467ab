"""Whether a request has any build: what is told most cheaply is asked first.

Of most requests without a build some slot has no part that stands by itself, whatever its
partners are. That is seen before any rule over several slots is heard.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.eliminate import TooWideError
from configurator.rules.counting import Count
from configurator.rules.evaluation import Evaluation, Live
from configurator.rules.finding import State
from configurator.rules.propagation import Propagation
from configurator.rules.ruleset import Judgement
from configurator.rules.space import spaces_of


@dataclass(frozen=True)
class EmptySlot:
    """A slot of which no part stands by itself, and what took them."""

    slot: str
    """The slot; empty where one rule rules every build out."""
    rules: frozenset[int]
    """Numbers of rules on single parts that leave none of it between them."""


class SingleParts:
    """What rules on single parts leave, heard one after the other until a slot is empty.

    Parameters
    ----------
    evaluation : Evaluation
        Of one request.
    start : Mapping of str to ndarray of bool
        By slot, shape (1, parts): which parts may stand.
    """

    def __init__(self, evaluation: Evaluation, start: Live) -> None:
        self._evaluation = evaluation
        self._start = start
        self.standing = dict(start)
        self._out: dict[str, dict[int, BoolArray]] = {slot: {} for slot in start}
        self._empty = next((slot for slot, flags in start.items() if not flags.any()), None)
        self._worst: int | None = None

    def under(self, evaluation: Evaluation) -> SingleParts:
        """The same for a changed request, of which rules that the change moves are to be heard."""
        other = SingleParts(evaluation, self._start)
        other.standing = dict(self.standing)
        other._out = {slot: dict(out) for slot, out in self._out.items()}
        other._empty, other._worst = self._empty, self._worst
        return other

    def hear(self, judgements: Iterable[Judgement]) -> Judgement | None:
        """Hear rules until a slot is empty; the one that emptied it, None if all were heard."""
        for each in judgements:
            states = self._evaluation.alone(each) if each.alone else None
            if states is None or self.is_empty:
                continue
            if states.floor[0] == State.RULED_OUT:
                self._worst = each.number
                return each
            for slot, found in states.by_slot.items():
                out = found == State.RULED_OUT
                if out.any():
                    self._out[slot][each.number] = out
                    self.standing[slot] = self.standing[slot] & ~out
                    if not self.standing[slot].any():
                        self._empty = slot
                        return each
        return None

    @property
    def is_empty(self) -> bool:
        """Whether a slot has no part that stands."""
        return self._empty is not None or self._worst is not None

    def told(self, dear: Callable[[int], int]) -> EmptySlot:
        """Which rules empty a slot between them, as few as may be.

        Parameters
        ----------
        dear : callable
            Of the number of a rule: how little it is wanted among them.
        """
        if self._worst is not None:
            return EmptySlot("", frozenset({self._worst}))
        assert self._empty is not None  # else nobody would ask
        out, left = self._out[self._empty], self._start[self._empty]
        kept: list[int] = []
        for number in sorted(out, key=lambda number: (dear(number), number)):
            if (left & out[number]).any():
                kept.append(number)
                left = left & ~out[number]
        for number in reversed(kept):
            others = [out[other] for other in kept if other != number]
            if others and not (self._start[self._empty] & ~np.logical_or.reduce(others)).any():
                kept.remove(number)
        return EmptySlot(self._empty, frozenset(kept))


def some_build(evaluation: Evaluation, numbers: Collection[int] | None, start: Live) -> bool:
    """Whether a build of one request passes some rules; all of them where none are named.

    Parameters
    ----------
    evaluation : Evaluation
        Of the one request.
    numbers : collection of int or None
        Which judgements.
    start : Mapping of str to ndarray of bool
        As for `Propagation`.
    """
    heard = [e for e in evaluation.rules.judgements if numbers is None or e.number in numbers]
    parts = SingleParts(evaluation, start)
    parts.hear(heard)
    if parts.is_empty:
        return False
    left = Propagation(evaluation, {each.number for each in heard if not each.wide}, start).settled
    return not emptied(left) and has_build(Propagation(evaluation, numbers, left))


def slow_enough(evaluation: Evaluation, start: Live) -> Live | None:
    """What narrow rules leave of the rotors that would not turn too fast if nothing slipped.

    Slip is the dearest figure of all, and half of the cavities are out whatever it is. None if
    nothing is left of a slot.

    Parameters
    ----------
    evaluation : Evaluation
        Of one request or of many.
    start : Mapping of str to ndarray of bool
        As for `Propagation`.
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


def has_build(left: Propagation) -> bool:
    """Whether the one request of a propagation has a build."""
    try:
        return bool(Count(left).some(State.UNPROVEN)[0])
    except TooWideError:
        return spaces_of(left)[State.UNPROVEN].count() > 0


def emptied(live: Mapping[str, BoolArray]) -> tuple[str, ...]:
    """Slots for which no part stands."""
    return tuple(slot for slot, mask in live.items() if not mask.any())
