"""One side of a build, cut by the size: under one size few parts of the other slots stand."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.eliminate import Finish, summed_to
from configurator.engine.partition import Partition
from configurator.engine.table import Table
from configurator.rules.evaluation import Evaluation
from configurator.rules.finding import LISTED, State
from configurator.rules.mouths import Mouths, heads
from configurator.rules.rule_tables import Places, RuleTables
from configurator.rules.ruleset import Judgement, RuleSet

Cells = Mapping[str, Partition]
"""By slot, its kinds in a slice, those together that need not be told apart."""


@dataclass(frozen=True, eq=False)
class _Laid:
    """A table over slots of a side, with the requests or the pairs of mixer and tip in front."""

    table: Table
    at_mouths: bool

    def of_pairs(self, which: IntArray) -> _Laid:
        """The same behind some of the pairs."""
        return _Laid(self.table.of_problems(which), at_mouths=True) if self.at_mouths else self


@dataclass(frozen=True, eq=False)
class RulesOfSide:
    """The rules over slots of one side, and of mixer and tip."""

    heard: Mapping[State, Sequence[RuleTables]]
    """By level, those that may decide."""
    told: Sequence[RuleTables]
    """Those that may find one build better than another."""
    behind: Evaluation | None
    """What others say behind each pair of mixer and tip."""
    unheard: list[Judgement]
    """These others; one that lets nothing through moves to the front, as it often does so again."""
    many: bool
    """True if there are many requests: tables for one are kept for the next that is like it."""
    alive: Mapping[str, BoolArray]
    """By slot, shape (requests, kinds): what stands."""
    mouths: Mouths
    which: IntArray
    """Their places among all pairs."""
    pairs: int

    def some(self, chosen: Places) -> RulesOfSide:
        """The same, where they are few behind those pairs whose request has parts of some kinds."""
        standing = [self.alive[slot][:, places].any(axis=1) for slot, places in chosen.items()]
        which = np.flatnonzero(np.logical_and.reduce(standing)[self.mouths.rows])
        if 2 * len(which) > self.pairs:
            return self  # to lay requests along anew costs more than what is heard in vain
        mouths = self.mouths.only(which)
        behind = None
        if self.behind is not None and len(which):
            behind = self.behind.behind_some(mouths, which)
        return replace(self, mouths=mouths, behind=behind, which=which)

    def slice_of(
        self, chosen: Places, done: Collection[int], levels: Sequence[State]
    ) -> SideSlice | None:
        """What decides among some kinds at some levels; None if nothing passes.

        `done` holds the `id` of rules that all of them pass.
        """
        found: dict[State, list[_Laid]] = {level: [] for level in levels}
        told: list[tuple[RuleTables, IntArray | None]]
        told = [(each, None) for each in self.told if id(each) not in done]
        behind: list[RuleTables] = []
        every = dict.fromkeys(each for level in levels for each in self.heard[level])
        for each in every:
            if id(each) not in done and not self._lay(each, chosen, found):
                return None
        for place, judgement in enumerate(self.unheard):
            assert self.behind is not None  # or none would be left to be heard
            tables = self.behind.heard(judgement, chosen)
            if tables is not None and not self._lay(tables, chosen, found):
                self.unheard.insert(0, self.unheard.pop(place))
                return None
            behind += [tables] if tables is not None and tables.tells else []
        passes = np.ones(len(self.mouths), dtype=np.bool_)
        for laid in found[levels[-1]]:
            if laid.at_mouths:
                values = laid.table.values
                passes &= values.any(axis=tuple(range(1, values.ndim)))
        which = np.flatnonzero(passes)
        if not len(which):
            return None
        distinct = {id(each): each for of_level in found.values() for each in of_level}
        flags = [
            each.table.values[which].reshape(len(which), -1)
            for each in distinct.values()
            if each.at_mouths and len(each.table.values) > 1
        ]
        none = np.zeros((len(which), 0), dtype=np.bool_)
        alike = Partition.by_flags(np.concatenate([none, *flags], axis=1), self.mouths.rows[which])
        first = which[alike.first]
        known = {key: each.of_pairs(first) for key, each in distinct.items()}
        cut = {level: [known[id(each)] for each in laid] for level, laid in found.items()}
        told += [(each, which) for each in behind]
        return SideSlice(
            chosen, cut, self.mouths.only(first), self.which[which], alike.of, self.pairs, told
        )

    def _laid(self, rule: RuleTables, level: State, chosen: Places) -> _Laid:
        shared = rule.is_behind or bool(set(SHARED_SLOTS) & set(rule.scope))
        if not self.many:
            return _Laid(rule.kept_out(level, chosen, self.mouths), shared)
        mouths = self.mouths if shared and not rule.is_behind else None
        return _Laid(rule.laid_out(level, chosen, mouths), shared)

    def _lay(self, rule: RuleTables, chosen: Places, found: dict[State, list[_Laid]]) -> bool:
        """Lay a rule out for each level that it decides; False if it lets nothing through."""
        known: dict[Hashable, _Laid] = {}
        for level in reversed(found):
            if not rule.is_behind and rule not in self.heard[level]:
                continue
            key = rule.looks_at(level)
            if key not in known:
                known[key] = self._laid(rule, level, chosen)
            if known[key].table.forbids_all and level is State.UNPROVEN:
                return False
            if not known[key].table.allows_all:
                found[level].append(known[key])
        return True


@dataclass(eq=False)
class SideSlice:
    """The parts of one side under one kind of the slot that it is cut by."""

    chosen: Places
    """By slot, the kinds."""
    laid: Mapping[State, Sequence[_Laid]]
    """By level, what decides among them."""
    mouths: Mouths
    """Of the pairs of mixer and tip behind which anything passes one of each class: no rule of the
    side tells the pairs of a class apart."""
    which: IntArray
    """Places of all of these pairs among all pairs."""
    of: IntArray
    """The class of each."""
    pairs: int
    told: Sequence[tuple[RuleTables, IntArray | None]]
    """Rules that may find one build better than another, and of those heard behind pairs of mixer and
    tip the places of `which` among these."""
    _known: dict[Hashable, AnyArray] = field(default_factory=dict)

    @property
    def sizes(self) -> dict[str, int]:
        """Kinds of each slot."""
        return {slot: len(places) for slot, places in self.chosen.items()}

    def numbers(
        self,
        level: State,
        numbers: Mapping[str, NDArray[np.float64]],
        cells: Cells,
        finish: Finish,
        some: slice = slice(None),
    ) -> AnyArray:
        """How often the kinds of some slots are in what passes; shape (some pairs, cells).

        `numbers` says by slot, in shape (requests, kinds), how many parts pass by themselves;
        `finish` is done to numbers after each sum.
        """
        laid, keep, sizes = self.laid[level], tuple(_sizes(cells)), self.sizes | _sizes(cells)
        key = (*keep, finish, id(numbers), *map(id, laid))
        here = {slot: numbers[slot][:, places] for slot, places in self.chosen.items()}
        if key not in self._known and all(each.any() for each in here.values()):
            held = _held(cells, laid)
            weights = [Table((slot,), each) for slot, each in here.items()]
            rows = [each.table for each in laid if not each.at_mouths]
            summed = summed_to([*rows, *weights], self.sizes, held, finish)
            there = [self.mouths.of(table) for table in summed] + _members(cells)
            there += [each.table for each in laid if each.at_mouths]
            found: AnyArray = np.ones(1)
            for table in summed_to(there, {s: sizes[s] for s in (*held, *keep)}, keep, finish):
                found = found * table.over(keep)
            self._known[key] = _of_cells(found, cells, len(self.mouths))
        start, end, _ = some.indices(self.pairs)
        every = np.zeros((end - start, math.prod(map(len, cells.values()))))
        if key in self._known:
            within = slice(*np.searchsorted(self.which, (start, end)).tolist())
            every[self.which[within] - start] = self._known[key][self.of[within]]
        return every

    def cells(self, joint: Sequence[RuleTables], rules: RuleSet) -> Cells:
        """By slot that some rules on both sides read, the kinds that they tell apart."""
        found = {}
        for slot, places in self.chosen.items():
            read = [each.judgement for each in joint if slot in each.scope]
            seen = [rules.told_apart(each, slot).of[places].tolist() for each in read]
            if seen:
                found[slot] = Partition.by_key(zip(*seen, strict=True))
        return found

    def kinds(self, cells: Cells) -> dict[str, IntArray]:
        """By slot, a kind of each cell."""
        first = [self.chosen[slot][classes.first] for slot, classes in cells.items()]
        every = np.meshgrid(*first, indexing="ij")
        return {slot: kinds.reshape(-1) for slot, kinds in zip(cells, every, strict=True)}


CLASS = "~"
"""Stands in front of the slot that holds the classes of another one's kinds."""


