"""Builds counted again and again with other soaks: the physics is solved once.

A soak changes what the rules about contacts say, and those look at one part at a time (that on
unnamed constituents at a stator and a seal, each by itself). So the space without these rules is
built once, and each supposed soak only leaves out parts of it. It holds for every soak that turns
an unknown contact into a pass or a fail: a part that is out already never comes back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.chemistry.evidence import Evidence
from configurator.engine import BuildSpace
from configurator.explain.counts import Counts
from configurator.request.material import Material
from configurator.rules import chemistry, swelling_fit
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import LISTED, State
from configurator.rules.narrowing import Narrowing
from configurator.workshop.answer import Answer
from configurator.workshop.answering import spaces_of

CONTACT_RULES = (*chemistry.RULES, *swelling_fit.RULES)
"""Rules whose verdict a soak can change."""

_NAMES = frozenset(rule.name for rule in CONTACT_RULES)

Flags = NDArray[np.bool_]


class Soaks:
    """Counts of one answer's builds under other findings of the shop.

    Parameters
    ----------
    answer : Answer
        The request solved as it stands.
    """

    def __init__(self, answer: Answer) -> None:
        self._answer = answer

    @cached_property
    def _spaces(self) -> Mapping[State, BuildSpace]:
        """Nested spaces of what all other rules let through, over the live parts."""
        others = tuple(
            applied for applied in self._answer.over_live if applied.rule.name not in _NAMES
        )
        return spaces_of(Narrowing(losses={}, live=dict(self._answer.live), over_live=others))

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
        heard = apply_rules(Case(subject, self._answer.grid.frame), CONTACT_RULES)
        up_to = [self._count(heard, level) for level in LISTED]
        return Counts(up_to[0], up_to[1] - up_to[0], up_to[2] - up_to[1])

    def _count(self, heard: tuple[Applied, ...], level: State) -> int:
        left: dict[str, Flags] = {}
        for applied in heard:
            for slot, passes in _by_slot(applied, level):
                left[slot] = passes & left.get(slot, passes)
        allowed = {
            slot: frozenset(int(place) for place in np.flatnonzero(passes))
            for slot, passes in left.items()
        }
        for slot, picked in self._answer.picks.items():
            wanted = frozenset({picked}) if isinstance(picked, int) else frozenset(picked)
            allowed[slot] = wanted & allowed.get(slot, wanted)
        return self._spaces[level].count(allowed)


def _by_slot(applied: Applied, level: State) -> Iterator[tuple[str, Flags]]:
    """Parts that a rule lets through, slot by slot; it must judge each slot by itself."""
    passes = applied.states <= level
    if not applied.scope:
        slot = applied.case.frame.slots[0]
        yield slot, np.full(len(applied.case.frame.parts[slot]), bool(passes.all()))
        return
    product: Flags = np.asarray(True)
    for axis, slot in enumerate(applied.scope):
        others = tuple(at for at in range(passes.ndim) if at != axis)
        alone: Flags = np.asarray(passes.any(axis=others))
        product = np.logical_and.outer(product, alone)
        yield slot, alone
    if not np.array_equal(product, passes):
        raise ValueError(f"'{applied.title}' does not judge each slot by itself")
