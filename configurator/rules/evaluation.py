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

from configurator.engine.arrays import BoolArray, IntArray
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.categorical import CategoricalRules, MaterialRead, PartStates, part_states
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.frame import Frame
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
        self._many = stack is not None
        self._known: Evaluation | None = None
        self._slipless = False
        self.moved: frozenset[int] = frozenset(each.number for each in rules.judgements)
        self._alone: dict[int, PartStates | None] = {}
        self._tables: dict[tuple[int, bytes], RuleTables | None] = {}
        self._cases: dict[bytes, Case] = {}
        self._grids: dict[bytes, Case] = {}
        self._slots = rules.frame.slots
        self.every = Case(self._stack, rules.every_many if self._many else rules.frame)
        first = {slot: kinds.first for slot, kinds in rules.kinds.items()}
        frame = rules.kinds_many if self._many else rules.kinds_frame
        self._kinds = Case(self._stack, frame, self.every.hydraulics.only(frame, first))

    def changed(self, subject: Subject, moved: frozenset[int]) -> Evaluation:
        """The evaluation of a changed request, which keeps what the change cannot move.

        Parameters
        ----------
        subject : Subject
            The changed request worked out.
        moved : frozenset of int
            Numbers of the judgements that may say something else.
        """
        other = Evaluation(self.rules, (subject,))
        other._known, other.moved = self, moved
        # What does not hang on what was changed, such as pressures, is not worked out again.
        other.every, other._kinds = self.every.under(subject), self._kinds.under(subject)
        return other

    @cached_property
    def without_slip(self) -> Evaluation:
        """The same if nothing slipped, for rules over several slots that grow with slip.

        What these rule out is out with every slip that there may be.
        """
        stack = self._stack if self._many else None
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
        """One rule over a grid of some parts, for what it says of them in words and numbers.

        Parameters
        ----------
        judgement : Judgement
            The rule; there must be one request alone.
        live : Mapping of str to ndarray of int
            By slot, places of the parts; some for each.

        Returns
        -------
        Applied or None
            None if the request does not ask for it.
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

        Parameters
        ----------
        judgement : Judgement
            A rule over one slot at most, or one in words.
        """
        number = judgement.number
        if self._known is not None and number not in self.moved:
            return self._known.alone(judgement)
        if number not in self._alone:
            self._alone[number] = self._heard_alone(judgement)
        return self._alone[number]

    def _heard_alone(self, judgement: Judgement) -> PartStates | None:
        if not self._many:
            case = self.every
            applied = apply_rule(case, judgement.rule, case.side(judgement.prefix))
            return None if applied is None else part_states(applied)
        if judgement.numeric:
            return self._stacked_alone(judgement)
        hear = self.shared.categorical.hear
        heard = [hear(judgement, reading) for reading in self.readings]
        return _together(judgement, heard, self.rules.frame)

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
        margins = None
        if isinstance(outcome, Comparison):
            margins = over_scope(outcome.margins, judgement.scope, self._slots)
        if not judgement.scope:
            return PartStates(None, {}, np.atleast_1d(states), margins)
        floor = np.zeros(1, dtype=np.int8)
        return PartStates(None, {judgement.scope[0]: states}, floor, margins)

    def tables(self, judgement: Judgement, live: Places) -> RuleTables | None:
        """What a rule over several slots says of some kinds; None if nobody asks for it.

        Parameters
        ----------
        judgement : Judgement
            The rule.
        live : Mapping of str to ndarray of int
            By slot, the kinds in question.
        """
        number = judgement.number
        if self._known is not None and number not in self.moved:
            return self._known.tables(judgement, live)
        if self._many and judgement.fixed:
            return self._fixed(judgement)
        if not self._many and not judgement.wide:
            live = self.rules.every_kind  # one hearing serves every question
        key = (number, _key(live))
        if key not in self._tables:
            self._tables[key] = self._heard(judgement, live)
        return self._tables[key]

    def _fixed(self, judgement: Judgement) -> RuleTables | None:
        """A rule that no material moves, over all kinds; heard once."""
        if judgement.number not in self.shared.fixed:
            alone = Evaluation(self.rules, self.subjects[:1])
            self.shared.fixed[judgement.number] = alone.tables(judgement, self.rules.every_kind)
        return self.shared.fixed[judgement.number]

    def _heard(self, judgement: Judgement, live: Places) -> RuleTables | None:
        seen = dict(live)
        places = {slot: _inverse(kept, len(self.rules.kinds[slot])) for slot, kept in live.items()}
        for slot in live:
            if slot.rpartition(".")[2] == COARSE:
                apart = self.rules.told_apart(judgement, slot).of
                numbers, first = np.unique(apart[live[slot]], return_index=True)
                seen[slot] = live[slot][first]
                places[slot] = np.searchsorted(numbers, apart)
        case = self._case(seen)
        applied = apply_rule(case, judgement.rule, case.side(judgement.prefix))
        if applied is None:
            return None
        heard = None if self._many else applied
        return tables_of(judgement, applied.outcome, self._slots, live, places, heard)

    def _case(self, live: Places) -> Case:
        """The case over some kinds: one for all rules that see the same, which share most work."""
        key = _key(live)
        if key not in self._cases:
            known = None if self._known is None else self._known.heard_over(live)
            case = self._kinds.only(dict(live)) if known is None else known.under(self._stack)
            self._cases[key] = case.without_slip if self._slipless else case
        return self._cases[key]

    def heard_over(self, live: Places) -> Case | None:
        """The case over some kinds, if any rule was heard for them."""
        return self._cases.get(_key(live))


