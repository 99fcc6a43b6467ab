"""A rule over several slots, kept so that it can be cut to any level and any kinds of parts."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Total
from configurator.rules.finding import LISTED, State
from configurator.rules.rule import Outcome
from configurator.screen.dense import Scope, Table
from configurator.screen.heading import Heading
from configurator.screen.load import Load, load_of

PAIR = 2

Flags = NDArray[np.bool_]
Places = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Judged:
    """A rule over several slots, for the kinds that were live when it was heard.

    Attributes
    ----------
    heading : Heading
        The rule.
    live : Mapping of str to ndarray
        By slot, the kinds that it was heard for.
    places : Mapping of str to ndarray
        By slot, where each of all kinds stands along the axis of the tables: kinds that the
        rule cannot tell apart share a place, and those that are not live have none.
    sides : dict of State to tuple of Table
        By level: a need and an allowance, a lone table of what is allowed, or none for a sum.
    load : Load or None
        For a sum over many slots.
    """

    heading: Heading
    live: Mapping[str, Places]
    places: Mapping[str, Places]
    sides: dict[State, tuple[Table, ...]]
    load: Load | None = None

    @cached_property
    def is_pair(self) -> bool:
        """True if it joins two slots, whatever the material, with nothing marginal about it."""
        if not self.heading.fixed or len(self.heading.scope) != PAIR or not self.sides:
            return False
        tables = [self.tables(level)[0].values for level in LISTED]
        return all(np.array_equal(tables[0], table) for table in tables[1:])

    @cached_property
    def always(self) -> dict[State, bool]:
        """By level, whether it lets everything through; not looked for in a sum."""
        return {level: _holds(tables) for level, tables in self.sides.items()}

    def looks_at(self, level: State) -> Hashable:
        """Equal for levels at which the rule lets the same through."""
        return self.load.total.ceiling(level) if self.load else id(self.sides[level])

    def tables(
        self,
        level: State,
        chosen: Mapping[str, Places] | None = None,
        rows: Places | None = None,
    ) -> tuple[Table, ...]:
        """What the rule lets through up to a level.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        chosen : Mapping, optional
            By slot, the kinds to keep; all that were live without it.
        rows : ndarray of int, optional
            The materials to keep; all without it. Not for a sum.
        """
        chosen = self.live if chosen is None else chosen
        kept = {slot: self.places[slot][chosen[slot]] for slot in self.heading.scope}
        if self.load is not None:
            return self.load.tables(level, kept, self.heading.rule.name)
        cut = [table.of_rows(rows).kept(kept) for table in self.sides[level]]
        if len(cut) == 1:
            return (cut[0].narrowed(),)
        need, allow = (table.values for table in cut)
        return (Table(self.heading.scope, need <= allow).narrowed(),)


def judged_of(
    heading: Heading, case: Case, live: Mapping[str, Places], places: Mapping[str, Places]
) -> Judged | None:
    """Hear a rule over a grid with the list in front; None if the request does not ask for it.

    Parameters
    ----------
    heading : Heading
        The rule.
    case : Case
        Over the first parts of some kinds.
    live : Mapping
        By slot, the kinds that are judged.
    places : Mapping
        By slot, where each of all kinds stands along its axis of the grid.
    """
    outcome = heading.rule.check(case, case.sides[0])
    if outcome is None:
        return None
    scope, slots = heading.scope, case.frame.slots[1:]
    if isinstance(outcome, Total):
        return Judged(heading, live, places, {}, load_of(outcome, case.frame, scope))
    by_end: dict[Hashable, tuple[Table, ...]] = {}
    sides: dict[State, tuple[Table, ...]] = {}
    for level in LISTED:
        end = _end(outcome, level)
        if end not in by_end:
            if isinstance(outcome, Comparison) and level < outcome.cap:
                halves: tuple[NDArray[Any], ...] = outcome.sides(level)
            else:
                halves = (_passes(outcome, level),)
            by_end[end] = tuple(Table(scope, over_scope(half, scope, slots)) for half in halves)
        sides[level] = by_end[end]
    return Judged(heading, live, places, sides)


def _end(outcome: Outcome, level: State) -> Hashable:
    """What a level looks at: levels that look at the same share their tables."""
    if not isinstance(outcome, Comparison) or level >= outcome.cap:
        return level
    unknown = not (outcome.demand.all_known and outcome.limit.all_known)
    return (
        id(outcome.demand.end(level)),
        id(outcome.limit.end(level)),
        level is State.FITS and outcome.caution > 0.0,
        unknown and level is State.UNPROVEN,
    )


def _holds(sides: tuple[Table, ...]) -> bool:
    """True if a need is nowhere above its allowance, or all is allowed."""
    if len(sides) == 1:
        return bool(sides[0].values.all())
    need, allow = (table.values for table in sides)
    return not need.size or not allow.size or bool(need.max() <= allow.min())


def _passes(outcome: Outcome, level: State) -> Flags:
    if isinstance(outcome, Comparison):
        return outcome.passes(level)
    return np.asarray(outcome.states <= level)


def over_scope(values: NDArray[Any], scope: Scope, slots: Scope) -> NDArray[Any]:
    """An array over a grid with the list in front, as one over the list and a scope."""
    full = values.reshape((1,) * (len(slots) + 1 - values.ndim) + values.shape)
    kept = (0, *(1 + slots.index(slot) for slot in scope))
    others = tuple(axis for axis in range(full.ndim) if axis not in kept)
    return full.squeeze(axis=others)
