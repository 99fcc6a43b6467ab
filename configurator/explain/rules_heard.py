"""What some rules say of a request, by kinds of parts: whether a build passes them, or how many.

No space is made and no build listed. Rules over few slots are kept as tables over all parts; wide
ones are heard over one part of each kind, since most rules read few figures of a part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.explain.heard import CLASS_MARK, Few, Heard, Many, alone, settled, together
from configurator.explain.live import Flags, Live, emptied, first_of_each
from configurator.explain.part_kinds import Kinds, kinds_within
from configurator.explain.tally import Sieve, Table, some, total
from configurator.explain.without_slip import too_fast_anyway
from configurator.rules.finding import State

if TYPE_CHECKING:
    from configurator.explain.standing import Ground


@dataclass(frozen=True, eq=False)
class RulesHeard:
    """What some rules say of the parts that they leave.

    Attributes
    ----------
    ground : Ground
        The request over all parts.
    live : Mapping[str, ndarray of bool]
        Parts that stand.
    kinds : Mapping[str, ndarray of int]
        By slot, the kind of each part that stands.
    few : tuple of Few
        Rules over few slots, over the parts that stand.
    many : tuple of Many
        Rules over many slots, over their kinds.
    """

    ground: Ground
    live: Live
    kinds: Kinds
    few: tuple[Few, ...]
    many: tuple[Many, ...]

    @classmethod
    def of(
        cls,
        ground: Ground,
        numbers: frozenset[int],
        start: Live,
        *,
        known: Ground | None = None,
        over: Live | None = None,
    ) -> RulesHeard | None:
        """Hear some judgements of a ground.

        Parameters
        ----------
        ground : Ground
            Of the request.
        numbers : frozenset of int
            Places of the judgements.
        start : Mapping[str, ndarray of bool]
            Parts that stand before any of them is heard.
        known : Ground, optional
            Ground of another request, which hears the judgements that have not moved since.
        over : Mapping[str, ndarray of bool], optional
            Parts over which wide judgements are heard, so that others can share the hearing; as
            few as may be if none are named.

        Returns
        -------
        RulesHeard or None
            None if some slot is left without a part.
        """
        hearing = _Hearing(ground, numbers, known or ground, over)
        lone = ground.standing(numbers & ground.lone, start)
        if emptied(lone):
            return None
        few = together(hearing.few(lone))
        live = settled(few, lone, ground.level)
        if over is None and not emptied(live) and hearing.wide_moved:
            case = ground.case_over(lone)
            few += too_fast_anyway(case, live, lone, hearing.names)
            live = settled(few, lone, ground.level)
        if emptied(live):
            return None
        few = [each.over(live, lone) for each in few]
        kinds = kinds_within({slot: ground.kinds[slot][mask] for slot, mask in live.items()}, few)
        return cls(ground, live, kinds, tuple(few), tuple(hearing.many(live, kinds, start)))

    def count(self, level: State) -> int:
        """Builds that all rules let through up to a level."""
        sieve, _ = self._sifted(level)
        return 0 if sieve.emptied else total(sieve.tables, sieve.sizes, _turn)

    def some(self, level: State) -> bool:
        """Whether there is one."""
        sieve, _ = self._sifted(level)
        return not sieve.emptied and some(sieve.tables, sieve.sizes, _turn)

    def parts(self, level: State) -> dict[str, frozenset[str]] | None:
        """Names of the parts that such builds can be made of; None if there are none."""
        sieve, passing = self._sifted(level)
        if sieve.emptied or not some(sieve.tables, sieve.sizes, _turn):
            return None
        found = {}
        for slot, mask in self.live.items():
            kept = np.isin(self.kinds[slot], sieve.kept[slot]) & passing[slot]
            parts = self.ground.case.frame.parts[slot]
            found[slot] = frozenset(parts[place].name for place in np.flatnonzero(mask)[kept])
        return found

    def _sifted(self, level: State) -> tuple[Sieve, dict[str, Flags]]:
        """All tables of a level, and which parts pass the rules over them alone."""
        sieve = Sieve({slot: int(numbers.max()) + 1 for slot, numbers in self.kinds.items()})
        passing = {}
        for table in alone(level, self.few, self.live):
            for slot in table.scope:
                passing[slot] = table.values
            if not table.scope:
                sieve.hear(table)
        for slot, passes in () if sieve.emptied else passing.items():
            sieve.hear(Table((slot,), np.bincount(self.kinds[slot], passes)))
        several: list[Heard] = [each.of_kinds(self.kinds) for each in self.few if each.several]
        for each in sorted([*several, *self.many], key=lambda each: each.cells):
            for table in () if sieve.emptied else each.tables(level, sieve.kept):
                sieve.hear(table)
        return sieve, passing


def _turn(slot: str) -> int:
    """Heads first, then what each side looks like to the other, then what both share."""
    if slot.startswith(CLASS_MARK):
        return 1
    return 2 if slot in SHARED_SLOTS else 0


@dataclass(frozen=True, eq=False)
class _Hearing:
    """Which judgements are heard, and over which parts."""

    ground: Ground
    numbers: frozenset[int]
    known: Ground
    over: Live | None

    @property
    def wide_moved(self) -> bool:
        """Whether a wide judgement has to be heard anew."""
        return self._own or bool(self.ground.moved & self.ground.wide & self.numbers)

    @property
    def names(self) -> frozenset[tuple[str, str]]:
        """Name and side of each."""
        judged = (self.ground.judgements[number] for number in self.numbers)
        return frozenset((each.rule.name, each.side.prefix) for each in judged)

    @property
    def _own(self) -> bool:
        return self.known is self.ground

    def _by(self, number: int) -> Ground:
        return self.ground if number in self.ground.moved else self.known

    def few(self, lone: Live) -> Iterator[Few]:
        """Rules over few slots that rule something out or leave it open, over what stands."""
        ground = self.ground
        for number in sorted(self.numbers & ground.narrow):
            by = self._by(number)
            # A table over all parts serves many questions; for one alone, fewer parts will do.
            if self._own or by is self.known or number in ground.lone:
                few = Few.of(by.over_all(number))
                few = None if few is None else few.over(lone, ground.all_parts)
            else:
                few = Few.of(by.over(number, lone))
            if few is not None and few.states.max(initial=State.FITS) > State.FITS:
                yield few

    def many(self, live: Live, kinds: Kinds, start: Live) -> Iterator[Many]:
        """Rules over many slots, heard over one part of each kind that they tell apart."""
        ground = self.ground
        numbers = sorted(self.numbers & ground.wide)
        if not numbers:
            return
        first = {
            slot: first_of_each(ground.kinds[slot], mask)
            for slot, mask in self._over(live, start).items()
        }
        places = {}
        for slot, mask in live.items():
            heard = ground.kinds[slot][first[slot]]
            wanted = ground.kinds[slot][mask][np.unique(kinds[slot], return_index=True)[1]]
            places[slot] = np.argmax(np.equal(heard, wanted[:, None]), axis=1)
        for number in numbers:
            many = Many.of(self._by(number).over(number, first), places)
            if many is not None:
                yield many

    def _over(self, live: Live, start: Mapping[str, Flags]) -> Mapping[str, Flags]:
        """Parts over which wide rules are heard.

        Requests that move none of them share a frame, and so a hearing.
        """
        if self.over is not None:
            return self.over
        if self.wide_moved:
            return live
        return self.known.standing((self.numbers & self.ground.narrow) - self.ground.moved, start)
