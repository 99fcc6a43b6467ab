"""From what the rules leave to a space of builds that can be counted, listed and picked from.

Rules over several slots see kinds of parts, so that a slot whose parts are not all kinds of their
own gets a second one beside it, which holds the kind. In a two-part build every rule on pressure
joins mixer, tip and the parts of a head: pairs of mixer and tip that no head tells apart become
one class, so that each side's tables stay narrow and the two sides meet in mixer and tip alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine import Relation, Threshold
from configurator.engine.arrays import AnyArray, IntArray, distinct
from configurator.engine.partition import Partition
from configurator.engine.table import Scope
from configurator.rules.finding import LISTED, State
from configurator.rules.mouths import heads
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import RuleTables

THRESHOLD_FROM = 20_000
"""Combinations from which a comparison is handed over as a threshold and no table."""

HALVES = 2
HELPER_MARK = "~"
"""Begins the name of a class slot."""


@dataclass
class _Constraints:
    """Relations, thresholds and the slots that stand beside the real ones."""

    relations: list[Relation] = field(default_factory=list)
    thresholds: list[Threshold] = field(default_factory=list)
    helpers: dict[str, int] = field(default_factory=dict)

    def define(self, definition: Relation) -> None:
        """Add a slot that a relation defines as a function of its other slots."""
        self.helpers[definition.name] = definition.allowed.shape[-1]
        self.relations.append(definition)


class SpaceTables:
    """All rules over the live parts, ready to be written for each level."""

    def __init__(self, left: Propagation, live: Mapping[str, IntArray]) -> None:
        self._left = left
        self._live = live
        self._states: dict[int, AnyArray] = {}
        kinds = left.evaluation.rules.kinds
        self._kind_of = {slot: kinds[slot].of[places] for slot, places in live.items()}
        self._kinds = {slot: distinct(numbers) for slot, numbers in self._kind_of.items()}
        self._rules = [each for each in left.tables if not each.always[State.FITS]]
        self._outlets: list[_Seen | _BothSides] = [*self._seen_by_heads(), *self._meetings()]
        covered = {id(rule) for group in self._outlets for rule in group.rules}
        self._plain = [rule for rule in self._rules if id(rule) not in covered]
        self._definitions = tuple(self._kind_slots())

    def kind_slot(self, slot: str) -> str:
        """The slot that holds the kind of a slot's part."""
        many = len(self._kinds[slot]) < len(self._live[slot])
        return f"{HELPER_MARK}kind of {slot}" if many else slot

    def over(self, scope: Scope) -> Scope:
        """Slots as the rules over several of them see them."""
        return tuple(map(self.kind_slot, scope))

    def _kind_slots(self) -> Iterator[Relation]:
        used = {slot for rule in self._rules for slot in rule.scope}
        for slot, numbers in self._kinds.items():
            name = self.kind_slot(slot)
            if name != slot and slot in used:
                yield Relation(name, (slot, name), self._kind_of[slot][:, None] == numbers)

    def states(self, rule: RuleTables) -> AnyArray:
        """State of each combination of live kinds; one axis a slot of the rule."""
        if id(rule) in self._states:
            return self._states[id(rule)]
        chosen = {slot: self._kinds[slot] for slot in rule.scope}
        shape = [len(chosen[slot]) for slot in rule.scope]
        states = np.full(shape, State.RULED_OUT, dtype=np.int8)
        for level in reversed(LISTED):
            states[np.broadcast_to(rule.laid_out(level, chosen).values[0], shape)] = level
        self._states[id(rule)] = states
        return states

    @cached_property
    def pairs_left(self) -> AnyArray:
        """Pairs of kinds of mixer and tip that the rules over those two alone let through."""
        allowed = np.ones([len(self._kinds[slot]) for slot in SHARED_SLOTS], dtype=np.bool_)
        for rule in self._rules:
            if rule.scope == SHARED_SLOTS:
                allowed &= self.states(rule) < State.RULED_OUT
        return allowed.reshape(-1)

    def _seen_by_heads(self) -> Iterator[_Seen]:
        by_head: dict[str, list[RuleTables]] = {}
        for rule in self._rules:
            of = [head for head in heads(rule.scope) if head]
            if len(of) == 1 and set(SHARED_SLOTS) & set(rule.scope):
                by_head.setdefault(of[0], []).append(rule)
        for head, rules in by_head.items():
            yield _Seen(self, head, rules)

    def _meetings(self) -> Iterator[_BothSides]:
        both: dict[Scope, list[RuleTables]] = {}
        for rule in self._rules:
            if len(heads(rule.scope)) > 1:
                both.setdefault(rule.scope, []).append(rule)
        for rules in both.values():
            yield _BothSides(self, rules)

    def sizes(self, scope: Scope) -> list[int]:
        """Kinds of each slot of a scope."""
        return [len(self._kinds[slot]) for slot in scope]

    def at(self, level: State) -> _Constraints:
        """Relations and thresholds that let builds through up to a level."""
        found = _Constraints()
        self._write_alone(level, found)
        for definition in self._definitions:
            found.define(definition)
        for rule in self._plain:
            if rule.total is None:
                self._write(rule, level, found)
        sums = [rule for rule in self._plain if rule.total is not None]
        if sums:
            # Sums differ by a scale alone: the one with the lowest ceiling implies the others.
            tightest = min(sums, key=lambda each: each.ceiling(level))
            if not tightest.always[level]:
                self._write_sum(tightest, level, found)
        for group in self._outlets:
            group.write(level, found)
        outlets = [each for group in self._outlets for each in group.outlets]
        if len(outlets) > 1:
            found.relations.append(_together(outlets))
        return found

    def _write_alone(self, level: State, found: _Constraints) -> None:
        """Rules that judge each part by itself; one that no part moves hangs on the first slot."""
        first = next(iter(self._live))
        for judgement, states in self._left.unary:
            if states.floor[0] > State.FITS:
                allowed = np.full(len(self._live[first]), bool(states.floor[0] <= level))
                found.relations.append(Relation(judgement.title, (first,), allowed))
            for slot, of_part in states.by_slot.items():
                here = of_part[0][self._live[slot]]
                if here.max(initial=State.FITS) > State.FITS:
                    found.relations.append(Relation(judgement.title, (slot,), here <= level))

    def _write(self, rule: RuleTables, level: State, found: _Constraints) -> None:
        title = rule.judgement.title
        threshold = self._threshold(rule, level)
        if threshold is not None:
            found.thresholds.append(threshold)
        else:
            allowed = self.states(rule) <= level
            found.relations.append(Relation(title, self.over(rule.scope), allowed))

    def _threshold(self, rule: RuleTables, level: State) -> Threshold | None:
        """The comparison as `need <= allow`, where a table would be wide and its sides are not."""
        if math.prod(self.sizes(rule.scope)) < THRESHOLD_FROM:
            return None
        halves = rule.halves(level, {slot: self._kinds[slot] for slot in rule.scope})
        if len(halves) < HALVES:
            return None
        need, allow = halves
        if not set(need.scope) - set(allow.scope) or not set(allow.scope) - set(need.scope):
            return None
        ranks = _ranks(need.values[0], allow.values[0])
        scopes = self.over(need.scope), self.over(allow.scope)
        return Threshold(rule.judgement.title, scopes[0], ranks[0], scopes[1], ranks[1])

    def _write_sum(self, rule: RuleTables, level: State, found: _Constraints) -> None:
        """One table, or one summand against what the other leaves."""
        title, ceiling = rule.judgement.title, rule.ceiling(level)
        first, second = rule.summands_over(self._kinds)
        if math.prod(self.sizes(rule.scope)) <= THRESHOLD_FROM:
            passes = first.over(rule.scope)[0] + second.over(rule.scope)[0] <= ceiling
            whole = np.broadcast_to(passes, self.sizes(rule.scope))
            found.relations.append(Relation(title, self.over(rule.scope), whole))
            return
        need, allow = (each.narrowed() for each in (first, second))
        ranks = _ranks(need.values[0], ceiling - allow.values[0])
        found.thresholds.append(
            Threshold(title, self.over(need.scope), ranks[0], self.over(allow.scope), ranks[1])
        )


