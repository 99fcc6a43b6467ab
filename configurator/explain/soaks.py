"""Builds counted again and again with other soaks: only what they move is heard anew.

A soak changes what the rules about contacts say, and no other: everything else that the rules
say of the request stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from configurator.chemistry.evidence import Evidence
from configurator.engine.arrays import BoolArray
from configurator.engine.eliminate import TooWideError
from configurator.explain.counts import Counts
from configurator.request.material import Material
from configurator.rules import chemistry, swelling_fit
from configurator.rules.counting import Count
from configurator.rules.finding import LISTED
from configurator.rules.propagation import Propagation
from configurator.rules.space import spaces_of
from configurator.workshop.answer import Answer

CONTACT_RULES = (*chemistry.RULES, *swelling_fit.RULES)
"""Rules whose verdict a soak can change."""

_NAMES = frozenset(rule.name for rule in CONTACT_RULES)


class Soaks:
    """Counts of one answer's builds under other findings of the shop.

    Parameters
    ----------
    answer : Answer
        The request solved as it stands.
    """

    def __init__(self, answer: Answer) -> None:
        self._answer = answer
        self._evaluation = answer.left.evaluation
        judgements = self._evaluation.rules.judgements
        self._moved = frozenset(each.number for each in judgements if each.rule.name in _NAMES)
        self._start = dict(self._picked())

    def _picked(self) -> Iterator[tuple[str, BoolArray]]:
        """By slot, which of all parts the picks leave."""
        for slot, parts in self._answer.frame.parts.items():
            flags = np.ones((1, len(parts)), dtype=np.bool_)
            if slot in self._answer.picks:
                picked = self._answer.picks[slot]
                values = [picked] if isinstance(picked, int) else sorted(picked)
                flags[:] = False
                flags[0, self._answer.live[slot][values]] = True
            yield slot, flags

    def counts(self, evidence: Evidence, material: Material | None = None) -> Counts:
        """Count the builds under some findings.

        Parameters
        ----------
        evidence : Evidence
            All findings, supposed ones among them.
        material : Material, optional
            With its gaps filled, where it differs in what is said of its constituents being
            complete and in nothing else.
        """
        subject = replace(self._answer.subject, evidence=evidence, contacts={})
        if material is not None:
            subject = replace(subject, filled=replace(subject.filled, material=material))
        left = Propagation(self._evaluation.changed(subject, self._moved), start=self._start)
        try:
            count = Count(left)
            up_to = [int(count.up_to(level)[0]) for level in LISTED]
        except TooWideError:
            spaces = spaces_of(left)
            up_to = [spaces[level].count() for level in LISTED]
        return Counts(up_to[0], up_to[1] - up_to[0], up_to[2] - up_to[1])
