"""Builds of a changed request, counted only: no space, no list, nothing that has not moved."""

from __future__ import annotations

import numpy as np

from configurator.explain.again import Again
from configurator.explain.counts import Counts
from configurator.explain.rules_heard import RulesHeard
from configurator.explain.tally import TooWideError
from configurator.physics.domain import PhysicsDomainError
from configurator.request.question import Question
from configurator.rules.finding import LISTED
from configurator.workshop.told import RankedBuild


class Recount:
    """Counts of changed requests against the parts and the evidence of one answer.

    Parameters
    ----------
    again : Again
        The request as it stands.
    """

    def __init__(self, again: Again) -> None:
        self._again = again

    def counts(self, question: Question) -> Counts:
        """Exact numbers of builds of a changed request; none where a formula does not reach."""
        try:
            with np.errstate(all="ignore"):
                return self._counts(question)
        except PhysicsDomainError:
            return Counts(0, 0, 0)
        except TooWideError:
            found = self._again.answer(question)
            return Counts(0, 0, 0) if found is None else Counts.of(found)

    def _counts(self, question: Question) -> Counts:
        heard = self._heard(question)
        if heard is None:
            return Counts(0, 0, 0)
        up_to = dict.fromkeys(LISTED, 0)
        for level in reversed(LISTED):
            up_to[level] = heard.count(level)
            if not up_to[level]:
                break
        fits, marginal, unproven = (up_to[level] for level in LISTED)
        return Counts(fits, marginal - fits, unproven - marginal)

    def best(self, question: Question) -> RankedBuild | None:
        """The first build of a changed request's list; None if it has none.

        It is found among the parts that builds of the best state can be made of.
        """
        try:
            with np.errstate(all="ignore"):
                heard = self._heard(question)
                found = (heard.parts(level) for level in LISTED) if heard is not None else iter(())
                parts = next((each for each in found if each is not None), None)
        except PhysicsDomainError:
            return None
        except TooWideError:
            parts = {}
        if parts is None:
            return None
        answer = self._again.answer(question, among=parts)
        return None if answer is None else answer.first

    def _heard(self, question: Question) -> RulesHeard | None:
        """What all rules say of a changed request; None if some slot is left without a part."""
        board = self._again.board(question)
        every = frozenset(range(len(board.ground.judgements)))
        return RulesHeard.of(board.ground, every, board.wished, known=self._again.ground)
