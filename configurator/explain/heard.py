"""Rules as the counter takes them: level by level, over kinds of parts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from configurator.explain.live import Live
from configurator.explain.part_kinds import Kinds
from configurator.explain.tally import MOST_CELLS, Table, TooWideError
from configurator.rules.applied import Applied
from configurator.rules.carried import holds_always
from configurator.rules.classes import classes_of
from configurator.rules.comparison import Comparison, Total
from configurator.rules.finding import State

States = NDArray[np.int8]
Places = NDArray[np.intp]
Array = NDArray[np.generic]

CLASS_MARK = "~"
"""Begins the name of a slot that holds what a rule can tell apart of one side."""

WIDEST_SUM = 3_000_000
"""Combinations up to which a sum over many slots is laid out."""


class Heard(Protocol):
    """A rule over several slots."""

    @property
    def cells(self) -> float:
        """Combinations of its slots."""
        ...

    def tables(self, level: State, kept: Mapping[str, Places]) -> Iterator[Table]:
        """What it lets through up to a level, over the kinds that are kept."""
        ...


@dataclass(frozen=True, eq=False)
class Few:
    """A rule over few slots: the state of each combination.

    Attributes
    ----------
    title : str
        The rule's, with its side.
    scope : tuple of str
        Its slots.
    states : ndarray of int8
        One axis a slot.
    """

    title: str
    scope: tuple[str, ...]
    states: States

    @property
    def several(self) -> bool:
        """Whether it is over more than one slot."""
        return len(self.scope) > 1

    @classmethod
    def of(cls, applied: Applied | None) -> Few | None:
        """The rule; None if the request does not ask for it."""
        return None if applied is None else cls(applied.title, applied.scope, applied.states)

    def over(self, live: Live, among: Live) -> Few:
        """The same over fewer parts than it was heard over."""
        places = (np.flatnonzero(live[slot][among[slot]]) for slot in self.scope)
        return Few(self.title, self.scope, self.states[np.ix_(*places)])

    def of_kinds(self, kinds: Kinds) -> Few:
        """The same for one part of each kind."""
        first = (np.unique(kinds[slot], return_index=True)[1] for slot in self.scope)
        return Few(self.title, self.scope, self.states[np.ix_(*first)])

    @property
    def cells(self) -> float:
        """Combinations of its slots."""
        return float(self.states.size)

    def tables(self, level: State, kept: Mapping[str, Places]) -> Iterator[Table]:
        """What it lets through up to a level, over the kinds that are kept."""
        states = self.states[np.ix_(*(kept[slot] for slot in self.scope))]
        yield from _halved(self.title, Table(self.scope, np.asarray(states <= level)))


def together(few: Iterable[Few]) -> list[Few]:
    """Rules over the same slots as one, of which the worst decides."""
    by_scope: dict[tuple[str, ...], list[Few]] = {}
    for each in few:
        by_scope.setdefault(each.scope, []).append(each)
    return [
        Few(" and ".join(each.title for each in found), scope, _worst(found))
        for scope, found in by_scope.items()
    ]


def _worst(found: Sequence[Few]) -> States:
    return np.asarray(np.maximum.reduce([each.states for each in found]))


def settled(few: Sequence[Few], among: Live, level: State = State.UNPROVEN) -> Live:
    """Parts that each of some rules leaves a partner, until no more of them fall.

    Parameters
    ----------
    few : sequence of Few
        Over the parts in `among`.
    among : Mapping[str, ndarray of bool]
        Parts that stand before any of them is heard.
    level : State
        Up to which state a combination passes.
    """
    kept = {slot: np.arange(int(mask.sum())) for slot, mask in among.items()}
    moved = True
    while moved and all(map(len, kept.values())):
        moved = False
        for each in few:
            passes = each.states[np.ix_(*(kept[slot] for slot in each.scope))] <= level
            for axis, slot in enumerate(each.scope):
                others = tuple(at for at in range(passes.ndim) if at != axis)
                some = passes.any(axis=others)
                if not some.all():
                    kept[slot], moved = kept[slot][some], True
                    passes = np.compress(some, passes, axis=axis)
    live = {}
    for slot, mask in among.items():
        live[slot] = np.zeros_like(mask)
        live[slot][np.flatnonzero(mask)[kept[slot]]] = True
    return live


def alone(level: State, few: Iterable[Few], live: Live) -> Iterator[Table]:
    """What the rules over one slot, or over none, let through of the parts that stand."""
    passing = {slot: np.ones(int(mask.sum()), dtype=np.bool_) for slot, mask in live.items()}
    for each in few:
        if len(each.scope) == 1:
            passing[each.scope[0]] &= each.states <= level
        elif not each.scope:
            yield Table((), np.asarray(each.states <= level))
    for slot, passes in passing.items():
        yield Table((slot,), passes)


@dataclass(frozen=True, eq=False)
class Many:
    """A rule over many slots, over one part of each kind.

    Attributes
    ----------
    applied : Applied
        The rule, over one part of each kind that it tells apart.
    places : Mapping[str, ndarray of int]
        By slot of its scope, which of these stands for each of the kinds that are counted.
    """

    applied: Applied
    places: Mapping[str, Places]

    @classmethod
    def of(cls, applied: Applied | None, places: Mapping[str, Places]) -> Many | None:
        """The rule over some places of its frame; None if all of them fit."""
        if applied is None:
            return None
        outcome = applied.outcome
        if isinstance(outcome, Total):
            if holds_always(applied):
                return None
        elif isinstance(outcome, Comparison):
            need, allow = outcome.sides(State.FITS)
            if need.size and allow.size and need.max() <= allow.min():
                return None
        return cls(applied, {slot: places[slot] for slot in applied.scope})

    @property
    def cells(self) -> float:
        """Combinations of its slots."""
        return math.prod(float(len(places)) for places in self.places.values())

    def tables(self, level: State, kept: Mapping[str, Places]) -> Iterator[Table]:
        """What it lets through up to a level, over the kinds that are kept.

        Raises
        ------
        TooWideError
            If that is too wide to be laid out.
        """
        frame, scope = self.applied.case.frame, self.applied.scope
        places = {slot: of_kind[kept[slot]] for slot, of_kind in self.places.items()}
        sizes = {slot: len(places[slot]) if slot in places else 1 for slot in frame.slots}
        fewer = {
            at: places[slot]
            for at, slot in enumerate(frame.slots)
            if slot in places
            and not np.array_equal(places[slot], np.arange(len(frame.parts[slot])))
        }
        outcome = self.applied.outcome.cut(fewer)
        cells = math.prod(map(float, sizes.values()))
        if isinstance(outcome, Total):
            if cells > WIDEST_SUM:
                raise TooWideError
            outcome = outcome.whole
        if len(_sides(scope)) > 1 and isinstance(outcome, Comparison) and level < outcome.cap:
            need, allow = (_moving(sizes, values) for values in outcome.sides(level))
            if len(_sides(need.scope)) == len(_sides(allow.scope)) == 1:
                yield from _compared(self.applied.title, need, allow)
                return
        if cells > MOST_CELLS:
            raise TooWideError
        passes = (
            outcome.passes(level)
            if isinstance(outcome, Comparison)
            else np.asarray(outcome.states <= level)
        )
        spread = np.broadcast_to(passes, tuple(sizes.values()))
        yield from _halved(self.applied.title, _moving(sizes, spread, scope))


def _moving(sizes: Mapping[str, int], values: Array, scope: Sequence[str] = ()) -> Table:
    """An array over a frame as a table over some of its slots, or those along which it varies."""
    shape = (1,) * (len(sizes) - values.ndim) + values.shape
    along = tuple(scope) or tuple(s for s, size in zip(sizes, shape, strict=True) if size > 1)
    lengths = [size for slot, size in zip(sizes, shape, strict=True) if slot in along]
    return Table(along, values.reshape(lengths))


def _sides(scope: Sequence[str]) -> tuple[str, ...]:
    """Prefixes of the sides of a two-part build whose slots are in a scope."""
    return tuple(dict.fromkeys(slot.partition(".")[0] for slot in scope if "." in slot))


def _of_side(scope: Sequence[str], side: str) -> tuple[str, ...]:
    return tuple(slot for slot in scope if slot.startswith(f"{side}."))


def _compared(title: str, need: Table, allow: Table) -> Iterator[Table]:
    """One side's need against the other's allowance, each by what of it can be told apart."""
    ends = []
    for table in (need, allow):
        side = _of_side(table.scope, _sides(table.scope)[0])
        rest = tuple(slot for slot in table.scope if slot not in side)
        definition, values = _classed(title, table, side, rest)
        yield definition
        ends.append(Table((definition.scope[-1], *rest), values))
    scope = tuple(dict.fromkeys((*ends[0].scope, *ends[1].scope)))
    yield Table(scope, np.asarray(ends[0].over(scope) <= ends[1].over(scope)))


def _halved(title: str, table: Table) -> Iterator[Table]:
    """A table; if over several slots of both sides, over what of each side can be told apart."""
    for side in _sides(table.scope) if len(_sides(table.scope)) > 1 else ():
        slots = _of_side(table.scope, side)
        if len(slots) > 1:
            rest = tuple(slot for slot in table.scope if slot not in slots)
            definition, values = _classed(title, table, slots, rest)
            yield definition
            table = Table((definition.scope[-1], *rest), values)
    yield table


def _classed(
    title: str, table: Table, slots: tuple[str, ...], rest: tuple[str, ...]
) -> tuple[Table, Array]:
    """Combinations of some slots that a table tells apart: which is which, and the table of them."""
    values = table.over((*slots, *rest))
    shape = values.shape[: len(slots)]
    rows = np.ascontiguousarray(values).reshape(math.prod(shape), -1)
    classes = classes_of(rows)
    name = f"{CLASS_MARK}{slots[0].partition('.')[0]} for {title}"
    definition = Table((*slots, name), classes.membership(shape))
    return definition, rows[classes.first].reshape(-1, *values.shape[len(slots) :])