def _ranks(need: AnyArray, allow: AnyArray) -> tuple[IntArray, IntArray]:
    """Whole numbers in the order of two arrays of floats, so that comparing them is exact."""
    steps = distinct(allow)
    return np.searchsorted(steps, need, side="left"), np.searchsorted(steps, allow, side="left")


def _class_slot(name: str, scope: Scope, classes: Partition, shape: Sequence[int]) -> Relation:
    """Definition of a class slot, which has the relation's name, over slots of a shape."""
    name = HELPER_MARK + name
    return Relation(name, (*scope, name), classes.membership(tuple(shape)))


def _classes(rows: AnyArray, kept: AnyArray | None) -> Partition:
    """Rows that hold the same together; those that are not kept are one class, the last.

    What another rule forbids anyway needs no class of its own, and yet a place: the definition
    of a class must not forbid what only that rule does, or it would hide it from a conflict.
    """
    found = Partition.by_row(rows, kept)
    if kept is None or kept.all():
        return found
    of = np.where(found.of < 0, len(found), found.of)
    return Partition(of, np.append(found.first, np.flatnonzero(~kept)[0]))


def _of_classes(states: AnyArray, classes: Partition, kept: AnyArray | None, axis: int) -> AnyArray:
    """States of one row of each class; the class of what is not kept forbids nothing."""
    found = np.take(states, classes.first, axis=axis)
    if kept is not None and not kept.all():
        np.moveaxis(found, axis, 0)[-1] = State.FITS
    return found


