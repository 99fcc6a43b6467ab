"""Which parts stand under some of the rules, and whether they still make a build.

Rules over few slots are heard once over all parts and kept as tables. Wide ones are heard only
where the narrow ones leave parts for every slot, over those parts alone; that makes it quick to
ask about many different sets of rules.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from configurator.answer import Answer
from configurator.configure import parts_of
from configurator.rules.applied import Applied, apply_rule, best_states, judgements, scope_of
from configurator.rules.case import Case, Subject
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.narrowing import NARROW_UP_TO, cells
from configurator.rules.rule import Rule
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.side import Side
from configurator.rules.tables import Tables
from configurator.solve import BuildSpace

Flags = NDArray[np.bool_]

Live = dict[str, Flags]
"""By slot, which of all its parts stand."""


@dataclass(frozen=True, eq=False)
class Judgement:
    """A rule with the side that it judges.

    Attributes
    ----------
    rule : Rule
        The rule.
    side : Side
        The side, as of the case over all parts.
    scope : tuple of str
        Slots that it depends on.
    narrow : bool
        True if it is kept as a table over all parts.
    """

    rule: Rule
    side: Side
    scope: tuple[str, ...]
    narrow: bool

    @property
    def title(self) -> str:
        """Name of the rule with its side."""
        return self.rule.name if self.rule.whole else self.rule.title(self.side.prefix)


class Ground:
    """All rules over all parts that a request could take, excluded ones as well.

    Parameters
    ----------
    subject : Subject
        The request worked out.
    frame : Frame
        All parts, by slot.
    level : State
        Up to which state a build passes.
    """

    def __init__(self, subject: Subject, frame: Frame, level: State = State.UNPROVEN) -> None:
        self.case = Case(subject, frame)
        self.level = level
        found = []
        for rule, side in judgements(self.case, RULEBOOK):
            scope = scope_of(rule, self.case, side)
            narrow = len(scope) <= 1 or cells(self.case, scope) <= NARROW_UP_TO
            found.append(Judgement(rule, side, scope, narrow))
        found.sort(key=lambda each: (not each.narrow, len(each.scope)))
        self.judgements: tuple[Judgement, ...] = tuple(found)
        """From the narrowest to the widest, which is also from the plainest to the least so."""
        self._tables: dict[int, Flags | None] = {}
        self._applied: dict[tuple[int, bytes], Applied | None] = {}
        self._cases: dict[bytes, Case] = {}

    @classmethod
    def of(cls, answer: Answer, level: State = State.UNPROVEN) -> Ground:
        """The ground of an answer, with the parts that its request excludes."""
        request = answer.subject.request
        if not any(request.without.values()):
            return cls(answer.subject, answer.frame, level)
        parts = parts_of(replace(request, without={}), answer.subject.catalog)
        return cls(answer.subject, Frame(parts), level)

    def turned(self, subject: Subject, moves: Callable[[Judgement], bool]) -> Ground:
        """The ground of a changed request, keeping what the change cannot move.

        Parameters
        ----------
        subject : Subject
            The changed request worked out.
        moves : callable
            Says of a judgement whether the change could move it.
        """
        other = Ground(subject, self.case.frame, self.level)
        still = {n for n, judged in enumerate(self.judgements) if not moves(judged)}
        other.keep(
            {n: table for n, table in self._tables.items() if n in still},
            {key: each for key, each in self._applied.items() if key[0] in still},
        )
        return other

    def keep(
        self,
        tables: Mapping[int, Flags | None],
        applied: Mapping[tuple[int, bytes], Applied | None],
    ) -> None:
        """Take over what was heard for another request and holds for this one too."""
        self._tables.update(tables)
        self._applied.update(applied)

    @property
    def all_parts(self) -> Live:
        """Every part of every slot."""
        return {
            slot: np.ones(len(parts), dtype=np.bool_)
            for slot, parts in self.case.frame.parts.items()
        }

    def over(self, number: int, live: Mapping[str, Flags]) -> Applied | None:
        """One judgement over the parts that stand; None if the request does not ask for it."""
        stand = b"".join(mask.tobytes() for mask in live.values())
        key = (number, stand)
        if key not in self._applied:
            case = self._case_of(stand, live)
            judged = self.judgements[number]
            sides = {side.prefix: side for side in case.sides}
            self._applied[key] = apply_rule(case, judged.rule, sides[judged.side.prefix])
        return self._applied[key]

    def _case_of(self, stand: bytes, live: Mapping[str, Flags]) -> Case:
        """One case for all judgements over the same parts: they share most of their work."""
        if all(mask.all() for mask in live.values()):
            return self.case
        if stand not in self._cases:
            places = {slot: np.flatnonzero(mask) for slot, mask in live.items()}
            self._cases[stand] = Case(self.case.subject, self.case.frame.only(places))
        return self._cases[stand]

    def _table(self, number: int) -> Flags | None:
        """What a narrow judgement lets through, over its scope of all parts."""
        if number not in self._tables:
            applied = self.over(number, self.all_parts)
            self._tables[number] = None if applied is None else _passing(applied, self.level)
        return self._tables[number]

    def bites(self, number: int) -> bool:
        """Whether a judgement can rule anything out; only narrow ones are looked into."""
        if not self.judgements[number].narrow:
            return True
        table = self._table(number)
        return table is not None and not bool(table.all())

    def standing(self, numbers: Collection[int], start: Mapping[str, Flags]) -> Live:
        """Parts that each of the judgements leaves a partner, among those that stand already.

        Parameters
        ----------
        numbers : collection of int
            Places in `judgements`.
        start : Mapping[str, ndarray]
            Parts that stand before any of them is heard.
        """
        live = {slot: mask.copy() for slot, mask in start.items()}
        narrow = [number for number in sorted(numbers) if self.judgements[number].narrow]
        wide = [number for number in sorted(numbers) if not self.judgements[number].narrow]
        self._settle(narrow, live)
        if wide and not emptied(live):
            seen = dict(live)
            live = {slot: mask.copy() for slot, mask in seen.items()}
            for number in wide:
                self._drop_wide(number, seen, live)
            self._settle(narrow, live)
        return live

    def _settle(self, narrow: Iterable[int], live: Live) -> None:
        """Drop parts without partners until nothing moves any more, or a slot is empty."""
        # What is known already is heard first: it often empties a slot by itself.
        pending = sorted(narrow, key=lambda number: number not in self._tables)
        moved = True
        while moved and not emptied(live):
            moved = False
            for number in pending:
                table = self._table(number)
                moved |= table is not None and _drop(table, self.judgements[number].scope, live)
                if emptied(live):
                    return

    def _drop_wide(self, number: int, seen: Mapping[str, Flags], live: Live) -> None:
        applied = self.over(number, seen)
        if applied is None:
            return
        if not applied.scope and not _passing(applied, self.level).all():
            for mask in live.values():
                mask[:] = False
        for slot in applied.scope:
            kept = best_states(applied, slot) <= self.level
            live[slot][np.flatnonzero(seen[slot])[~kept]] = False

    def exists(self, numbers: Collection[int], start: Mapping[str, Flags]) -> bool:
        """Whether a build passes all of some judgements.

        Parameters
        ----------
        numbers : collection of int
            Places in `judgements`.
        start : Mapping[str, ndarray]
            Parts that it may be made of.
        """
        live = self.standing(numbers, start)
        if emptied(live):
            return False
        over = [self.over(number, live) for number in sorted(numbers)]
        found = Tables([each for each in over if each is not None]).at(self.level)
        domains = {slot: int(mask.sum()) for slot, mask in live.items()} | found.helpers
        return BuildSpace(domains, found.relations, found.thresholds).count() > 0


def emptied(live: Mapping[str, Flags]) -> tuple[str, ...]:
    """Slots for which no part stands."""
    return tuple(slot for slot, mask in live.items() if not mask.any())


def _passing(applied: Applied, level: State) -> Flags:
    return np.asarray(applied.states <= level)


def _drop(table: Flags, scope: tuple[str, ...], live: Live) -> bool:
    """Drop the parts of a scope that a table leaves no partner; True if there were any."""
    if not scope:
        if not table.all():
            for mask in live.values():
                mask[:] = False
            return True
        return False
    places = [np.flatnonzero(live[slot]) for slot in scope]
    among = table[np.ix_(*places)]
    moved = False
    for axis, slot in enumerate(scope):
        others = tuple(at for at in range(len(scope)) if at != axis)
        lost = places[axis][~among.any(axis=others)]
        if len(lost):
            live[slot][lost] = False
            moved = True
    return moved
