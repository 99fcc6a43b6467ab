"""States of rules over the kinds of parts that they tell apart, not over every part.

Most rules read few figures of a part: all stators of rubber slip alike. Such parts are one kind
to the rule, and its table is worked out once a kind.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.rules.applied import Applied
from configurator.rules.classes import Classes, Places, States, classes_along
from configurator.rules.comparison import Comparison


def states_by_kind(rules: Sequence[Applied]) -> tuple[States, tuple[Classes, ...]]:
    """The worst of some rules over one scope, over kinds of the heads' parts.

    Parameters
    ----------
    rules : sequence of Applied
        Rules of one frame with the same scope.

    Returns
    -------
    states : ndarray of int8
        One axis a slot of the scope: its kinds, or its parts for mixer and tip.
    kinds : tuple of Classes
        Partition of the parts of each slot of the scope.
    """
    frame, scope = rules[0].case.frame, rules[0].scope
    kinds = {slot: _kinds(rules, slot) for slot in scope}
    kept = {
        frame.slots.index(slot): found.first
        for slot, found in kinds.items()
        if len(found) < len(found.of_row)
    }
    sizes = [len(kinds[slot]) if slot in kinds else 1 for slot in frame.slots]
    worst = np.maximum.reduce(
        [np.broadcast_to(rule.outcome.cut(kept).states, sizes) for rule in rules]
    )
    return worst.reshape([len(kinds[slot]) for slot in scope]), tuple(kinds.values())


def combined(kinds: Sequence[Classes]) -> Places:
    """For every combination of parts of some slots, the number of its combination of kinds."""
    places = np.zeros(1, dtype=np.intp)
    for found in kinds:
        places = (places[:, None] * len(found) + found.of_row).reshape(-1)
    return places


def _kinds(rules: Sequence[Applied], slot: str) -> Classes:
    frame = rules[0].case.frame
    size = len(frame.parts[slot])
    outcomes = [rule.outcome for rule in rules]
    comparisons = [outcome for outcome in outcomes if isinstance(outcome, Comparison)]
    if slot in SHARED_SLOTS or len(comparisons) < len(outcomes):
        return Classes(np.arange(size), np.arange(size))  # words are over few parts anyway
    figures = [
        values.reshape((1,) * (frame.ndim - values.ndim) + values.shape)
        for outcome in comparisons
        for bound in (outcome.demand, outcome.limit)
        for values in {id(end): end for end in (bound.kind, bound.nominal, bound.hard)}.values()
    ]
    return classes_along(figures, frame.slots.index(slot), size)
