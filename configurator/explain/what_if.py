"""Asking again: whether a changed request has a build, how many, and which comes first.

Only what a change can move is worked out again.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cached_property

import numpy as np

from configurator.catalog.parts import Part
from configurator.chemistry.evidence import Evidence
from configurator.engine.arrays import BoolArray
from configurator.engine.eliminate import TooWideError
from configurator.errors import CatalogError
from configurator.explain.conflict_problem import ConflictProblem
from configurator.explain.counts import Counts
from configurator.explain.request_data import could_read, fields_moved, moves_of
from configurator.physics.domain import PhysicsDomainError
from configurator.request.orders import ORDERS
from configurator.request.question import Question
from configurator.rules.batched import batched
from configurator.rules.build_order import BuildOrder
from configurator.rules.categorical import UnlikeRuleError
from configurator.rules.counting import Count
from configurator.rules.duty import duty_of
from configurator.rules.evaluation import Evaluation
from configurator.rules.existence import EmptySlot, Narrowing, leaves_build, slow_enough
from configurator.rules.finding import LISTED, State
from configurator.rules.frame import Frame
from configurator.rules.priced import PricedParts
from configurator.rules.prices import Prices
from configurator.rules.propagation import Propagation
from configurator.rules.ruleset import Judgement, RuleSet
from configurator.rules.subject import Subject
from configurator.workshop.answer import Answer
from configurator.workshop.answering import parts_of, subject_of
from configurator.workshop.workshop import Workshop

Moves = Mapping[str, object]
"""Values of the fields in which a request differs from the one that stands."""


class DeadEnds:
    """Slots that some judgements, in the order of their numbers, empty, each with its moves."""

    def __init__(self, judgements: Sequence[Judgement]) -> None:
        self._judgements = judgements
        self._reads: dict[tuple[int, str], bool] = {}
        self._known: dict[EmptySlot, list[Moves]] = {}
        self._matter: dict[tuple[EmptySlot, frozenset[str]], tuple[str, ...]] = {}

    def reads(self, number: int, field: str) -> bool:
        """Whether a rule could read a field, also through what fills a gap."""
        key = number, field
        if key not in self._reads:
            self._reads[key] = could_read(self._judgements[number].rule, field)
        return self._reads[key]

    def add(self, empty: EmptySlot, moves: Moves) -> None:
        """Keep that a slot is empty under some moves."""
        self._known.setdefault(empty, []).append(self._that_matter(empty, moves))

    def hold(self, moves: Moves) -> bool:
        """Whether something that is known to empty a slot does so under some moves."""
        return any(self._that_matter(empty, moves) in known for empty, known in self._known.items())

    def _that_matter(self, empty: EmptySlot, moves: Moves) -> Moves:
        key = empty, frozenset(moves)
        if key not in self._matter:
            self._matter[key] = tuple(field for field in moves if self._matters(empty, field))
        return {field: moves[field] for field in self._matter[key]}

    def _matters(self, empty: EmptySlot, field: str) -> bool:
        kind, _, slot = field.partition(" ")
        if kind in ("pick", "without"):
            return slot in empty.slots
        return any(self.reads(number, field) for number in empty.rules)


Flags = dict[str, BoolArray]

MOST_FLOWING = 200
"""Requests whose flow is kept, for others of the very same material at the same temperature."""

TOGETHER = 8
"""Most materials that are counted as one batch: enough to share the work, and tables stay small."""


class WhatIf:
    """Changed requests against the parts, the catalog and the evidence of one answer.

    Parts given, by slot, stay whatever is changed.
    """

    def __init__(self, answer: Answer, given: Mapping[str, str] | None = None) -> None:
        self._answer = answer
        self._base: Subject = answer.subject
        self.question = answer.subject.question
        self.catalog = answer.subject.catalog
        self.evidence = answer.subject.evidence
        self.given = dict(given or {})
        self._frame = Frame(parts_of(replace(self.question, without={}), self.catalog))
        self._few: dict[tuple[frozenset[int], bytes], Narrowing] = {}
        self._movable: dict[frozenset[str], frozenset[int]] = {}
        as_asked = self._material_key(self.question), self._base.duty.temperature
        self._flowing: dict[Hashable, Subject] = {as_asked: self._base}

    def takes(self, parts: Mapping[str, Part]) -> bool:
        """Whether each part is one that its slot may hold, exclusions left aside."""
        return all(part in self._frame.parts[slot] for slot, part in parts.items())

    def subject(self, question: Question, evidence: Evidence | None = None) -> Subject:
        """A changed request worked out; contacts that it cannot have moved are kept."""
        if evidence is not None and evidence != self.evidence:
            return subject_of(question, self.catalog, evidence)
        duty = duty_of(question.process)
        # Gaps and flow curves hang on material and temperature alone.
        key = self._material_key(question), duty.temperature
        if key not in self._flowing:
            if len(self._flowing) >= MOST_FLOWING:
                self._flowing.clear()
            found = subject_of(question, self.catalog, self.evidence)
            same = duty.temperature.high == self._base.duty.temperature.high and all(
                new.constituents == old.constituents
                for (_, new), (_, old) in zip(
                    question.material.components, self.question.material.components, strict=True
                )
            )
            self._flowing[key] = replace(found, contacts=self._base.contacts) if same else found
        return replace(self._flowing[key], question=question, duty=duty)

    def _material_key(self, question: Question) -> Hashable:
        """Equal for materials that state the same."""
        moves = moves_of(self.question, replace(self.question, material=question.material))
        return frozenset(moves.items())

    @cached_property
    def evaluation(self) -> Evaluation:
        """All rules over all parts, for the request as it stands."""
        prefixes = [prefix for prefix, _ in self._base.filled.material.components]
        return Evaluation(RuleSet(self._frame, prefixes), [self._base])

    @cached_property
    def problem(self) -> ConflictProblem:
        """The rules, picks and exclusions of the request as it stands."""
        return ConflictProblem(self.evaluation, self.given)

    def exists(self, question: Question | None) -> bool:
        """Whether a changed request has a build; no for None, or where a formula does not reach."""
        if question is None or self._dead_ends.hold(moves_of(self.question, question)):
            return False
        try:
            with np.errstate(all="ignore"):
                left = self._left(question, self._changed(question))
                return left is not None and leaves_build(left)
        except PhysicsDomainError:
            return False

    def counts(self, question: Question, evidence: Evidence | None = None) -> Counts:
        """Exact numbers of builds of a changed request; none where a formula does not reach."""
        try:
            with np.errstate(all="ignore"):
                changed = self._changed(question, evidence)
                if self._as_asked(question) and changed.says_as_before():
                    return Counts.of(self._answer)
                return Counts.left(self._left(question, changed))[0]
        except PhysicsDomainError:
            return Counts(0, 0, 0)
        except TooWideError:
            found = self.answer(question, evidence)
            return Counts(0, 0, 0) if found is None else Counts.of(found)

    def _as_asked(self, question: Question) -> bool:
        """Whether the same parts may stand as in the answer."""
        return not self.given and self._wished(question) is self._start

    def counts_of(self, questions: Sequence[Question]) -> list[Counts]:
        """The same of several requests; materials that move many rules are counted together."""
        wide = {each.number for each in self.evaluation.rules.judgements if each.wide}
        far: dict[int, Subject] = {}
        for at, question in enumerate(questions):
            if replace(self.question, material=question.material) == question:
                with suppress(PhysicsDomainError):
                    subject = self.subject(question)
                    if wide & self._moved(subject):
                        far[at] = subject
        known: dict[int, Counts] = {}
        for start in range(0, len(far), TOGETHER):
            known |= self._together({at: far[at] for at in list(far)[start : start + TOGETHER]})
        return [
            known[at] if at in known else self.counts(question)
            for at, question in enumerate(questions)
        ]

    def _together(self, subjects: Mapping[int, Subject]) -> dict[int, Counts]:
        """Counts of some materials as one batch; none where a batch cannot tell."""
        every = list(subjects.values())
        try:
            with np.errstate(all="ignore"):
                stack = batched(every, len(self._frame.slots))
                many = Evaluation(self.evaluation.rules, every, stack)
                live = slow_enough(many, self._start)
                left = None if live is None else Propagation(many, None, live)
                return dict(zip(subjects, Counts.left(left, len(every)), strict=True))
        except (PhysicsDomainError, TooWideError, UnlikeRuleError):
            return {}

    def best(self, question: Question) -> tuple[State, dict[str, Part]] | None:
        """The first build of a changed request's list with its state; None if it has none."""
        if question.sort != ORDERS[0]:
            return self._first(question)
        try:
            with np.errstate(all="ignore"):
                left = self._left(question, self._changed(question))
                if left is None:
                    return None
                count = Count(left)
                level = next((each for each in LISTED if count.some(each)[0]), None)
                if level is None:
                    return None
                (places,) = BuildOrder(PricedParts(count, level, self._prices)).first()
        except PhysicsDomainError:
            return None
        except TooWideError:
            return self._first(question)
        parts = self._frame.parts.items()
        return level, {s: every[at] for (s, every), at in zip(parts, places, strict=True)}

    def _first(self, question: Question) -> tuple[State, dict[str, Part]] | None:
        found = self.answer(question)
        first = None if found is None else found.first
        return None if first is None else (first.state, dict(first.parts))

    @cached_property
    def _prices(self) -> Prices:
        return Prices.of_frame(self._frame)

    def _changed(self, question: Question, evidence: Evidence | None = None) -> Evaluation:
        subject = self.subject(question, evidence)
        return self.evaluation.changed(subject, self._moved(subject))

    def _left(self, question: Question, changed: Evaluation) -> Propagation | None:
        """What a changed request's rules leave; None once a slot is known to be left nothing."""
        unmoved = self._unmoved(changed.moved, self._wished(question))
        left = unmoved.under(changed)
        last = left.hear(each for each in self._suspects if each.number in changed.moved)
        if last is not None:  # it often empties the next one's slot too
            self._suspects.insert(0, self._suspects.pop(self._suspects.index(last)))
        wide = [each for each in self.evaluation.rules.judgements if each.wide]
        far = any(each.number in changed.moved for each in wide)
        if far and not left.is_empty:
            # Slip is the dearest figure of all, and half of the cavities are out whatever it is.
            growing = (each for each in wide if each.rule.grows_with_slip)
            left.hear_wide(growing, changed.without_slip)
        if left.is_empty:
            if changed.subjects[0].evidence == self.evidence:
                moves, reads = moves_of(self.question, question), self.reads
                told = left.told(lambda number: sum(reads(number, field) for field in moves))
                self._dead_ends.add(told, moves)
            return None
        # Wide rules, if none has moved, are heard once for all changes that move the same.
        return Propagation(changed, None, left.standing, None if far else unmoved.standing)

    def reads(self, number: int, field: str) -> bool:
        """Whether a rule could read a field, also through what fills a gap."""
        return self._dead_ends.reads(number, field)

    @cached_property
    def _dead_ends(self) -> DeadEnds:
        return DeadEnds(self.evaluation.rules.judgements)

    @cached_property
    def _suspects(self) -> list[Judgement]:
        """Rules over few slots, those first that have just left nothing of one."""
        return [each for each in self.evaluation.rules.judgements if not each.wide]

    def _unmoved(self, moved: frozenset[int], start: Flags) -> Narrowing:
        """What is left by rules over few slots that have not moved."""
        key = moved, b"".join(flags.tobytes() for flags in start.values())
        if key not in self._few:
            self._few[key] = Narrowing(self.evaluation, start)
            self._few[key].hear(each for each in self._suspects if each.number not in moved)
        return self._few[key]

    def _moved(self, subject: Subject) -> frozenset[int]:
        """Rules that may say something else of a changed request."""
        fields = fields_moved(self._base, subject)
        judgements = self.evaluation.rules.judgements
        if fields not in self._movable:
            self._movable[fields] = frozenset(
                each.number for each in judgements if any(map(each.rule.reads, fields))
            )
        if subject.evidence == self.evidence:
            return self._movable[fields]
        soaked = {each.number for each in judgements if each.rule.family == "chemistry"}
        return self._movable[fields] | soaked

    def _wished(self, question: Question) -> Flags:
        """Parts that picks and exclusions of a request leave, given ones in any case."""
        if question.picks is self.question.picks and question.without is self.question.without:
            return self._start
        return self._wishes(question)

    @cached_property
    def _start(self) -> Flags:
        """The same of the request as it stands."""
        return self._wishes(self.question)

    def _wishes(self, question: Question) -> Flags:
        picks = {**question.picks, **self.given}
        flags = {}
        for slot, parts in self._frame.parts.items():
            without = () if slot in self.given else question.without.get(slot, ())
            name = picks.get(slot)
            fit = [name in (None, part.name) and part.name not in without for part in parts]
            flags[slot] = np.array([fit], dtype=np.bool_)
        return flags

    def answer(self, question: Question | None, evidence: Evidence | None = None) -> Answer | None:
        """A changed request solved anew, with the given parts picked; None as for `exists`."""
        if question is None:
            return None
        # A given part is not blamed for being excluded.
        picks = {**question.picks, **self.given}
        without = {s: names for s, names in question.without.items() if s not in self.given}
        asked = replace(question, picks=picks, without=without)
        try:
            with np.errstate(all="ignore"):
                return Workshop(self.catalog, evidence or self.evidence).answer(asked)
        except CatalogError:
            return None
