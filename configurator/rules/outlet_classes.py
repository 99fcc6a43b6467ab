"""Mixer and tip as each side sees them: pairs that no head tells apart become one class.

In a two-part build every rule on pressure joins mixer, tip and the parts of a head. Thousands
of pairs of mixer and tip come down to few classes, so that each side's tables stay narrow and
the two sides meet in mixer and tip alone.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.rules.applied import Applied
from configurator.rules.classes import Classes, States, classes_of
from configurator.rules.comparison import Comparison
from configurator.rules.constraints import HELPER_MARK, Constraints
from configurator.rules.finding import LISTED, State
from configurator.solve import Relation


class OutletClasses:
    """The rules that join mixer and tip with heads, written over classes.

    Parameters
    ----------
    rules : sequence of Applied
        Decisive rules of one frame; those of a one-part material are left alone.
    """

    def __init__(self, rules: Sequence[Applied]) -> None:
        self._sides: dict[str, list[Applied]] = {}
        self._both: dict[tuple[str, ...], list[Applied]] = {}
        for rule in rules:
            heads = _heads(rule)
            if len(heads) > 1:
                self._both.setdefault(rule.scope, []).append(rule)
            elif heads and set(SHARED_SLOTS) & set(rule.scope):
                self._sides.setdefault(heads[0], []).append(rule)
        self._allowed = _allowed_pairs(rules)
        self._views = {
            prefix: _View(prefix, found, self._allowed) for prefix, found in self._sides.items()
        }
        self._meetings = [_Meeting(found, self._allowed) for found in self._both.values()]
        self._covered = {
            id(rule) for found in (*self._sides.values(), *self._both.values()) for rule in found
        }

    def covers(self, rule: Applied) -> bool:
        """True if the rule is written here."""
        return id(rule) in self._covered

    def write(self, level: State, found: Constraints) -> None:
        """Add the rules, and the helper slots that they are written over."""
        outlets: dict[str, Classes] = {}
        for view in self._views.values():
            outlets |= view.write(level, found)
        for meeting in self._meetings:
            outlets |= meeting.write(level, found)
        if len(outlets) > 1:
            found.relations.append(_joint(outlets))


def _heads(rule: Applied) -> tuple[str, ...]:
    """Prefixes of the sides whose parts a rule reads; none for a one-part material."""
    prefixes = {slot.partition(".")[0] + "." for slot in rule.scope if "." in slot}
    return tuple(sorted(prefixes))


def _pairs_last(rule: Applied) -> States:
    """States of a rule with the pairs of mixer and tip along the last axis."""
    states = rule.states
    heads = states.shape[: len(rule.scope) - len(set(rule.scope) & set(SHARED_SLOTS))]
    frame = rule.case.frame
    shared = [len(frame.parts[slot]) if slot in rule.scope else 1 for slot in SHARED_SLOTS]
    pairs = np.broadcast_to(states.reshape(*heads, *shared), (*heads, *_pair_shape(rule)))
    return pairs.reshape(*heads, -1)


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
        self._name = f"mixer and tip as {prefix.rstrip('.')} sees them"
        self._rules = rules
        self._shape = _pair_shape(rules[0])
        tables = [_pairs_last(rule) for rule in rules]
        seen = np.concatenate([table.reshape(-1, table.shape[-1]) for table in tables]).T
        self._classes: Classes = classes_of(seen, allowed)
        self._narrow = [table[..., self._classes.first] for table in tables]

    def write(self, level: State, found: Constraints) -> dict[str, Classes]:
        """Add the rules; return the helper slot over mixer and tip with its classes."""
        helper = found.define(self._name, SHARED_SLOTS, self._classes.membership(self._shape))
        for rule, states in zip(self._rules, self._narrow, strict=True):
            heads = tuple(slot for slot in rule.scope if slot not in SHARED_SLOTS)
            found.relations.append(Relation(rule.title, (*heads, helper), states <= level))
        return {helper: self._classes}


class _Meeting:
    """Rules that join both sides, through mixer and tip or directly, over classes of each.

    Rules over the same slots (mass and moment) are one table: the worst of them decides.
    """

    def __init__(self, rules: list[Applied], allowed: NDArray[np.bool_] | None) -> None:
        self._title = " and ".join(rule.title for rule in rules)
        scope, parts = rules[0].scope, rules[0].case.frame.parts
        self._scopes = (
            tuple(slot for slot in SHARED_SLOTS if slot in scope),
            tuple(slot for slot in scope if slot.startswith("a.")),
            tuple(slot for slot in scope if slot.startswith("b.")),
        )
        self._shapes = [tuple(len(parts[slot]) for slot in slots) for slots in self._scopes]
        states = np.maximum.reduce([_states_by_pair(rule, self._shapes) for rule in rules])
        self._classes: list[Classes] = []
        for axis, kept in enumerate(
            (allowed if self._scopes[0] == SHARED_SLOTS else None, None, None)
        ):
            rows = np.moveaxis(states, axis, 0)
            classes = classes_of(rows.reshape(len(rows), -1), kept)
            states = np.take(states, classes.first, axis=axis)
            self._classes.append(classes)
        self._core = states

    def write(self, level: State, found: Constraints) -> dict[str, Classes]:
        """Add the rules; return the helper slot over mixer and tip, if any, with its classes."""
        sides = ("mixer and tip", "a", "b")
        helpers = [
            found.define(f"{side} for {self._title}", scope, classes.membership(shape))
            for side, scope, classes, shape in zip(
                sides, self._scopes, self._classes, self._shapes, strict=True
            )
            if scope
        ]
        core = self._core if self._scopes[0] else self._core[0]
        found.relations.append(Relation(self._title, tuple(helpers), core <= level))
        return {helpers[0]: self._classes[0]} if self._scopes[0] == SHARED_SLOTS else {}


def _joint(outlets: dict[str, Classes]) -> Relation:
    """Which classes of mixer and tip occur together: implied, but it tells how few they are."""
    allowed = np.zeros([len(classes) for classes in outlets.values()], dtype=np.bool_)
    rows = np.stack([classes.of_row for classes in outlets.values()])
    allowed[tuple(rows[:, (rows >= 0).all(axis=0)])] = True
    return Relation(f"{HELPER_MARK}mixer and tip together", tuple(outlets), allowed)


def _states_by_pair(rule: Applied, shapes: Sequence[tuple[int, ...]]) -> States:
    """States of a rule over both sides; shape (pairs, heads of a, heads of b)."""
    outcome = rule.outcome
    assert isinstance(outcome, Comparison)  # words join no two sides
    pair, first, second = (int(np.prod(shape)) for shape in shapes)
    states = np.full((pair, first, second), State.RULED_OUT, dtype=np.int8)
    for level in reversed(LISTED):
        need, allow = (_sides_table(rule, values, shapes) for values in outcome.sides(level))
        passes = need <= allow if level < outcome.cap else np.ones_like(states, dtype=np.bool_)
        states[np.broadcast_to(passes, states.shape)] = level
    return states


def _sides_table(
    rule: Applied, values: NDArray[np.float64], shapes: Sequence[tuple[int, ...]]
) -> NDArray[np.float64]:
    """An array over the frame as (pairs, heads of a, heads of b), broadcastable."""
    scope = rule.scope
    frame = rule.case.frame
    axes = [frame.slots.index(slot) for slot in scope]
    full = values.reshape((1,) * (frame.ndim - values.ndim) + values.shape)
    narrow = full.reshape([full.shape[axis] for axis in axes])
    groups = {"a.": 1, "b.": 2}
    sizes = [1, 1, 1]
    spread = narrow
    for group in range(3):
        members = [at for at, slot in enumerate(scope) if groups.get(slot[:2], 0) == group]
        if any(narrow.shape[at] > 1 for at in members):
            target = list(spread.shape)
            for at in members:
                target[at] = len(frame.parts[scope[at]])
            spread = np.broadcast_to(spread, target)
            sizes[group] = int(np.prod(shapes[group]))
    sides_first = spread.reshape(sizes[1], sizes[2], sizes[0])
    return np.moveaxis(sides_first, 2, 0)
