"""Mixer and tip as each side sees them: pairs that no head tells apart become one class.

In a two-part build every rule on pressure joins mixer, tip and the parts of a head. Thousands
of pairs of mixer and tip come down to few classes, so that each side's tables stay narrow and
the two sides meet in mixer and tip alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import prod

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine import Relation
from configurator.rules.applied import Applied
from configurator.rules.classes import Classes, Places, States, classes_of
from configurator.rules.constraints import HELPER_MARK, Constraints, helper_of
from configurator.rules.finding import State
from configurator.rules.kinds import combined, states_by_kind


class OutletClasses:
    """The rules that join mixer and tip with heads, written over classes.

    Parameters
    ----------
    rules : sequence of Applied
        Decisive rules of one frame; those of a one-part material are left alone.
    """

    def __init__(self, rules: Sequence[Applied]) -> None:
        sides: dict[str, list[Applied]] = {}
        both: dict[tuple[str, ...], list[Applied]] = {}
        for rule in rules:
            heads = _heads(rule)
            if len(heads) > 1:
                both.setdefault(rule.scope, []).append(rule)
            elif heads and set(SHARED_SLOTS) & set(rule.scope):
                sides.setdefault(heads[0], []).append(rule)
        allowed = _allowed_pairs(rules)
        self._groups: list[_View | _Meeting] = [
            *(_View(prefix, found, allowed) for prefix, found in sides.items()),
            *(_Meeting(found, allowed) for found in both.values()),
        ]
        self._covered = {id(rule) for found in (*sides.values(), *both.values()) for rule in found}
        outlets: dict[str, Classes] = {}
        for group in self._groups:
            outlets |= group.outlets
        self._joint = _joint(outlets) if len(outlets) > 1 else None

    def covers(self, rule: Applied) -> bool:
        """True if the rule is written here."""
        return id(rule) in self._covered

    def write(self, level: State, found: Constraints) -> None:
        """Add the rules, and the helper slots that they are written over."""
        for group in self._groups:
            group.write(level, found)
        if self._joint is not None:
            found.relations.append(self._joint)


def _heads(rule: Applied) -> tuple[str, ...]:
    """Prefixes of the sides whose parts a rule reads; none for a one-part material."""
    prefixes = {slot.partition(".")[0] + "." for slot in rule.scope if "." in slot}
    return tuple(sorted(prefixes))


def _pair_shape(rule: Applied) -> tuple[int, ...]:
    return tuple(len(rule.case.frame.parts[slot]) for slot in SHARED_SLOTS)


def _allowed_pairs(rules: Sequence[Applied]) -> NDArray[np.bool_] | None:
    """Pairs of mixer and tip that the rules over those two alone let through."""
    if not rules:
        return None
    allowed = np.ones(_pair_shape(rules[0]), dtype=np.bool_)
    for rule in rules:
        if rule.scope == SHARED_SLOTS:
            allowed &= rule.states < State.RULED_OUT
    return allowed.reshape(-1)


class _View:
    """Pairs of mixer and tip as the heads of one side see them."""

    def __init__(
        self, prefix: str, rules: list[Applied], allowed: NDArray[np.bool_] | None
    ) -> None:
        tables = [_pairs_last(rule) for rule in rules]
        seen = np.concatenate([states.reshape(-1, states.shape[-1]) for states, _ in tables]).T
        classes = classes_of(seen, allowed)
        name = f"mixer and tip as {prefix.rstrip('.')} sees them"
        self._helper = helper_of(name, SHARED_SLOTS, classes.membership(_pair_shape(rules[0])))
        self._rules = [
            (rule, states[..., classes.first][np.ix_(*heads, np.arange(len(classes)))])
            for rule, (states, heads) in zip(rules, tables, strict=True)
        ]
        self.outlets = {self._helper.name: classes}

    def write(self, level: State, found: Constraints) -> None:
        """Add the rules over the helper slot."""
        found.define(self._helper)
        for rule, states in self._rules:
            heads = tuple(slot for slot in rule.scope if slot not in SHARED_SLOTS)
            scope = (*heads, self._helper.name)
            found.relations.append(Relation(rule.title, scope, states <= level))


def _pairs_last(rule: Applied) -> tuple[States, list[Places]]:
    """States over the kinds of the heads' parts and over pairs of mixer and tip.

    Returns
    -------
    states : ndarray of int8
        One axis a slot of the heads, then one for the pairs.
    heads : list of ndarray of int
        For each slot of the heads, the kind of each of its parts.
    """
    states, kinds = states_by_kind([rule])
    parts = rule.case.frame.parts
    heads = [
        found.of_row
        for slot, found in zip(rule.scope, kinds, strict=True)
        if slot not in SHARED_SLOTS
    ]
    lead = states.shape[: len(heads)]
    shared = [len(parts[slot]) if slot in rule.scope else 1 for slot in SHARED_SLOTS]
    pairs = np.broadcast_to(states.reshape(*lead, *shared), (*lead, *_pair_shape(rule)))
    return pairs.reshape(*lead, -1), heads


class _Meeting:
    """Rules that join both sides, through mixer and tip or directly, over classes of each.

    Rules over the same slots (mass and moment) are one table: the worst of them decides.
    """

    def __init__(self, rules: list[Applied], allowed: NDArray[np.bool_] | None) -> None:
        self._title = " and ".join(rule.title for rule in rules)
        scope, parts = rules[0].scope, rules[0].case.frame.parts
        states, kinds = states_by_kind(rules)
        by_slot = dict(zip(scope, kinds, strict=True))
        sides = {
            "a": tuple(slot for slot in scope if slot.startswith("a.")),
            "b": tuple(slot for slot in scope if slot.startswith("b.")),
            "mixer and tip": tuple(slot for slot in SHARED_SLOTS if slot in scope),
        }
        sizes = [prod(len(by_slot[slot]) for slot in slots) for slots in sides.values()]
        states = states.reshape(sizes)
        self._helpers = []
        self.outlets: dict[str, Classes] = {}
        for axis, (side, slots) in enumerate(sides.items()):
            rows = np.moveaxis(states, axis, 0)
            found = classes_of(
                rows.reshape(len(rows), -1), allowed if slots == SHARED_SLOTS else None
            )
            states = np.take(states, found.first, axis=axis)
            if slots:
                every = found.spread(combined([by_slot[slot] for slot in slots]))
                shape = tuple(len(parts[slot]) for slot in slots)
                helper = helper_of(f"{side} for {self._title}", slots, every.membership(shape))
                self._helpers.append(helper)
                if slots == SHARED_SLOTS:
                    self.outlets[helper.name] = every
        self._core = states.reshape(
            [size for size, slots in zip(states.shape, sides.values(), strict=True) if slots]
        )

    def write(self, level: State, found: Constraints) -> None:
        """Add the rules over the helper slots."""
        for helper in self._helpers:
            found.define(helper)
        scope = tuple(helper.name for helper in self._helpers)
        found.relations.append(Relation(self._title, scope, self._core <= level))


def _joint(outlets: dict[str, Classes]) -> Relation:
    """Which classes of mixer and tip occur together: implied, but it tells how few they are."""
    allowed = np.zeros([len(classes) for classes in outlets.values()], dtype=np.bool_)
    rows = np.stack([classes.of_row for classes in outlets.values()])
    allowed[tuple(rows[:, (rows >= 0).all(axis=0)])] = True
    return Relation(f"{HELPER_MARK}mixer and tip together", tuple(outlets), allowed)
