"""What the rules say of one request, or of many that share process and parts.

A list of requests is one more axis: rules broadcast, so a frame with an axis for the problems in
front and a subject whose figures are arrays lets one check judge all of them. Rules over several
slots are heard for one part of each kind; what rules on one slot say stays with each part.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.batched import batched
from configurator.rules.case import Case
from configurator.rules.categorical import (
    CategoricalRules,
    MaterialRead,
    PartStates,
    numbers_alone,
    of_several,
    part_states,
)
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.hydraulics import SpeedsBehind
from configurator.rules.mouths import Mouths
from configurator.rules.rule_tables import Places, RuleTables, over_scope, tables_of
from configurator.rules.ruleset import COARSE, Judgement, RuleSet
from configurator.rules.subject import Subject

Live = Mapping[str, BoolArray]
"""By slot, shape (problems, parts): which parts stand."""


class SharedOutcomes:
    """What requests of one process and one catalog have in common, kept from batch to batch."""

    def __init__(self) -> None:
        self.categorical = CategoricalRules()
        self.fixed: dict[int, RuleTables | None] = {}


class Evaluation:
    """All rules on some requests over the same parts.

    Parameters
    ----------
    rules : RuleSet
        Over a frame of all parts.
    subjects : sequence of Subject
        The requests, worked out; several must share process, catalog and findings.
    stack : Subject, optional
        All of them as one, its figures arrays with the requests in front; for one it is itself.
    shared : SharedOutcomes, optional
        Of earlier batches with the same process, catalog and findings.
    """

    def __init__(
        self,
        rules: RuleSet,
        subjects: Sequence[Subject],
        stack: Subject | None = None,
        shared: SharedOutcomes | None = None,
    ) -> None:
        self.rules = rules
        self.subjects = tuple(subjects)
        self.problems = len(self.subjects)
        self.shared = shared or SharedOutcomes()
        self._stack = stack or self.subjects[0]
        self.many = stack is not None
        """True if requests are laid out in front, though it be one."""
        self._known: Evaluation | None = None
        self._slipless = False
        self.moved: frozenset[int] = frozenset(each.number for each in rules.judgements)
        self._alone: dict[int, PartStates | None] = {}
        self._tables: dict[tuple[int, bytes], RuleTables | None] = {}
        self._cases: dict[bytes, Case] = {}
        self._grids: dict[bytes, Case] = {}
        self._base: SpeedsBehind | None = None
        self._requests: tuple[Evaluation, IntArray] | None = None
        self._slots = rules.frame.slots
        self.every = Case(self._stack, rules.every_many if self.many else rules.frame)
        first = {slot: kinds.first for slot, kinds in rules.kinds.items()}
        frame = rules.kinds_many if self.many else rules.kinds_frame
        self._kinds = Case(self._stack, frame, self.every.hydraulics.only(frame, first))

    def changed(self, subject: Subject, moved: frozenset[int]) -> Evaluation:
        """The evaluation of a changed request, of which some judgements may say something else."""
        other = Evaluation(self.rules, (subject,))
        other._known, other.moved = self, moved
        # What does not hang on what was changed, such as pressures, is not worked out again.
        other.every, other._kinds = self.every.under(subject), self._kinds.under(subject)
        return other

    def behind(self, mouths: Mouths, live: Places) -> Evaluation:
        """The rules over several slots behind each pair of mixer and tip, for some kinds."""
        stack, frame = self._in_front(mouths)
        hydraulics = self._kinds.hydraulics.behind(stack, frame, mouths)
        return self._behind(stack, frame, SpeedsBehind.of(hydraulics, frame, live), mouths)

    def behind_some(self, mouths: Mouths, which: IntArray) -> Evaluation:
        """The same behind some of the pairs of mixer and tip, by their places among all."""
        assert self._base is not None  # it is one behind pairs
        stack, frame = self._in_front(mouths)
        return self._behind(stack, frame, self._base.behind_some(stack, mouths, which), mouths)

    def _in_front(self, mouths: Mouths) -> tuple[Subject, Frame]:
        stack = batched(self.subjects, len(self._slots), mouths.rows)
        return stack, self.rules.kinds_many.in_front(mouths.kinds)

    def _behind(
        self, stack: Subject, frame: Frame, base: SpeedsBehind, mouths: Mouths
    ) -> Evaluation:
        other = Evaluation(self.rules, self.subjects, stack, self.shared)
        other._kinds, other._base = Case(stack, frame), base
        other._requests = (self._requests[0] if self._requests else self), mouths.rows
        return other

    @cached_property
    def without_slip(self) -> Evaluation:
        """The same if nothing slipped, for rules over several slots that grow with slip.

        What these rule out is out with every slip that there may be.
        """
        stack = self._stack if self.many else None
        other = Evaluation(self.rules, self.subjects, stack, self.shared)
        other._slipless, other._kinds = True, self._kinds
        return other

    def says_as_before(self) -> bool:
        """Whether nothing that the change can move says anything else.

        Not told of rules over many slots: these are dear to hear.
        """
        return self._known is not None and all(
            self._same(self.rules.judgements[number], self._known) for number in self.moved
        )

    def _same(self, judgement: Judgement, known: Evaluation) -> bool:
        if judgement.wide:
            return False
        if judgement.alone:
            mine, its = self.alone(judgement), known.alone(judgement)
            return mine is its or (mine is not None and its is not None and mine.says_as(its))
        every = self.rules.every_kind
        here, there = self.tables(judgement, every), known.tables(judgement, every)
        return here is there or (here is not None and there is not None and here.says_as(there))

    def applied(self, judgement: Judgement, live: Places) -> Applied | None:
        """What one rule says of some parts in words and numbers; None if nobody asks for it.

        There must be one request alone, and some part in each slot.
        """
        key = _key(live)
        if key not in self._grids:
            self._grids[key] = self.every.only(live)
        case = self._grids[key]
        return apply_rule(case, judgement.rule, case.side(judgement.prefix))

    def bites(self, judgement: Judgement) -> bool:
        """Whether a rule can rule anything out; one over many combinations is taken to do so."""
        if judgement.alone:
            found = self.alone(judgement)
            return found is not None and found.worst == State.RULED_OUT
        if judgement.wide:
            return True
        tables = self.tables(judgement, self.rules.every_kind)
        return tables is not None and not tables.always[State.UNPROVEN]

    def alone(self, judgement: Judgement) -> PartStates | None:
        """What a rule says of each part by itself; None if the request does not ask for it.

        It is over one slot at most, or in words.
        """
        number = judgement.number
        if self._known is not None and number not in self.moved:
            return self._known.alone(judgement)
        if number not in self._alone:
            self._alone[number] = self._heard_alone(judgement)
        return self._alone[number]

    def _heard_alone(self, judgement: Judgement) -> PartStates | None:
        if not self.many:
            case = self.every
            applied = apply_rule(case, judgement.rule, case.side(judgement.prefix))
            return None if applied is None else part_states(applied)
        if judgement.numeric:
            return self._stacked_alone(judgement)
        hear = self.shared.categorical.hear
        readings = self.readings if judgement.readings else self.readings[:1]
        heard = [hear(judgement, reading) for reading in readings]
        return of_several(judgement, heard, self.rules.frame)

    @cached_property
    def readings(self) -> list[MaterialRead]:
        """What rules that read no number of the flow read of each request."""
        read, frame = self.shared.categorical.reading, self.rules.frame
        return [read(Case(subject, frame)) for subject in self.subjects]

    def _stacked_alone(self, judgement: Judgement) -> PartStates | None:
        outcome = judgement.rule.check(self.every, self.every.side(judgement.prefix))
        if outcome is None:
            return None
        states = over_scope(outcome.states, judgement.scope, self._slots)
        numbers: dict[str, AnyArray] = {}
        if isinstance(outcome, Comparison):
            numbers = {
                name: over_scope(values, judgement.scope, self._slots)
                for name, values in numbers_alone(outcome, judgement.rule).items()
            }
        if not judgement.scope:
            return PartStates(None, {}, np.atleast_1d(states), numbers.get("margins"))
        floor = np.zeros(1, dtype=np.int8)
        return PartStates(None, {judgement.scope[0]: states}, floor, **numbers)

    def tables(self, judgement: Judgement, live: Places) -> RuleTables | None:
        """What a rule over several slots says of some kinds; None if nobody asks for it."""
        number = judgement.number
        if self._known is not None and number not in self.moved:
            return self._known.tables(judgement, live)
        if self.many and judgement.fixed:
            return self._fixed(judgement)
        if not self.many and not judgement.wide:
            live = self.rules.every_kind  # one hearing serves every question
        key = (number, _key(live))
        if key not in self._tables:
            self._tables[key] = self.heard(judgement, live)
        return self._tables[key]

    def _fixed(self, judgement: Judgement) -> RuleTables | None:
        """A rule that no material moves, over all kinds; heard once."""
        if judgement.number not in self.shared.fixed:
            alone = Evaluation(self.rules, self.subjects[:1])
            self.shared.fixed[judgement.number] = alone.tables(judgement, self.rules.every_kind)
        return self.shared.fixed[judgement.number]

    def heard(self, judgement: Judgement, live: Places) -> RuleTables | None:
        """The same, heard anew and not kept."""
        seen = dict(live)
        places = {slot: _inverse(kept, len(self.rules.kinds[slot])) for slot, kept in live.items()}
        for slot in live:
            if slot.rpartition(".")[2] == COARSE:
                apart = self.rules.told_apart(judgement, slot).of
                numbers, first = np.unique(apart[live[slot]], return_index=True)
                seen[slot] = live[slot][first]
                places[slot] = np.searchsorted(numbers, apart)
        case = self.case(seen)
        applied = apply_rule(case, judgement.rule, case.side(judgement.prefix))
        if applied is None:
            return None
        heard = None if self.many else applied
        return tables_of(judgement, applied.outcome, self._slots, live, places, heard)

    def case(self, live: Places) -> Case:
        """The case over some kinds: one for all rules that see the same, which share most work."""
        key = _key(live)
        if key not in self._cases:
            known = None if self._known is None else self._known.heard_over(live)
            if self._base is not None:
                frame = self._kinds.frame.only(live)
                assert self._requests is not None  # pairs are behind requests
                requests, rows = self._requests
                in_front = requests.case(live), rows
                case = Case(self._stack, frame, self._base.only(frame, live), in_front)
            else:
                case = self._kinds.only(dict(live)) if known is None else known.under(self._stack)
            self._cases[key] = case.without_slip if self._slipless else case
        return self._cases[key]

    def heard_over(self, live: Places) -> Case | None:
        """The case over some kinds, if any rule was heard for them."""
        return self._cases.get(_key(live))


def _key(live: Places) -> bytes:
    return b"".join(slot.encode() + places.tobytes() + b"|" for slot, places in live.items())


def _inverse(kept: IntArray, size: int) -> IntArray:
    """Where each of all kinds stands among those that are kept."""
    places = np.zeros(size, dtype=np.intp)
    places[kept] = np.arange(len(kept))
    return places


def worst_alone(
    found: Sequence[PartStates], sizes: Mapping[str, int]
) -> dict[str, NDArray[np.int8]]:
    """By slot, the worst that some rules say of each part by itself; shape (problems, parts)."""
    worst = {slot: np.full((1, size), State.FITS, dtype=np.int8) for slot, size in sizes.items()}
    for each in found:
        for slot, states in each.by_slot.items():
            worst[slot] = np.maximum(worst[slot], states)
    return worst
