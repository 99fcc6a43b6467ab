"""Parts, pairs of mixer and tip and sides of builds up to a level, with what they add to the key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.best_first import NEVER, Chain, summed
from configurator.engine.partition import Partition
from configurator.engine.table import Scope, Table
from configurator.rules.counting import Count
from configurator.rules.finding import State
from configurator.rules.held_rule import HeldRule
from configurator.rules.mouths import Mouths, heads
from configurator.rules.outcome import WORD_STEPS
from configurator.rules.prices import Prices, price_of
from configurator.rules.rule_tables import RuleTables
from configurator.rules.side_slices import CLASS, SideSlice


class PricedParts:
    """What the search for builds in order looks at.

    Parameters
    ----------
    count : Count
        The builds.
    level : State
        Up to which.
    prices : Prices
        What makes the key.
    rows : ndarray of int, optional
        Which of the requests; all without it.
    allowed : Mapping of str to ndarray of bool, optional
        By slot, the parts that may stand beside what the rules say.
    figure : sequence of Table, optional
        Whole numbers over the parts of `live`, whose sum leads the key; flags say what is listed.
    live : Mapping of str to ndarray of int, optional
        By slot, the parts that are in question at all; all without it.
    held : sequence of HeldRule, optional
        Rules that must be kept with a share of their limits left.

    Attributes
    ----------
    rows, own : ndarray of int
        Of each pair of mixer and tip, by their names: its request, and what it costs.
    parts : dict of str to ndarray of int
        By shared slot, the part of each pair.
    """

    def __init__(
        self,
        count: Count,
        level: State,
        prices: Prices,
        *,
        rows: IntArray | None = None,
        allowed: Mapping[str, BoolArray] | None = None,
        figure: Sequence[Table] = (),
        live: Mapping[str, IntArray] | None = None,
        held: Sequence[HeldRule] = (),
    ) -> None:
        self.count, self.level, self.prices, self.held = count, level, prices, held
        left = count.left
        self.slots = left.evaluation.rules.frame.slots
        self.kinds = {slot: each.of for slot, each in left.evaluation.rules.kinds.items()}
        self.standing = {
            slot: left.stages[-1][slot] & (states <= level) & ((allowed or {}).get(slot, True))
            for slot, states in left.parts.items()
        }
        sizes = {slot: states.shape[1] for slot, states in left.parts.items()}
        live = live or {slot: np.arange(size) for slot, size in sizes.items()}
        self.at = {slot: np.zeros(size, dtype=np.intp) for slot, size in sizes.items()}
        for slot, places in live.items():
            self.at[slot][places] = np.arange(len(places))
        self._stack_prices(figure, live)
        self._rows = np.arange(len(left.floor)) if rows is None else rows
        self._find_mouths()
        two = len(count.sides) > 1
        self.meetings: list[RuleTables]
        self.joint = [each for each in self.several if two and len(heads(each.scope)) > 1]
        self.meetings = [
            each
            for each in {id(e): e for e in (*count.joint[level], *count.told)}.values()
            if two and len(heads(each.scope)) > 1 and (prices.step or not each.always[level])
        ]
        self.sides = [
            [Cut(self, each) for each in slices if self._has_parts(each)] for slices in count.sides
        ]

    def _stack_prices(self, figure: Sequence[Table], live: Mapping[str, IntArray]) -> None:
        """Costs of single parts, and what is over parts of several slots."""
        alone = {slot: self.prices.costs[slot][np.newaxis] for slot in self.slots}
        self.several: list[Table] = []
        for _, said in self.count.left.unary if self.prices.step else ():
            words = {s: np.take(WORD_STEPS, each) for s, each in said.by_slot.items()}
            if len(words) > 1:  # the worst of its parts decides
                (one, first), (other, second) = words.items()
                first, second = first[:, live[one]], second[:, live[other]]
                worst = np.maximum(first[:, :, np.newaxis], second[:, np.newaxis])
                self.several.append(Table((one, other), worst * self.prices.step))
                continue
            for slot, steps in words.items():
                depth = steps if said.depth is None else said.depth
                alone[slot] = alone[slot] + depth * self.prices.step
                if said.strain is not None:
                    alone[slot] = alone[slot] + said.strain * self.prices.comfort
        for table in figure:
            if table.of_flags and len(table.scope) == 1:
                (slot,) = table.scope
                self.standing[slot] = self.standing[slot] & table.values[:, self.at[slot]]
                continue
            span = 1 if table.of_flags else self.prices.span
            priced = table if span == 1 else Table(table.scope, table.values * span)
            if len(table.scope) == 1:
                (slot,) = table.scope
                alone[slot] = alone[slot] + priced.values[:, self.at[slot]]
            else:
                self.several.append(priced)
        self.alone = {s: np.where(self.standing[s], each, NEVER) for s, each in alone.items()}

    def _find_mouths(self) -> None:
        """Pairs of parts for mixer and tip, by name, and what each costs."""
        kinds, stand = self.count.mouths, [self.standing[slot] for slot in SHARED_SLOTS]
        passes = np.ones(len(kinds), dtype=np.bool_)
        for rule in self.count.of_mouths[self.level]:
            passes &= rule.laid_out(self.level, {}, kinds).values
        sizes = [1 + int(self.kinds[slot].max(initial=-1)) for slot in SHARED_SLOTS]
        number = np.full((len(stand[0]), *sizes), -1)
        which = np.flatnonzero(passes)
        number[kinds.rows[which], *(kinds.kinds[slot][which] for slot in SHARED_SLOTS)] = which
        of = np.ix_(np.arange(len(number)), *(self.kinds[slot] for slot in SHARED_SLOTS))
        every = np.where(stand[0][:, :, np.newaxis] & stand[1][:, np.newaxis], number[of], -1)
        every[self.count.left.floor > self.level] = -1
        asked = np.zeros(len(every), dtype=np.bool_)
        asked[self._rows] = True
        every[~asked] = -1
        self.rows, *places = np.nonzero(every >= 0)
        self.number = every[every >= 0]
        self.parts = dict(zip(SHARED_SLOTS, places, strict=True))
        self.mouths = kinds.only(self.number)
        self.pairs = Mouths(self.rows, self.parts)
        own = [self.pairs.of(Table((s,), self.alone[s])) for s in SHARED_SLOTS]
        own += [
            self.pairs.of(each, self.at)
            for each in self.several
            if set(each.scope) <= set(SHARED_SLOTS)
        ]
        for rule in self.count.told:
            if not heads(rule.scope):
                own += [p for p in [price_of(rule, self.prices, {}, self.mouths)] if p is not None]
        own += [each.flags({}, self.mouths) for each in self.held if not heads(each.rule.scope)]
        self.own = np.broadcast_to(summed(own, ()), (len(self.rows),))

    def _has_parts(self, cut: SideSlice) -> bool:
        return all(
            np.isin(self.kinds[slot][self.stands_anywhere(slot)], chosen).any()
            for slot, chosen in cut.chosen.items()
        )

    def stands_anywhere(self, slot: str) -> BoolArray:
        """Which parts of a slot stand in any of the requests in question."""
        return np.asarray(self.standing[slot][self._rows].any(axis=0))

    def joined(
        self, which: IntArray, parts: Mapping[str, IntArray], kinds: Mapping[str, IntArray]
    ) -> Iterator[Table]:
        """Flags and costs of what reads both sides, behind some pairs of mixer and tip."""
        for table in self.joint:
            yield self.pairs.only(which).of(table, self.at).at(self.places(parts))
        behind, mouths = self.number[which], self.mouths.only(which)
        for rule in self.meetings:
            allowed = None
            if not rule.always[self.level]:
                allowed = rule.laid_out(self.level, kinds, mouths, behind)
            if allowed is not None and not allowed.allows_all:  # here most let everything through
                yield allowed
            price = price_of(rule, self.prices, kinds, mouths, behind)
            if price is not None:
                yield price
        for each in self.held:
            if len(heads(each.rule.scope)) > 1:
                yield each.flags(kinds, mouths, behind)

    def places(self, parts: Mapping[str, IntArray]) -> dict[str, IntArray]:
        """Where parts stand among those in question."""
        return {slot: self.at[slot][places] for slot, places in parts.items()}


class Cut:
    """A side's parts under one size, with what they cost."""

    def __init__(self, priced: PricedParts, cut: SideSlice) -> None:
        self.parts: dict[str, IntArray] = {}
        self.kinds: dict[str, IntArray] = {}
        at: dict[str, IntArray] = {}
        for slot, chosen in cut.chosen.items():
            place = np.full(1 + max(int(priced.kinds[slot].max()), int(chosen.max())), -1)
            place[chosen] = np.arange(len(chosen))
            of = place[priced.kinds[slot]]
            self.parts[slot] = np.flatnonzero((of >= 0) & priced.stands_anywhere(slot))
            at[slot] = of[self.parts[slot]]
            self.kinds[slot] = priced.kinds[slot][self.parts[slot]]
        self.sizes = {slot: len(parts) for slot, parts in self.parts.items()}
        place = np.minimum(np.searchsorted(cut.which, priced.number), len(cut.which) - 1)
        self.stands = cut.which[place] == priced.number
        self._place, self._of = place, cut.of
        alone = [Table((s,), priced.alone[s][:, parts]) for s, parts in self.parts.items()]
        laid = cut.laid[priced.level]
        self._rows = alone + [each.table.at(at) for each in laid if not each.at_mouths]
        self._flags = [each.table.at(at) for each in laid if each.at_mouths]
        self._figures: list[Table] = []
        for table in priced.several:
            if set(table.scope) <= set(self.sizes):
                self._rows.append(table.at(priced.places(self.parts)))
            elif set(table.scope) <= {*self.sizes, *SHARED_SLOTS}:
                self._figures.append(table)
        self._told: list[tuple[RuleTables, IntArray | None]] = []
        for rule, which in cut.told if priced.prices.comfort else ():
            if rule.is_behind or set(SHARED_SLOTS) & set(rule.scope):
                self._told.append((rule, which))
            else:
                price = price_of(rule, priced.prices, self.kinds)
                self._rows += [] if price is None else [price]
        self._held: list[HeldRule] = []
        for each in priced.held:
            own = set(each.rule.scope) - set(SHARED_SLOTS)
            if own and own <= set(self.sizes):
                if len(own) == len(each.rule.scope):
                    self._rows.append(each.flags(self.kinds, None))
                else:
                    self._held.append(each)
        joint = [each.scope for each in priced.joint] + [each.scope for each in priced.meetings]
        joint += [each.rule.scope for each in priced.held if len(heads(each.rule.scope)) > 1]
        self.cells = tuple(s for s in self.sizes if any(s in scope for scope in joint))

    def least(self) -> IntArray:
        """Least cost of each request, whatever mixer and tip; shape (problems or 1,)."""
        return Chain(self._rows, self.sizes).root

    @property
    def classes(self) -> IntArray:
        """The class of each pair of mixer and tip: none of the rules tells its pairs apart."""
        return np.asarray(self._of[self._place])

    def chain(self, priced: PricedParts, which: IntArray, first: Scope | None = None) -> Chain:
        """Least costs behind some of the pairs of mixer and tip of what it is cut from.

        The first slots are chosen together.
        """
        place = self._place[which]
        tables = [table.of_problems(priced.rows[which]) for table in self._rows]
        tables += [table.of_problems(self._of[place]) for table in self._flags]
        tables.append(Table((), self.stands[which]))
        pairs, places = priced.pairs.only(which), priced.places(self.parts)
        tables += [pairs.of(table, priced.at).at(places) for table in self._figures]
        mouths = priced.mouths.only(which)
        tables += [each.flags(self.kinds, mouths) for each in self._held]
        for rule, behind in self._told:
            price = price_of(
                rule, priced.prices, self.kinds, mouths, None if behind is None else behind[place]
            )
            tables += [] if price is None else [price]
        return Chain(tables, self.sizes, self.cells if first is None else first)