def _key(live: Places) -> bytes:
    return b"".join(places.tobytes() + b"|" for places in live.values())


def _inverse(kept: IntArray, size: int) -> IntArray:
    """Where each of all kinds stands among those that are kept."""
    places = np.zeros(size, dtype=np.intp)
    places[kept] = np.arange(len(kept))
    return places


def _together(
    judgement: Judgement, heard: Sequence[PartStates | None], frame: Frame
) -> PartStates | None:
    """What a rule says of several materials, problems along the first axis."""
    distinct = {id(each): each for each in heard}
    found = [each for each in distinct.values() if each is not None]
    if not found or len(distinct) == 1:
        return heard[0]
    # Few things are said of many materials.
    number = {key: place for place, key in enumerate(distinct)}
    of = np.array([number[id(each)] for each in heard])
    by_slot = {}
    for slot in {slot for each in found for slot in each.by_slot}:
        fits = np.zeros((1, len(frame.parts[slot])), dtype=np.int8)
        rows = [fits if e is None else e.by_slot.get(slot, fits) for e in distinct.values()]
        by_slot[slot] = np.concatenate(rows)[of]
    passes = np.zeros(1, dtype=np.int8)
    floors = np.concatenate([passes if e is None else e.floor for e in distinct.values()])
    margins: NDArray[np.float64] | None = None
    if any(each.margins is not None for each in found):
        (slot,) = judgement.scope
        unknown = np.full((1, len(frame.parts[slot])), np.nan)
        said = [None if each is None else each.margins for each in distinct.values()]
        margins = np.concatenate([unknown if each is None else each for each in said])[of]
    return PartStates(None, by_slot, floors[of], margins)


def worst_alone(
    found: Sequence[PartStates], sizes: Mapping[str, int]
) -> dict[str, NDArray[np.int8]]:
    """By slot, the worst that some rules say of each part by itself; shape (problems, parts)."""
    worst = {slot: np.full((1, size), State.FITS, dtype=np.int8) for slot, size in sizes.items()}
    for each in found:
        for slot, states in each.by_slot.items():
            worst[slot] = np.maximum(worst[slot], states)
    return worst
