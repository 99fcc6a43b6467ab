"""How many builds are left up to each level, whether there is one, and the first of the list.

The problem is cut by the slot of each side that most parts are made for (the size): under one
size few parts of the other slots stand, so that tables are small, and the sizes add up.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import IntArray
from configurator.engine.eliminate import NEVER, counts, exists, least
from configurator.engine.table import Table
from configurator.rules.class_slots import HELPER_MARK
from configurator.rules.finding import LISTED, State
from configurator.rules.order import BuildOrder
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import Places, RuleTables
from configurator.rules.ruleset import COARSE

LAST_STAGE = 2
"""When rules over many combinations are heard: all pairs of slots have been heard by then."""


def head_first(slot: str) -> int:
    """Heads first, then what each side looks like to the other, then what both share."""
    if slot.startswith(HELPER_MARK):
        return 1
    return 2 if slot in SHARED_SLOTS else 0


class Count:
    """Builds of the requests of one propagation.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    number : int, optional
        How many of the rules over several slots are heard; all without it.
    rows : ndarray of int, optional
        Some of the problems alone.
    """

    def __init__(
        self, left: Propagation, number: int | None = None, rows: IntArray | None = None
    ) -> None:
        self._left = left
        self._rows = rows
        problems = left.evaluation.problems
        self.problems = problems if rows is None else len(rows)
        # Later stages were heard for what the earlier ones leave alone.
        self._tables = left.tables if number is None else left.tables[:number]
        stage = max((each.judgement.stage for each in self._tables), default=1)
        self._alive = left.stages[min(stage, LAST_STAGE)]
        self._decisive = {level: tuple(_decisive(self._tables, level)) for level in LISTED}
        self.suspects = list(self._decisive[LISTED[-1]])
        """Rules in the order in which they are asked whether they forbid all of a slice."""
        self._numbers: dict[State, dict[str, NDArray[np.float64]]] = {}
        self._found: dict[State, NDArray[np.float64]] = {}
        self._floor = left.floor if rows is None else left.floor[rows]
        self._cuts = tuple(self._cut_up())

    def up_to(self, level: State) -> NDArray[np.float64]:
        """Builds of each problem up to a level, exact.

        Raises
        ------
        TooWideError
            If the engine has to give up.
        """
        if level not in self._found:
            total = np.zeros(self.problems)
            for cut in self._cuts:
                if cut.may_hold(level):
                    total = total + cut.count(level)
            self._found[level] = np.where(self._floor <= level, total, 0.0)
        return self._found[level]

    def some(self, level: State) -> NDArray[np.bool_]:
        """Whether each problem has a build up to a level."""
        found = np.zeros(self.problems, dtype=np.bool_)
        for cut in self._cuts:
            if found.all():
                break
            if cut.may_hold(level):
                found = found | cut.some(level)
        return found & (self._floor <= level)

    def first(self, level: State, rows: IntArray, order: BuildOrder) -> IntArray:
        """Places of the parts of the first build up to a level; shape (problems, slots).

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        rows : ndarray of int
            Which of the problems; those without a build get places that mean nothing.
        order : BuildOrder
            What comes first.
        """
        best: IntArray = np.full((order.digits, len(rows)), NEVER, dtype=np.int64)
        best[1:] = 0
        for cut in self._cuts:
            found = np.stack(cut.least(level, rows, order))
            sooner = order.sooner(found, best)
            best = np.where(sooner, found, best)
        return order.places_of(np.where(best[0] < NEVER, best, 0))

    def any(self, level: State, order: BuildOrder) -> IntArray | None:
        """Places of the parts of some build up to a level; None if the one request has none.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        order : BuildOrder
            Of the parts, for want of a better choice.
        """
        if self._floor[0] <= level:
            for cut in self._cuts:
                if cut.may_hold(level) and cut.some(level)[0]:
                    found = np.stack(cut.least(level, np.zeros(1, dtype=np.intp), order))
                    return np.asarray(order.places_of(found)[0])
        return None

    def _cut_up(self) -> Iterator[_Slice]:
        """The live kinds under each kind of the slot that most pairs of slots hold."""
        kinds = self._left.evaluation.rules.kinds
        rows = self._rows
        live = {
            slot: np.flatnonzero(
                kinds[slot].any_of(np.asarray((flags if rows is None else flags[rows]).any(axis=0)))
            )
            for slot, flags in self._alive.items()
        }
        pairs = [e for e in self._tables if e.judgement.stage < LAST_STAGE and e.is_pair]
        pivots = _pivots(pairs)
        done = frozenset(id(e) for e in pairs if set(pivots) & set(e.scope))
        for chosen in product(*(live[slot] for slot in pivots)):
            here = dict(live)
            for pivot, kind in zip(pivots, chosen, strict=True):
                here[pivot] = np.array([kind])
            here = _beside(here, pivots, [e for e in pairs if id(e) in done])
            if all(len(places) for places in here.values()):
                for part in _split(here, self._tables):
                    cut = _Slice(self, part, done)
                    if not cut.forbidden:
                        yield cut

    def numbers(self, level: State) -> dict[str, NDArray[np.float64]]:
        """By slot, how many parts of each kind the rules on that slot let through to a level."""
        if level not in self._numbers:
            kinds, begin = self._left.evaluation.rules.kinds, self._left.stages[0]
            found = {}
            for slot, states in self._left.parts.items():
                passes = begin[slot] & (states <= level)
                found[slot] = kinds[slot].number_of(
                    passes if self._rows is None else passes[self._rows]
                )
            for other, known in self._numbers.items():
                if all(np.array_equal(found[slot], known[slot]) for slot in found):
                    found = self._numbers[other]
                    break
            self._numbers[level] = found
        return self._numbers[level]

    def keys(
        self, level: State, rows: IntArray, order: BuildOrder
    ) -> dict[str, tuple[IntArray, ...]]:
        """By slot, the digits of the first part of each kind that passes up to a level."""
        kinds, begin = self._left.evaluation.rules.kinds, self._left.stages[0]
        return {
            slot: order.first_of(slot, kinds[slot], (begin[slot] & (states <= level))[rows])
            for slot, states in self._left.parts.items()
        }

    def decisive(self, level: State) -> tuple[RuleTables, ...]:
        """Rules that may decide at a level."""
        return self._decisive[level]

    @property
    def rows(self) -> IntArray | None:
        """Which problems are counted; None for all."""
        return self._rows


def _pivots(pairs: Sequence[RuleTables]) -> tuple[str, ...]:
    """For each side the slot that most pairs of its slots hold."""
    held: dict[str, Counter[str]] = {}
    for each in pairs:
        for slot in each.scope:
            if slot not in SHARED_SLOTS:
                held.setdefault(slot.rpartition(".")[0], Counter())[slot] += 1
    return tuple(max(found, key=lambda slot: (found[slot], slot)) for found in held.values())


def _beside(
    here: dict[str, IntArray], pivots: Sequence[str], pairs: Iterable[RuleTables]
) -> dict[str, IntArray]:
    """Kinds that stand beside one kind of each pivot."""
    for each in pairs:
        (table,) = each.tables(State.UNPROVEN, here)
        for slot in each.scope:
            if slot not in pivots:
                others = [other for other in each.scope if other != slot]
                if slot in table.scope:
                    passes = np.asarray(table.over((slot, *others))[0].any(axis=1))
                else:
                    passes = np.broadcast_to(table.values.any(), here[slot].shape)
                here = {**here, slot: here[slot][passes]}
        if set(each.scope) <= set(pivots) and not table.values.any():
            here = {**here, each.scope[0]: here[each.scope[0]][:0]}
    return here


def _split(chosen: Places, tables: Iterable[RuleTables]) -> Iterator[Places]:
    """Kinds of the coarse slots that the widest rules tell apart, each by itself.

    Their tables then have one entry where they had one for each kind.
    """
    parts = [dict(chosen)]
    for slot in chosen:
        if slot.rpartition(".")[2] != COARSE:
            continue
        held = [each for each in tables if slot in each.scope and len(each.scope) > LAST_STAGE]
        if held:
            widest = max(held, key=lambda each: math.prod(len(chosen[s]) for s in each.scope))
            classes = widest.places[slot][chosen[slot]]
            parts = [
                {**part, slot: chosen[slot][classes == each]}
                for part in parts
                for each in np.unique(classes)
            ]
    yield from parts


def _decisive(tables: Iterable[RuleTables], level: State) -> Iterator[RuleTables]:
    """All rules, and of sums that differ by their ceiling alone the tightest."""
    every = list(tables)
    sums = [each.total for each in every if each.total is not None]
    tightest = min(sums, key=lambda total: total.ceiling(level), default=None)
    for each in every:
        if (each.total is None or each.total is tightest) and not each.always[level]:
            yield each


@dataclass(eq=False)
class _Slice:
    """The builds with one kind of the slots that the problem is cut by."""

    count_of: Count
    chosen: Places
    done: frozenset[int]
    known: dict[Hashable, list[Table]] = field(default_factory=dict)
    """Tables by rule and by what it looks at: levels often look at the same."""
    counted: dict[Hashable, NDArray[np.float64]] = field(default_factory=dict)

    @property
    def forbidden(self) -> bool:
        """True if some rule lets nothing through."""
        suspects = self.count_of.suspects
        for place, each in enumerate(suspects):
            if any(table.forbids_all for table in self._tables_of(each, LISTED[-1])):
                suspects.insert(0, suspects.pop(place))  # it often forbids the next one too
                return True
        return False

    @property
    def sizes(self) -> dict[str, int]:
        """Kinds of each slot, and values of the helper slots that the tables bring."""
        return {slot: len(places) for slot, places in self.chosen.items()}

    def tables(self, level: State) -> list[Table]:
        """What decides among the kinds, up to a level."""
        rules = self.count_of.decisive(level)
        return [table for each in rules for table in self._tables_of(each, level)]

    def _tables_of(self, each: RuleTables, level: State) -> list[Table]:
        if id(each) in self.done:
            return []
        key = (id(each), each.looks_at(level))
        if key not in self.known:
            made = each.cut(level, self.chosen, self.count_of.rows)
            self.known[key] = [table for table in made if not table.allows_all]
        return self.known[key]

    def may_hold(self, level: State) -> bool:
        """Whether any part of each slot passes by itself up to a level."""
        numbers = self.count_of.numbers(level)
        return all(numbers[slot][:, places].any() for slot, places in self.chosen.items())

    def _weights(self, level: State) -> list[Table]:
        numbers = self.count_of.numbers(level)
        return [Table((slot,), numbers[slot][:, places]) for slot, places in self.chosen.items()]

    def count(self, level: State) -> NDArray[np.float64]:
        """Builds of each problem up to a level."""
        tables = self.tables(level)
        key = (*(id(table) for table in tables), id(self.count_of.numbers(level)))
        if key not in self.counted:
            every = [*tables, *self._weights(level)]
            sizes = self.sizes | _helpers(tables)
            self.counted[key] = counts(every, sizes, self.count_of.problems, head_first)
        return self.counted[key]

    def some(self, level: State) -> NDArray[np.bool_]:
        """Whether there is one."""
        tables = self.tables(level)
        every = [*tables, *self._weights(level)]
        sizes = self.sizes | _helpers(tables)
        return exists(every, sizes, self.count_of.problems, head_first)

    def least(self, level: State, rows: IntArray, order: BuildOrder) -> tuple[IntArray, ...]:
        """Digits of the first build up to a level, for some of the problems."""
        keys = self.count_of.keys(level, rows, order)
        costs = [
            tuple(Table((slot,), digit[:, places]) for digit in keys[slot])
            for slot, places in self.chosen.items()
        ]
        tables = [table.of_problems(rows) for table in self.tables(level)]
        return least(tables, costs, self.sizes | _helpers(tables), len(rows), head_first)


def _helpers(tables: Iterable[Table]) -> dict[str, int]:
    return {
        slot: size
        for table in tables
        for slot, size in table.sizes.items()
        if slot.startswith(HELPER_MARK)
    }