@dataclass(frozen=True, eq=False)
class PricedSide:
    """A side's parts under one size behind some pairs of mixer and tip."""

    cut: Cut
    chain: Chain


class Met:
    """All sides, each under one size, behind some pairs of mixer and tip."""

    def __init__(
        self,
        priced: PricedParts,
        which: IntArray,
        sides: tuple[PricedSide, ...],
        problems: IntArray,
    ) -> None:
        self.parts = {s: places for side in sides for s, places in side.cut.parts.items()}
        kinds = {slot: places for side in sides for slot, places in side.cut.kinds.items()}
        sizes = {slot: side.cut.sizes[slot] for side in sides for slot in side.cut.cells}
        roots = [Table(side.cut.cells, side.chain.root).of_problems(problems) for side in sides]
        tables = [Table((), priced.own[which]), *roots]
        if len(sides) > 1:
            joined = list(priced.joined(which, self.parts, kinds))
            classes = _told_apart(joined, sizes)
            tables += _over_classes(joined, classes)
            sizes |= {f"{CLASS}{slot}": len(each) for slot, each in classes.items()}
        first = Chain(tables, sizes)
        self.root = first.root
        self.slots = [(slot, first, np.arange(len(which))) for slot in first.slots]
        self.slots += [(slot, side.chain, problems) for side in sides for slot in side.chain.slots]
        """Slots in the order of the search, each with its chain and the problems in that."""


def _told_apart(tables: Sequence[Table], sizes: Mapping[str, int]) -> dict[str, Partition]:
    """By slot, the values that no table tells apart."""
    laid = [table.over(tuple(sizes)) for table in tables]
    every = enumerate(sizes.items(), start=1)
    return {slot: Partition.along(laid, axis, size) for axis, (slot, size) in every}


def _over_classes(tables: Sequence[Table], classes: Mapping[str, Partition]) -> Iterator[Table]:
    """Tables over classes in place of values, and which value is in which: joins are far smaller."""
    first = {slot: each.first for slot, each in classes.items()}
    for table in tables:
        yield Table(tuple(f"{CLASS}{slot}" for slot in table.scope), table.at(first).values)
    for slot, each in classes.items():
        members = each.membership((len(each.of),))[np.newaxis]
        yield Table((slot, f"{CLASS}{slot}"), members)
