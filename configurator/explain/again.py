"""Asking again: whether a changed request has a build, without working out all that an answer holds.

Two paths on purpose. `exists` is quick and finds where something changes; `answer` is the one
path that every other answer comes from, and nothing is told that it has not confirmed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np

from configurator.catalog.parts import Part
from configurator.errors import CatalogError
from configurator.explain.conflict import Board
from configurator.explain.standing import Ground, Judgement
from configurator.explain.wishes import fields_moved, reads
from configurator.physics.domain import PhysicsDomainError
from configurator.request.question import Question
from configurator.rules.duty import duty_of
from configurator.rules.frame import Frame
from configurator.rules.subject import Subject
from configurator.workshop.answer import Answer
from configurator.workshop.answering import parts_of, subject_of
from configurator.workshop.workshop import Workshop


class Again:
    """Changed requests against the parts, the catalog and the evidence of one answer.

    Parameters
    ----------
    answer : Answer
        The request as it stands.
    given : Mapping[str, str], optional
        Parts that stay whatever is changed, by slot.
    """

    def __init__(self, answer: Answer, given: Mapping[str, str] | None = None) -> None:
        self._base: Subject = answer.subject
        self.question = answer.subject.question
        self.catalog = answer.subject.catalog
        self.given = dict(given or {})
        self._frame = Frame(parts_of(replace(self.question, without={}), self.catalog))

    def takes(self, parts: Mapping[str, Part]) -> bool:
        """Whether each part is one that its slot may hold, exclusions left aside."""
        return all(part in self._frame.parts[slot] for slot, part in parts.items())

    def subject(self, question: Question) -> Subject:
        """A changed request worked out; contacts that it cannot have moved are kept."""
        duty = duty_of(question.process)
        if question.material is self.question.material and (
            duty.temperature == self._base.duty.temperature
        ):
            # Gaps and flow curves hang on material and temperature alone.
            return replace(self._base, question=question, duty=duty)
        found = subject_of(question, self.catalog, self._base.evidence)
        same = found.duty.temperature.high == self._base.duty.temperature.high and all(
            new.constituents == old.constituents
            for (_, new), (_, old) in zip(
                question.material.components, self.question.material.components, strict=True
            )
        )
        return replace(found, contacts=self._base.contacts) if same else found

    @cached_property
    def ground(self) -> Ground:
        """All rules over all parts, for the request as it stands."""
        ground = Ground(self._base, self._frame)
        for number in range(len(ground.judgements)):
            ground.bites(number)  # what no change moves is heard here, once
        return ground

    def board(self, question: Question) -> Board:
        """The rules, picks and exclusions of a changed request; what it cannot move is kept."""
        subject = self.subject(question)
        fields = fields_moved(self._base, subject)

        def moves(judged: Judgement) -> bool:
            return any(reads(judged.rule.asks, field) for field in fields)

        return Board(self.ground.turned(subject, moves), self.given)

    def exists(self, question: Question | None) -> bool:
        """Whether a changed request has a build; no where a formula does not reach so far.

        Parameters
        ----------
        question : Question or None
            Changed; None has no build.
        """
        if question is None:
            return False
        try:
            with np.errstate(all="ignore"):
                return self.board(question).exists(self.ground)
        except PhysicsDomainError:
            return False

    def answer(
        self, question: Question | None, *, among: Mapping[str, Collection[str]] | None = None
    ) -> Answer | None:
        """A changed request solved anew, with the given parts picked; None as for `exists`.

        Parameters
        ----------
        question : Question or None
            Changed.
        among : Mapping[str, collection of str], optional
            By slot, names of the only parts that it is solved for.
        """
        if question is None:
            return None
        # A given part is not blamed for being excluded, here as little as on the board.
        picks = {**question.picks, **self.given}
        without = {s: names for s, names in question.without.items() if s not in self.given}
        for slot, names in (among or {}).items():
            others = {part.name for part in self._frame.parts[slot]} - set(names)
            without[slot] = frozenset(others) | without.get(slot, frozenset())
        asked = replace(question, picks=picks, without=without)
        try:
            with np.errstate(all="ignore"):
                return Workshop(self.catalog, self._base.evidence).answer(asked)
        except CatalogError:
            return None

    def count(self, question: Question | None) -> int:
        """Builds of a changed request, by the one path; 0 where a formula does not reach."""
        found = self.answer(question)
        return 0 if found is None else found.count
