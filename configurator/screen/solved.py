"""Counts and the first build of the list, for all materials of a group at once.

The problem is cut by the slot that most parts are made for (the size): under one size few parts
of the other slots stand, so that tables are small, and the sizes add up.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from operator import is_

import numpy as np
from numpy.typing import NDArray

from configurator.rules.finding import LISTED, State
from configurator.screen.bench import COARSE
from configurator.screen.dense import NEVER, Scope, Table, cheapest, counts, elimination_order
from configurator.screen.group import Group
from configurator.screen.judged import PAIR, Judged

LAST_TURN = 2
"""When rules over many combinations are heard: all pairs of slots have been heard by then."""

Counts = NDArray[np.float64]
Places = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Solved:
    """What is left for each material of a group.

    Attributes
    ----------
    up_to : dict of State to ndarray
        Builds up to each level.
    best : ndarray of int
        Shape (materials, slots): places of the parts of the first build of the list; rows of
        materials without a build mean nothing.
    """

    up_to: dict[State, Counts]
    best: Places


def solve(group: Group) -> Solved:
    """Count the builds of each material and find its first one.

    Parameters
    ----------
    group : Group
        Materials of one kin, with what the rules say of them.
    """
    shares = [_Share(group, cut) for cut in _cuts_up_to(group, group.judged, LAST_TURN)]
    shares = [share for share in shares if not _any_forbids(share.tables[LISTED[-1]])]
    materials = len(group.subjects)
    up_to = {}
    for each in LISTED:
        total = sum((share.count(each) for share in shares), np.zeros(materials))
        up_to[each] = np.where(group.floor <= each, total, 0.0)
    level = np.full(materials, LISTED[-1], dtype=np.int8)
    for each in reversed(LISTED):
        level[up_to[each] > 0] = each
    keys = np.full(materials, NEVER, dtype=np.int64)
    for each in LISTED:
        at = np.flatnonzero(level == each)
        if len(at):
            for share in shares:
                keys[at] = np.minimum(keys[at], share.first(each, at))
    # A row without any build has no key to take apart.
    return Solved(up_to, group.bench.places_of(np.where(keys < NEVER, keys, 0)))


def count_first(group: Group, number: int, rows: Places) -> Counts:
    """Builds of some materials that pass the rules on one slot and the first of the others.

    Parameters
    ----------
    group : Group
        Materials of one kin.
    number : int
        How many of `group.judged` are heard.
    rows : ndarray of int
        Which materials.
    """
    judged = group.judged[:number]
    # Later turns were heard for what the earlier ones leave alone.
    turn = max((each.heading.turn for each in judged), default=1)
    total = np.zeros(len(rows))
    for cut in _cuts_up_to(group, judged, turn):
        found = cut.tables(judged, State.UNPROVEN)
        if _any_forbids(found):
            continue
        tables = [table.of_rows(rows) for table in found]
        tables += [table.of_rows(rows) for table in cut.weights(group, State.UNPROVEN)]
        total = total + counts(tables, cut.order(tables), len(rows))
    return total


def _cuts_up_to(group: Group, judged: Sequence[Judged], turn: int) -> Sequence[_Cut]:
    """The cuts for the first rules; in the last turn all pairs are heard, and they are kept."""
    if turn < LAST_TURN:
        return tuple(_cuts_of(group, judged, group.alive[turn]))
    if not group.cuts:
        group.cuts = tuple(_cuts_of(group, group.judged, group.alive[turn]))
    return group.cuts


def _any_forbids(tables: Iterable[Table]) -> bool:
    return any(table.forbids_all for table in tables)


@dataclass(frozen=True, eq=False)
class _Cut:
    """Some kinds of each slot, and the rules that hold for all of them by choice."""

    chosen: Mapping[str, Places]
    done: tuple[Judged, ...]
    known: dict[Hashable, list[Table]] = field(default_factory=dict)
    """Tables by rule and by what it looks at: levels often look at the same."""
    orders: dict[tuple[Scope, ...], tuple[str, ...]] = field(default_factory=dict)
    """Order of elimination by the scopes of the tables."""

    def tables(self, judged: Iterable[Judged], level: State) -> list[Table]:
        """What decides among the kinds, up to a level."""
        found = []
        for each in judged:
            if each in self.done or each.always.get(level, False):
                continue
            key = (id(each), each.looks_at(level))
            if key not in self.known:
                tables = each.tables(level, self.chosen)
                self.known[key] = [table for table in tables if not table.values.all()]
            found += self.known[key]
        return found

    def order(self, tables: Sequence[Table]) -> tuple[str, ...]:
        """The order in which to sum slots out of some tables, or of any of them."""
        scopes = tuple(table.scope for table in tables)
        if scopes not in self.orders:
            sizes: dict[str, int] = {}
            for table in tables:
                for axis, slot in enumerate(table.scope, start=1):
                    sizes[slot] = max(sizes.get(slot, 1), table.values.shape[axis])
            self.orders[scopes] = elimination_order(scopes, sizes)
        return self.orders[scopes]

    def weights(self, group: Group, level: State) -> list[Table]:
        """By slot, how many parts of each kind the rules on that slot let through."""
        numbers = group.numbers(level)
        return [Table((slot,), numbers[slot][:, places]) for slot, places in self.chosen.items()]


def _cuts_of(
    group: Group, heard: Sequence[Judged], alive: Mapping[str, NDArray[np.bool_]]
) -> Iterator[_Cut]:
    """The live kinds under each kind of the slot that most pairs of slots hold."""
    bench = group.bench
    live = {
        slot: np.flatnonzero(bench.kinds[slot].any_of(np.asarray(flags.any(axis=0))))
        for slot, flags in alive.items()
    }
    pairs = [each for each in heard if each.is_pair and each.heading.turn < LAST_TURN]
    held = Counter(slot for each in pairs for slot in each.heading.scope)
    if not held:
        yield _Cut(live, ())
        return
    pivot = max(held, key=lambda slot: (held[slot], slot))
    done = tuple(each for each in pairs if pivot in each.heading.scope)
    for kind in live[pivot]:
        chosen = {**live, pivot: np.array([kind])}
        for judged in done:
            slot = next(each for each in judged.heading.scope if each != pivot)
            (table,) = judged.tables(State.UNPROVEN, chosen)
            stands = np.broadcast_to(table.values.reshape(-1), chosen[slot].shape)
            chosen[slot] = chosen[slot][stands]
        if all(len(places) for places in chosen.values()):
            for part in _split(chosen, heard):
                yield _Cut(part, done)


def _split(chosen: Mapping[str, Places], heard: Iterable[Judged]) -> Iterator[Mapping[str, Places]]:
    """Kinds of the coarse slot that the widest rule tells apart, each by itself.

    Its table and those like it then have one entry where they had one for each kind.
    """
    held = [
        each for each in heard if COARSE in each.heading.scope and len(each.heading.scope) > PAIR
    ]
    if not held:
        yield chosen
        return
    widest = max(
        held,
        key=lambda each: math.prod(len(chosen[slot]) for slot in each.heading.scope),
    )
    classes = widest.places[COARSE][chosen[COARSE]]
    for each in np.unique(classes):
        yield {**chosen, COARSE: chosen[COARSE][classes == each]}


class _Share:
    """The builds with one kind of the slot that the problem is cut by."""

    def __init__(self, group: Group, cut: _Cut) -> None:
        self.group = group
        self.cut = cut
        self.tables = {level: cut.tables(_decisive(group.judged, level), level) for level in LISTED}
        self._counts: dict[State, Counts] = {}
        every = [table for tables in self.tables.values() for table in tables]
        self._order = cut.order([*every, *cut.weights(group, State.UNPROVEN)])

    def count(self, level: State) -> Counts:
        """Builds of each material up to a level."""
        for other, found in self._counts.items():
            if self._alike(level, other):
                return found
        tables = [*self.tables[level], *self.cut.weights(self.group, level)]
        self._counts[level] = counts(tables, self._order, len(self.group.subjects))
        return self._counts[level]

    def _alike(self, level: State, other: State) -> bool:
        """True if nothing tells two levels apart."""
        mine, theirs = self.tables[level], self.tables[other]
        same = len(mine) == len(theirs) and all(map(is_, mine, theirs))
        return same and self.group.same_numbers(level, other)

    def first(self, level: State, rows: Places) -> NDArray[np.int64]:
        """Key of the first build up to a level, for some of the materials."""
        keys = self.group.keys(level)
        tables = [table.of_rows(rows) for table in self.tables[level]]
        for slot, places in self.cut.chosen.items():
            tables.append(Table((slot,), keys[slot][np.ix_(rows, places)]))
        return cheapest(tables, self._order, len(rows))


def _decisive(judged: list[Judged], level: State) -> Iterator[Judged]:
    """All rules, and of sums that differ by their ceiling alone the tightest."""
    loads = [each.load for each in judged if each.load is not None]
    tightest = min(loads, key=lambda load: load.total.ceiling(level), default=None)
    for each in judged:
        if each.load is None or each.load is tightest:
            yield each
