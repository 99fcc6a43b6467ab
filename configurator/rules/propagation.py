"""What each rule leaves of the parts: narrow rules first, so that wide ones see few parts.

A part that one rule leaves without any partner is in no build, whatever the other rules say
(generalised arc consistency of that rule), so dropping it early changes no count. What took a
part out is kept: it is the reason that is told.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray
from configurator.rules.categorical import PartStates
from configurator.rules.evaluation import Evaluation, Live, worst_alone
from configurator.rules.finding import State
from configurator.rules.rule_tables import RuleTables
from configurator.rules.ruleset import Judgement

Kinds = dict[str, IntArray]


@dataclass(frozen=True, eq=False)
class Dropped:
    """Parts of one slot that one rule leaves no partner."""

    judgement: Judgement
    slot: str
    out: BoolArray
    """Shape (problems, parts): which of those that stood before."""
    before: Live
    """What stood when the rule was heard."""
    tables: RuleTables | None = None
    """The rule, if it is over several slots."""


class Propagation:
    """What some rules leave of the parts, for one request or for many.

    Parameters
    ----------
    evaluation : Evaluation
        What the rules say.
    numbers : collection of int, optional
        Which judgements are heard; all without it.
    start : Mapping of str to ndarray of bool, optional
        By slot, shape (problems or 1, parts): which parts may stand; all without it.
    over : Mapping of str to ndarray of bool, optional
        The same for the parts that rules over several slots are heard for, so that questions
        that name the same ones share the hearing; as few as may be without it.

    Raises
    ------
    ValueError
        If a part may stand that is not among those in `over`: nobody would have heard of it.

    Attributes
    ----------
    unary : tuple of (Judgement, PartStates)
        Rules that judge each part by itself.
    floor : ndarray of int8
        Shape (problems,): the worst that rules say of every build alike.
    parts : dict of str to ndarray of int8
        By slot, shape (problems, parts): the worst that rules say of each part by itself.
    stages : tuple of dict
        By slot, which parts stand before anything is heard, after the rules on single parts, and
        after those over few slots.
    tables : tuple of RuleTables
        Rules over several slots, in the order in which they were heard.
    """

    def __init__(
        self,
        evaluation: Evaluation,
        numbers: Collection[int] | None = None,
        start: Live | None = None,
        over: Live | None = None,
    ) -> None:
        self.evaluation = evaluation
        rules = evaluation.rules
        self._heard = [
            each for each in rules.judgements if numbers is None or each.number in numbers
        ]
        problems = evaluation.problems
        sizes = {slot: len(parts) for slot, parts in rules.frame.parts.items()}
        begin = {
            slot: np.ones((problems, size), dtype=np.bool_)
            if start is None
            else np.broadcast_to(start[slot], (problems, size))
            for slot, size in sizes.items()
        }
        self.unary = tuple(self._judged_alone())
        found = [states for _, states in self.unary]
        self.floor = np.zeros(problems, dtype=np.int8)
        for each in found:
            self.floor = np.maximum(self.floor, each.floor)
        self.parts = {
            slot: np.broadcast_to(states, (problems, sizes[slot]))
            for slot, states in worst_alone(found, sizes).items()
        }
        alone = {slot: begin[slot] & (self.parts[slot] < State.RULED_OUT) for slot in sizes}
        for slot, among in (over or {}).items():
            if (alone[slot] & ~among).any():
                raise ValueError(f"slot {slot}: a part may stand that no rule would be heard for")
        shared = None if over is None else self._live(over)
        self.few = self._tables(1, shared or self._live(alone))
        few = dict(alone)
        for cut in self._cuts(self.few, alone):
            few[cut.slot] = few[cut.slot] & ~cut.out
        self.stages: tuple[Live, Live, Live] = (begin, alone, few)
        self._shared = shared

    def _judged_alone(self) -> Iterator[tuple[Judgement, PartStates]]:
        for each in self._heard:
            if each.alone:
                states = self.evaluation.alone(each)
                if states is not None:
                    yield each, states

    def _live(self, stand: Live) -> Kinds:
        """By slot, the kinds of which a part stands in any of the problems."""
        return {
            slot: np.flatnonzero(kinds.any_of(np.asarray(stand[slot].any(axis=0))))
            for slot, kinds in self.evaluation.rules.kinds.items()
        }

    def _tables(self, stage: int, live: Kinds) -> tuple[RuleTables, ...]:
        found = []
        for each in self._heard:
            here = each.stage == stage and not each.alone
            if here and all(len(live[slot]) for slot in each.scope):
                tables = self.evaluation.tables(each, live)
                if tables is not None:
                    found.append(tables)
        return tuple(found)

    @cached_property
    def wide(self) -> tuple[RuleTables, ...]:
        """Rules over many slots, over the kinds that the others leave."""
        return self._tables(2, self._shared or self._live(self.stages[2]))

    def not_heard(self, live: Kinds) -> Iterator[Judgement]:
        """Rules over many slots of which some parts stand."""
        for each in self._heard:
            if each.wide and not each.alone and all(len(live[slot]) for slot in each.scope):
                yield each

    @property
    def tables(self) -> tuple[RuleTables, ...]:
        """Rules over several slots, in the order in which they were heard."""
        return (*self.few, *self.wide)

    def _cuts(self, tables: Sequence[RuleTables], before: Live) -> Iterator[Dropped]:
        """Parts that rules over several slots leave no partner among those that stand."""
        kinds = self.evaluation.rules.kinds
        standing = {slot: kinds[slot].any_of(flags) for slot, flags in before.items()}
        for each in tables:
            # A slot without parts leaves no build, and says nothing of the others.
            told = np.logical_and.reduce([before[slot].any(axis=1) for slot in each.scope])
            if each.always[State.UNPROVEN] or not told.any():
                continue
            for slot, has in each.partners(State.UNPROVEN, standing):
                out = before[slot] & ~has[:, kinds[slot].of] & told[:, np.newaxis]
                if out.any():
                    yield Dropped(each.judgement, slot, out, before, each)

    @cached_property
    def settled(self) -> Live:
        """What rules over few slots leave once no part falls because another one has."""
        left = dict(self.stages[1])
        fallen = set(left)
        while fallen:
            asked = [each for each in self.few if fallen & set(each.scope)]
            fallen, before = set(), dict(left)
            for cut in self._cuts(asked, before):
                left[cut.slot] = left[cut.slot] & ~cut.out
                fallen.add(cut.slot)
        return left

    @cached_property
    def live(self) -> Live:
        """What every rule by itself leaves in the end."""
        left = dict(self.stages[2])
        for cut in self._cuts(self.wide, self.stages[2]):
            left[cut.slot] = left[cut.slot] & ~cut.out
        return left

    def cuts(self) -> Iterator[Dropped]:
        """Every cut that a rule makes, in the order in which they were heard."""
        begin, alone, few = self.stages
        for judgement, states in self.unary:
            for slot, found in states.by_slot.items():
                out = begin[slot] & (found == State.RULED_OUT)
                if out.any():
                    yield Dropped(judgement, slot, out, begin)
        yield from self._cuts(self.few, alone)
        yield from self._cuts(self.wide, few)
