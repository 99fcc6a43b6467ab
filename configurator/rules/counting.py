"""How many builds are left up to each level, and whether there is one.

Each pair of mixer and tip is a problem of its own, and so is each size of each side: under one
size few parts of the other slots stand, so that tables are small. The slots of a side are summed
out once, whatever the other side does; the two meet in the few rules that read both.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import AnyArray, BoolArray
from configurator.engine.eliminate import Finish, exact, some
from configurator.engine.table import Table
from configurator.rules.finding import LISTED, State
from configurator.rules.frame import Floats
from configurator.rules.meeting import Meeting, met
from configurator.rules.mouths import Mouths, heads
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import RuleTables
from configurator.rules.ruleset import Judgement
from configurator.rules.side_slices import Cells, RulesOfSide, SideSlice, slices_of

AT_ONCE = 1_000_000
"""Cells of sides behind pairs of mixer and tip that are laid out at once: they stay in the cache."""

Among = Mapping[str, BoolArray]
"""By slot, shape (parts,): which may stand at all."""


class Count:
    """Builds of the requests of one propagation.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    levels : sequence of State, optional
        Up to which levels it will be asked, the widest last; all without it.

    Attributes
    ----------
    mouths : Mouths
        Pairs of kinds of mixer and tip that may stand.
    sides : list of list of SideSlice
        Each side by size; empty if one has no head at all.
    of_mouths, joint : dict of State to list of RuleTables
        By level, the rules over mixer and tip alone and those that read both sides.
    told : list of RuleTables
        All rules that may find one build better than another.
    """

    def __init__(self, left: Propagation, levels: Sequence[State] = LISTED) -> None:
        self.left = left
        many, rules = left.evaluation.many, left.evaluation.rules
        heard = [*(left.few if many else left.tables)]
        # Rules over many slots were heard for what the others leave alone.
        alive = {slot: rules.kinds[slot].any_of(each) for slot, each in left.stages[-1].items()}
        live = {slot: np.flatnonzero(each.any(axis=0)) for slot, each in alive.items()}
        own = {slot: places for slot, places in live.items() if slot not in SHARED_SLOTS}
        behind: list[Judgement] = []
        for each in left.not_heard(live) if many else ():
            if each.fixed or not set(SHARED_SLOTS) & set(each.scope):
                tables = left.evaluation.tables(each, live)
                heard += [] if tables is None else [tables]
            else:
                behind.append(each)
        decisive = {level: [*_decisive(heard, level)] for level in levels}
        self.told = [each for each in heard if each.tells_among(live)]
        self.of_mouths = _with_heads(decisive, 0)
        # What both sides decide is dear: what lets all that stands through decides nothing.
        self.joint = {
            level: [each for each in rules_of if not each.allows_all(level, live)]
            for level, rules_of in _with_heads(decisive, 2).items()
        }
        widest = levels[-1]
        pairs = [each.laid_out(widest, rules.every_kind) for each in self.of_mouths[widest]]
        self.mouths = Mouths.standing(alive, pairs)
        self.sides: list[list[SideSlice]] = []
        self._numbers: dict[Hashable, dict[str, Floats]] = {}
        self._found: dict[tuple[State, Finish], AnyArray] = {}
        if not len(self.mouths) or not all(map(len, own.values())):
            return
        there = left.evaluation.behind(self.mouths, own) if behind else None
        for each in behind if there is not None else ():
            tables = there.tables(each, own) if there and len(heads(each.scope)) > 1 else None
            if tables is not None:
                self.told.append(tables)
                for of_level in self.joint.values():
                    of_level.append(tables)
        fixed = [each for each in heard if each.is_pair]
        for head in heads(own):
            of_side = RulesOfSide(
                heard=_with_heads(decisive, 1, head),
                told=[each for each in self.told if heads(each.scope) == (head,)],
                behind=there,
                unheard=[each for each in behind if heads(each.scope) == (head,)],
                many=many,
                alive=alive,
                mouths=self.mouths,
                which=np.arange(len(self.mouths)),
                pairs=len(self.mouths),
            )
            self.sides.append(slices_of(of_side, head, live, fixed, levels))
        if not all(self.sides):
            self.sides = []  # one side has no head at all

    def up_to(self, level: State, among: Among | None = None) -> Floats:
        """Builds of each problem up to a level, exact.

        Parameters
        ----------
        level : State
            Up to which.
        among : Among, optional
            The parts to count with; all without it.

        Raises
        ------
        TooWideError
            If the engine has to give up.
        """
        if (self.left.floor > level).all():
            return np.zeros(len(self.left.floor))
        at_mouths = self._at_mouths(level, exact, among)
        return np.asarray(exact(self._of_problems(at_mouths, level)))

    def some(self, level: State) -> NDArray[np.bool_]:
        """Whether each problem has a build up to a level."""
        return self._of_problems(self._at_mouths(level, some), level) > 0

    def _of_problems(self, at_mouths: AnyArray, level: State) -> Floats:
        problems = self.left.evaluation.problems
        found = np.bincount(self.mouths.rows, at_mouths, minlength=problems)
        return np.where(self.left.floor <= level, found, 0.0)

    def _at_mouths(self, level: State, finish: Finish, among: Among | None = None) -> AnyArray:
        """Builds up to a level behind each pair of mixer and tip, or whether there is one."""
        key = level, finish
        if key in self._found and not among:
            return self._found[key]
        numbers = self.numbers(level, among or {})
        if not self.sides:
            return np.zeros(len(self.mouths))

        def counted(of_slice: SideSlice, cells: Cells, some: slice) -> AnyArray:
            return of_slice.numbers(level, numbers, cells, finish, some)

        total = self._together(level, counted)
        for slot in SHARED_SLOTS:
            total = total * self.mouths.of(Table((slot,), numbers[slot])).values
        for each in self.of_mouths[level]:
            total = total * each.laid_out(level, {}, self.mouths).values
        found = finish(total)
        if not among:
            self._found[key] = found
        return found

    def numbers(self, level: State, among: Among = MappingProxyType({})) -> dict[str, Floats]:
        """By slot, how many parts of each kind the rules on that slot let through to a level."""
        key = (level, *((slot, flags.tobytes()) for slot, flags in among.items()))
        if key not in self._numbers:
            kinds, begin = self.left.evaluation.rules.kinds, self.left.stages[0]
            found = {
                slot: kinds[slot].number_of(begin[slot] & (states <= level) & among.get(slot, True))
                for slot, states in self.left.parts.items()
            }
            for known in self._numbers.values():
                if all(np.array_equal(found[slot], known[slot]) for slot in found):
                    found = known
                    break
            self._numbers[key] = found
        return self._numbers[key]

    def _together(
        self, level: State, values_of: Callable[[SideSlice, Cells, slice], AnyArray]
    ) -> AnyArray:
        """All slices of all sides, behind each pair of mixer and tip."""
        joint = [each for each in self.joint[level] if not each.always[level]]
        sides, kinds = [], []
        for slices in self.sides:
            cells = [each.cells(joint, self.left.evaluation.rules) for each in slices]
            of_slices = [s.kinds(c) for s, c in zip(slices, cells, strict=True)]
            kinds.append({s: np.concatenate([k[s] for k in of_slices]) for s in cells[0]})
            sides.append([*zip(slices, cells, strict=True)])
        most = max(sum(len(next(iter(k.values()), (0,))) for k in kinds), 1)
        found = np.zeros(len(self.mouths))
        for start in range(0, len(found), max(1, AT_ONCE // most)):
            some = slice(start, start + max(1, AT_ONCE // most))
            numbers = [
                np.concatenate([values_of(s, c, some) for s, c in of_side], axis=-1)
                for of_side in sides
            ]
            if len(numbers) == 1:
                found[some] = numbers[0].sum(axis=-1)
                continue
            which = np.arange(len(found))[some]
            mouths = self.mouths.only(which)
            meetings = [Meeting.of(*each.met_at(level, mouths, which), *kinds) for each in joint]
            left, right = numbers
            found[some] = met(left, right, meetings)
        return found


def _with_heads(
    rules: dict[State, list[RuleTables]], number: int, head: str = ""
) -> dict[State, list[RuleTables]]:
    """By level, the rules that hold slots of so many sides, of one side those of that one."""
    return {
        level: [
            each
            for each in of_level
            if len(heads(each.scope)) == number and (number != 1 or heads(each.scope) == (head,))
        ]
        for level, of_level in rules.items()
    }


def _decisive(tables: Iterable[RuleTables], level: State) -> Iterator[RuleTables]:
    """All rules, and of sums that differ by their ceiling alone the tightest."""
    every = list(tables)
    sums = [each.total for each in every if each.total is not None]
    tightest = min(sums, key=lambda total: total.ceiling(level), default=None)
    for each in every:
        if (each.total is None or each.total is tightest) and not each.always[level]:
            yield each