class _Seen:
    """Pairs of mixer and tip as the heads of one side see them."""

    def __init__(self, tables: SpaceTables, head: str, rules: list[RuleTables]) -> None:
        self.rules = rules
        pair = tables.sizes(SHARED_SLOTS)
        states = []
        for rule in rules:
            found = tables.states(rule)
            own = found.shape[: sum(slot not in SHARED_SLOTS for slot in rule.scope)]
            shared = [
                size if slot in rule.scope else 1
                for slot, size in zip(SHARED_SLOTS, pair, strict=True)
            ]
            every = np.broadcast_to(found.reshape(*own, *shared), (*own, *pair))
            states.append(every.reshape(*own, -1))
        seen = np.concatenate([each.reshape(-1, each.shape[-1]) for each in states]).T
        kept = tables.pairs_left
        classes = _classes(seen, kept)
        self._definition = _class_slot(
            f"mixer and tip as {head} sees them", tables.over(SHARED_SLOTS), classes, pair
        )
        self._tables = [
            (
                rule.judgement.title,
                tables.over(tuple(slot for slot in rule.scope if slot not in SHARED_SLOTS)),
                _of_classes(each, classes, kept, each.ndim - 1),
            )
            for rule, each in zip(rules, states, strict=True)
        ]
        self.outlets = ((self._definition.name, classes),)

    def write(self, level: State, found: _Constraints) -> None:
        """Add the rules over the class slot."""
        found.define(self._definition)
        for title, slots, states in self._tables:
            scope = (*slots, self._definition.name)
            found.relations.append(Relation(title, scope, states <= level))


class _BothSides:
    """Rules that join both sides, through mixer and tip or directly, over classes of each.

    Rules over the same slots (mass and moment) are one table: the worst of them decides.
    """

    def __init__(self, tables: SpaceTables, rules: list[RuleTables]) -> None:
        self.rules = rules
        self._title = " and ".join(rule.judgement.title for rule in rules)
        scope = rules[0].scope
        states = np.maximum.reduce([tables.states(rule) for rule in rules])
        sides = {
            "a": tuple(slot for slot in scope if slot.startswith("a.")),
            "b": tuple(slot for slot in scope if slot.startswith("b.")),
            "mixer and tip": tuple(slot for slot in SHARED_SLOTS if slot in scope),
        }
        states = states.reshape([math.prod(tables.sizes(slots)) for slots in sides.values()])
        self._definitions: list[Relation] = []
        self.outlets: tuple[tuple[str, Partition], ...] = ()
        for axis, (side, slots) in enumerate(sides.items()):
            rows = np.moveaxis(states, axis, 0)
            kept = tables.pairs_left if slots == SHARED_SLOTS else None
            classes = _classes(rows.reshape(len(rows), -1), kept)
            states = _of_classes(states, classes, kept, axis)
            if slots:
                name = f"{side} for {self._title}"
                made = _class_slot(name, tables.over(slots), classes, tables.sizes(slots))
                self._definitions.append(made)
                if slots == SHARED_SLOTS:
                    self.outlets = ((made.name, classes),)
        self._core = states.reshape(
            [size for size, slots in zip(states.shape, sides.values(), strict=True) if slots]
        )

    def write(self, level: State, found: _Constraints) -> None:
        """Add the rules over the class slots."""
        for definition in self._definitions:
            found.define(definition)
        scope = tuple(definition.name for definition in self._definitions)
        found.relations.append(Relation(self._title, scope, self._core <= level))


def _together(outlets: Sequence[tuple[str, Partition]]) -> Relation:
    """Which classes of mixer and tip occur together: implied, but it tells how few they are."""
    allowed = np.zeros([len(classes) for _, classes in outlets], dtype=np.bool_)
    rows = np.stack([classes.of for _, classes in outlets])
    allowed[tuple(rows)] = True
    scope = tuple(name for name, _ in outlets)
    return Relation(f"{HELPER_MARK}mixer and tip together", scope, allowed)