def _sizes(cells: Cells) -> dict[str, int]:
    return {f"{CLASS}{slot}": len(classes) for slot, classes in cells.items()}


def _members(cells: Cells) -> list[Table]:
    """Which kind is in which class."""
    return [
        Table((slot, f"{CLASS}{slot}"), classes.membership((len(classes.of),))[np.newaxis])
        for slot, classes in cells.items()
    ]


def _of_cells(values: AnyArray, cells: Cells, pairs: int) -> AnyArray:
    shape = (pairs, *(len(classes) for classes in cells.values()))
    return np.broadcast_to(values, shape).reshape(pairs, -1)


def _held(keep: Iterable[str], laid: Iterable[_Laid]) -> frozenset[str]:
    """Slots that are not summed out before mixer and tip come in."""
    return frozenset(keep).union(*(each.table.narrowed().scope for each in laid if each.at_mouths))


def slices_of(
    rules: RulesOfSide,
    head: str,
    live: Places,
    fixed: Iterable[RuleTables],
    levels: Sequence[State],
) -> list[SideSlice]:
    """All slices of a side, by its prefix, in which anything passes at the widest level, the last.

    `fixed` are rules that join two slots, whatever the request, with nothing marginal about it.
    """
    own = {slot: places for slot, places in live.items() if heads((slot,)) == (head,)}
    within = [each for each in fixed if set(each.scope) <= set(own)]
    held = Counter(slot for each in within for slot in each.scope)
    pivot = max(held, key=lambda slot: (held[slot], slot), default="")
    absorbed = [each for each in within if pivot in each.scope]
    done = {id(each) for each in absorbed}
    found: list[SideSlice | None] = []
    for kind in live[pivot] if pivot else (-1,):
        here = _beside(own, pivot, int(kind), absorbed) if pivot else own
        if not all(map(len, here.values())):
            continue
        some = rules.some(here)
        found.append(some.slice_of(here, done, levels) if len(some.mouths) else None)
    return [each for each in found if each is not None]


def _beside(own: Places, pivot: str, kind: int, pairs: Iterable[RuleTables]) -> Places:
    """Kinds that stand beside one kind of the slot that a side is cut by."""
    here = {**own, pivot: np.array([kind])}
    for each in pairs:
        (slot,) = (slot for slot in each.scope if slot != pivot)
        flags = each.laid_out(LISTED[-1], here).over((pivot, slot))[0, 0]
        here[slot] = here[slot][np.broadcast_to(flags, here[slot].shape)]
    return here
