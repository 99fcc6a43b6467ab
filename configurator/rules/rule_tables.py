"""What one rule over several slots lets through at each level, as tables for the engine.

A table is laid out only where somebody asks for it, and only over the kinds of parts that are in
question there: a wide comparison is kept as its two sides until then.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.table import Scope, Table
from configurator.rules.applied import Applied
from configurator.rules.comparison import Comparison
from configurator.rules.finding import LISTED, State
from configurator.rules.mouths import Mouths
from configurator.rules.partners import compared_partners, light_enough, others
from configurator.rules.rule import Outcome
from configurator.rules.ruleset import Judgement
from configurator.rules.total import Total

PAIR = 2

Places = Mapping[str, IntArray]
"""By slot, some of its kinds."""


@dataclass(frozen=True, eq=False)
class RuleTables:
    """A rule over several slots, for the kinds that stood when it was heard."""

    judgement: Judgement
    """The rule."""
    live: Places
    """By slot, the kinds that it was heard for."""
    places: Places
    """By slot, where each of all kinds stands along the axis of the tables: kinds that the rule
    cannot tell apart share a place, and what stands where a kind was not heard means nothing."""
    sides: dict[State, tuple[Table, ...]]
    """By level: a need and an allowance, or a lone table of what is allowed; none for a sum."""
    total: Total | None = None
    """For a sum over many slots."""
    summands: tuple[Table, ...] = ()
    """Of that sum, the heaviest slots first."""
    heard: Applied | None = None
    """What the rule said over the places of the tables; None where it was heard for many
    problems."""
    outcome: Outcome | None = None
    """What the rule said over the grid that it was heard for, whose slots are `slots`."""
    slots: Scope = ()
    known: dict[Hashable, Table] = field(default_factory=dict)
    """Tables for the kinds that somebody asked for."""
    bounds: dict[Hashable, tuple[Table, ...]] = field(default_factory=dict)
    """Needs and allowances by how far the limit may be passed."""

    @cached_property
    def scope(self) -> Scope:
        """Slots of the rule, less those of mixer and tip if it was heard behind pairs of these."""
        return tuple(slot for slot in self.judgement.scope if slot in self.live)

    @property
    def is_behind(self) -> bool:
        """True if it was heard behind pairs of mixer and tip."""
        return len(self.scope) < len(self.judgement.scope)

    @cached_property
    def is_pair(self) -> bool:
        """True if it joins two slots, whatever the material, with nothing marginal about it."""
        if not self.judgement.fixed or len(self.scope) != PAIR or not self.sides:
            return False
        tables = [self.laid_out(level, self.live).values for level in LISTED]
        return all(np.array_equal(tables[0], table) for table in tables[1:])

    @cached_property
    def always(self) -> dict[State, bool]:
        """By level, whether it is known to let everything through."""
        if self.total is not None:
            heaviest = sum(float(each.values.max(initial=0.0)) for each in self.summands)
            return {level: heaviest <= self.total.ceiling(level) for level in LISTED}
        return {level: _holds(tables) for level, tables in self.sides.items()}

    @property
    def tells(self) -> bool:
        """Whether it may find one build better than another."""
        return not self.always[State.FITS] or bool(self.judgement.rule.comfort)

    def tells_among(self, live: Places) -> bool:
        """The same among some kinds, as far as it can be seen without laying it out."""
        if self.total is None:
            return self.tells
        most = sum(float(each.values.max(initial=0.0)) for each in self.summands_over(live))
        return most > self.total.ceiling(State.FITS)

    def ceiling(self, level: State) -> float:
        """What a sum may reach at a level, in units of its summands."""
        return np.inf if self.total is None else self.total.ceiling(level)

    def looks_at(self, level: State) -> Hashable:
        """Equal for levels at which the rule lets the same through."""
        return self.total.ceiling(level) if self.total else id(self.sides[level])

    def _kept(self, chosen: Places) -> dict[str, IntArray]:
        return {slot: self.places[slot][chosen[slot]] for slot in self.scope if slot in chosen}

    def met_at(
        self, level: State, mouths: Mouths, which: IntArray
    ) -> tuple[tuple[Table, ...], Places]:
        """Its sides behind some pairs of mixer and tip, and where each kind stands in them.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        mouths : Mouths
            Those pairs.
        which : ndarray of int
            Their places among the pairs behind which it was heard, if it was.
        """
        if self.is_behind:
            return tuple(table.of_problems(which) for table in self.sides[level]), self.places
        return tuple(mouths.of(table, self.places) for table in self.sides[level]), self.places

    def says_as(self, other: RuleTables) -> bool:
        """Whether another, heard for the same kinds, lets the same through at each level."""
        if self.total is not None or other.total is not None:
            return False
        every = (zip(self.sides[level], other.sides[level], strict=False) for level in LISTED)
        return all(len(self.sides[level]) == len(other.sides[level]) for level in LISTED) and all(
            np.array_equal(mine.values, its.values, equal_nan=not mine.of_flags)
            for sides in every
            for mine, its in sides
        )

    def kept_out(self, level: State, chosen: Places, mouths: Mouths) -> Table:
        """The same as `laid_out`, kept for whoever asks for the same kinds again."""
        kinds = (chosen[slot].tobytes() for slot in self.scope if slot in chosen)
        key = self.looks_at(level), mouths.key, *kinds
        if key not in self.known:
            shared = any(slot in mouths.kinds for slot in self.scope)
            self.known[key] = self.laid_out(level, chosen, mouths if shared else None)
        return self.known[key]

    def laid_out(
        self,
        level: State,
        chosen: Places,
        mouths: Mouths | None = None,
        which: IntArray | None = None,
    ) -> Table:
        """What the rule lets through up to a level, over all of its slots.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        chosen : Mapping
            By slot, the kinds to keep.
        mouths : Mouths, optional
            Pairs of mixer and tip to lay in front in place of the requests.
        which : ndarray of int, optional
            Their places among the pairs behind which it was heard, if it was.
        """
        if self.total is None:
            return self.laid(self.sides[level], chosen, mouths, which)
        need, light = self.summands
        halves = need, Table(light.scope, self.total.ceiling(level) - light.values)
        return self.laid(halves, chosen, mouths, which)

    def laid(
        self,
        halves: Sequence[Table],
        chosen: Places,
        mouths: Mouths | None,
        which: IntArray | None,
    ) -> Table:
        """Halves of the rule, or a lone table, joined as for `laid_out`."""
        kept = self._kept(chosen)
        cut = [table.at(kept) for table in halves]
        scope = self.scope
        if mouths is not None:
            if self.is_behind:
                cut = [table.of_problems(which) for table in cut]
            else:
                cut = [mouths.of(table, self.places) for table in cut]
            scope = tuple(slot for slot in scope if slot not in mouths.kinds)
        return _joined(scope, cut)

    def within(self, excess: float, *, unknown: bool) -> tuple[Table, ...]:
        """Need and allowance at the hard end such that the limit is passed by a share at most."""
        key = "within", excess, unknown
        if key not in self.bounds:
            assert isinstance(self.outcome, Comparison)
            halves = self.outcome.within(excess, unknown=unknown)
            made = tuple(Table(self.scope, over_scope(h, self.scope, self.slots)) for h in halves)
            self.bounds[key] = made
        return self.bounds[key]

    def summands_over(self, chosen: Places) -> list[Table]:
        """Summands of a sum, the heaviest slots first, over the kinds to keep."""
        kept = self._kept(chosen)
        return [summand.at(kept) for summand in self.summands]

    def halves(self, level: State, chosen: Places) -> tuple[Table, ...]:
        """What is needed and what is allowed at a level, or one table of what is let through.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        chosen : Mapping
            By slot, the kinds to keep.
        """
        kept = self._kept(chosen)
        return tuple(table.at(kept).narrowed() for table in self.sides[level])

    def partners(
        self, level: State, alive: Mapping[str, BoolArray]
    ) -> Iterator[tuple[str, BoolArray]]:
        """For each slot, the kinds that the rule leaves a partner, problem by problem.

        A comparison is cut down first: what only the need moves with counts at its least, what
        only the allowance moves with at its most. So a wide rule is never laid out whole.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        alive : Mapping of str to ndarray of bool
            By slot, shape (problems, all kinds): what may be a partner.
        """
        here = {slot: alive[slot][:, self.live[slot]] for slot in self.scope}
        for slot, has in self._having_partner(level, here):
            every = np.zeros_like(alive[slot])
            every[:, self.live[slot]] = has
            yield slot, every & alive[slot]

    def _having_partner(
        self, level: State, here: Mapping[str, BoolArray]
    ) -> Iterator[tuple[str, BoolArray]]:
        kept = self._kept(self.live)
        if self.total is not None:
            yield from light_enough(self.total.ceiling(level), self.summands, here, kept)
            return
        cut = [table.at(kept) for table in self.sides[level]]
        standing = {slot: Table((slot,), flags).over(self.scope) for slot, flags in here.items()}
        if len(cut) == 1:
            allowed: BoolArray = np.asarray(cut[0].values)
            for flags in standing.values():
                allowed = np.logical_and(allowed, flags)
            for axis, slot in enumerate(self.scope, start=1):
                yield slot, np.asarray(allowed.any(axis=others(allowed.ndim, axis)))
            return
        need, allow = (np.asarray(table.values, dtype=np.float64) for table in cut)
        yield from compared_partners(self.scope, need, allow, standing)


def tables_of(  # noqa: PLR0917 - a rule, its outcome, and what it was heard for
    judgement: Judgement,
    outcome: Outcome,
    slots: Scope,
    live: Places,
    places: Places,
    heard: Applied | None = None,
) -> RuleTables:
    """Keep what a rule said over a grid, with the problems along a first axis of their own.

    Parameters
    ----------
    judgement : Judgement
        The rule.
    outcome : Comparison, Grades or Total
        Arrays over the grid.
    slots : tuple of str
        Slots of the grid behind the first axis.
    live, places, heard
        As for `RuleTables`.
    """
    scope = tuple(slot for slot in judgement.scope if slot in live)
    if isinstance(outcome, Total):
        summands = tuple(_summand(each, scope, slots) for each in outcome.summands)
        return RuleTables(judgement, live, places, {}, outcome, summands, heard, outcome, slots)
    by_end: dict[Hashable, tuple[Table, ...]] = {}
    sides: dict[State, tuple[Table, ...]] = {}
    for level in LISTED:
        end = _end(outcome, level)
        if end not in by_end:
            if isinstance(outcome, Comparison):
                halves: tuple[AnyArray, ...] = outcome.sides(level)
            else:
                halves = (np.asarray(outcome.states <= level),)
            by_end[end] = tuple(Table(scope, over_scope(half, scope, slots)) for half in halves)
        sides[level] = by_end[end]
    return RuleTables(judgement, live, places, sides, None, (), heard, outcome, slots)


def _end(outcome: Outcome, level: State) -> Hashable:
    """What a level looks at: levels that look at the same share their tables."""
    if not isinstance(outcome, Comparison):
        return level
    unknown = not all(each.all_known for each in outcome.bounds)
    if level >= outcome.cap:
        return unknown and level
    return (
        *(id(each.end(level)) for each in outcome.bounds),
        level is State.FITS and outcome.caution > 0.0,
        unknown and level is State.UNPROVEN,
    )


def _holds(sides: Sequence[Table]) -> bool:
    """True if a need is nowhere above its allowance, or all is allowed."""
    if len(sides) == 1:
        return sides[0].allows_all
    need, allow = (table.values for table in sides)
    return not need.size or not allow.size or bool(need.max() <= allow.min())


def over_scope(values: NDArray[np.generic], scope: Scope, slots: Scope) -> AnyArray:
    """An array over a grid, with the problems in front, as one over the problems and a scope."""
    full = values.reshape((1,) * (len(slots) + 1 - values.ndim) + values.shape)
    kept = (0, *(1 + slots.index(slot) for slot in scope))
    others = tuple(axis for axis in range(full.ndim) if axis not in kept)
    return full.squeeze(axis=others)


def _summand(values: NDArray[np.float64], scope: Scope, slots: Scope) -> Table:
    """A summand over the slots that move it, at least by their length."""
    return Table(scope, over_scope(values, scope, slots)).narrowed()


def _joined(scope: Scope, cut: Sequence[Table]) -> Table:
    if len(cut) == 1:
        return cut[0]
    need, allow = (table.over(scope) for table in cut)
    return Table(scope, np.asarray(need <= allow))
