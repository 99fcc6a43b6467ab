"""Rules that read no number of the flow: what they say is kept for the next material alike.

Chemistry, temperatures, hardness and the like hang on few fields of a material. Their outcome
over all parts is worked out once for each set of values of those fields.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import AnyArray
from configurator.request.material import Component
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.ruleset import Judgement
from configurator.rules.side import product_name
from configurator.rules.subject import Subject

States = NDArray[np.int8]

OF_A_COMPONENT = ("constituents", "complete", "sensitive_to")

BY_WEIGHT = "component.density"
"""A rule outside the flow that reads it hangs on a figure of its own for each material."""

MOST_KEPT = 1_000
"""Outcomes kept of one rule; with more, all are forgotten, so that memory stays flat."""


class UnlikeRuleError(Exception):
    """A rule over several slots does not judge each of them by itself: ask materials one by one."""


@dataclass(frozen=True, eq=False)
class PartStates:
    """What one rule says of each part by itself.

    Attributes
    ----------
    applied : Applied or None
        The rule over a grid of all parts; None where many materials were judged at once.
    by_slot : Mapping of str to ndarray of int8
        By slot, shape (problems or 1, parts).
    floor : ndarray of int8
        Shape (problems or 1,): what it says of every build alike.
    margins : ndarray or None
        Of the one slot, as the states; None for verdicts in words.
    """

    applied: Applied | None
    by_slot: Mapping[str, States]
    floor: States
    margins: AnyArray | None = None

    @property
    def worst(self) -> int:
        """The worst that it says of any part."""
        every = (self.floor, *self.by_slot.values())
        return max(int(states.max(initial=State.FITS)) for states in every)


def part_states(applied: Applied) -> PartStates:
    """Take what a rule says apart, slot by slot.

    Raises
    ------
    UnlikeRuleError
        If it judges several slots together.
    """
    states, scope = applied.states, applied.scope
    if states.size and (states == states.flat[0]).all():
        scope, floor = (), states.flat[:1]
    else:
        floor = states.reshape(-1)[:1] if not scope else np.zeros(1, dtype=np.int8)
    by_slot = {}
    together: States = np.asarray(floor[0])
    for axis, slot in enumerate(scope):
        others = tuple(at for at in range(states.ndim) if at != axis)
        alone = states.min(axis=others, initial=State.RULED_OUT)
        together = np.maximum.outer(together, alone)
        by_slot[slot] = np.asarray(alone, dtype=np.int8)[np.newaxis]
    if scope and not np.array_equal(together, states):
        raise UnlikeRuleError(applied.title)
    margins = None
    if isinstance(applied.outcome, Comparison) and len(applied.scope) == 1:
        margins = applied.table(applied.outcome.margins)[np.newaxis]
        by_slot.setdefault(applied.scope[0], applied.states[np.newaxis])
        floor = np.zeros(1, dtype=np.int8)
    return PartStates(applied, by_slot, np.asarray(floor, dtype=np.int8), margins)


class CategoricalRules:
    """Outcomes by what rules read of a material."""

    def __init__(self) -> None:
        self._known: dict[int, dict[Hashable, PartStates | None]] = {}

    def hear(self, judgement: Judgement, case: Case) -> PartStates | None:
        """What a rule says of one material; None if the request does not ask for it.

        Parameters
        ----------
        judgement : Judgement
            A rule that hangs on no number of the flow.
        case : Case
            The material over a grid of all parts.
        """
        known = self._known.setdefault(judgement.number, {})
        key = _read_by(judgement, case)
        if key not in known:
            if len(known) >= MOST_KEPT:
                known.clear()
            side = next(each for each in case.sides if each.prefix == judgement.prefix)
            applied = apply_rule(case, judgement.rule, side)
            known[key] = None if applied is None else part_states(applied)
        return known[key]


def _read_by(judgement: Judgement, case: Case) -> Hashable:
    """The values of a material that a rule reads."""
    if judgement.fixed:
        return ()
    sides = [side for side in case.sides if judgement.rule.whole or side.prefix == judgement.prefix]
    return tuple(
        (
            case.material.trigger,
            _of_component(judgement, side.component),
            _of_findings(judgement, case.subject, side.prefix),
        )
        for side in sides
    )


def _of_component(judgement: Judgement, component: Component) -> Hashable:
    asks = judgement.rule.asks
    chemistry = tuple(getattr(component, name) for name in OF_A_COMPONENT)
    filler = component.filler
    if filler is None or not any(ask.startswith("component.filler") for ask in asks):
        return chemistry
    mohs = filler.mohs
    hardness = None if mohs is None else (mohs.low, mohs.nominal, mohs.high, mohs.basis)
    # How much of a material goes unnamed hangs on the weight of its filler.
    weighs = BY_WEIGHT in asks and not component.complete
    weight = (_ends(component.density), _ends(filler.volume_fraction)) if weighs else ()
    return chemistry, (filler.name, filler.shape, filler.hollow), hardness, weight


def _of_findings(judgement: Judgement, subject: Subject, prefix: str) -> Hashable:
    """The name under which the shop has findings on a component; none where it has none."""
    product = product_name(subject.question.material, prefix)
    held = judgement.rule.family == "chemistry" and subject.evidence.speaks_of(product)
    return product if held else None


def _ends(quantity: object) -> Hashable:
    return tuple(getattr(quantity, end, None) for end in ("low", "high"))
