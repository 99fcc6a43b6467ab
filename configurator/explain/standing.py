"""Which parts stand under some of the rules, and whether they still make a build.

Rules over few slots are heard once over all parts and kept as tables. Wide ones are heard only
where the narrow ones leave parts for every slot, over those parts alone; that makes it quick to
ask about many different sets of rules.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from configurator.engine import BuildSpace
from configurator.explain.live import Flags, Live, emptied, within
from configurator.explain.part_kinds import Kinds, kinds_of_parts
from configurator.explain.rules_heard import RulesHeard
from configurator.explain.tally import TooWideError
from configurator.rules.applied import Applied, apply_rule, best_states, judgements, scope_of
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.hydraulics import Hydraulics
from configurator.rules.narrowing import NARROW_UP_TO, cells
from configurator.rules.rule import Rule
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.side import Side
from configurator.rules.subject import Subject
from configurator.rules.tables import Tables
from configurator.workshop.answer import Answer
from configurator.workshop.answering import parts_of


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
    hydraulics : Hydraulics, optional
        Pressure and slip over the frame, where they are known from another request.
    """

    def __init__(
        self,
        subject: Subject,
        frame: Frame,
        level: State = State.UNPROVEN,
        hydraulics: Hydraulics | None = None,
    ) -> None:
        self.case = Case(subject, frame, hydraulics)
        self.level = level
        found = []
        for rule, side in judgements(self.case, RULEBOOK):
            scope = scope_of(rule, self.case, side)
            narrow = len(scope) <= 1 or cells(self.case, scope) <= NARROW_UP_TO
            found.append(Judgement(rule, side, scope, narrow))
        found.sort(key=lambda each: (not each.narrow, len(each.scope)))
        self.judgements: tuple[Judgement, ...] = tuple(found)
        """From the narrowest to the widest, which is also from the plainest to the least so."""
        self.moved: frozenset[int] = frozenset(range(len(found)))
        """Judgements that were not taken over from the ground of another request."""
        self._tables: dict[int, Flags | None] = {}
        self._applied: dict[tuple[int, bytes], Applied | None] = {}
        self._cases: dict[bytes, tuple[Case, Live]] = {}
        self._known: Ground | None = None

    @classmethod
    def of(cls, answer: Answer, level: State = State.UNPROVEN) -> Ground:
        """The ground of an answer, with the parts that its request excludes."""
        question = answer.subject.question
        if not any(question.without.values()):
            return cls(answer.subject, answer.frame, level)
        parts = parts_of(replace(question, without={}), answer.subject.catalog)
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
        other = Ground(subject, self.case.frame, self.level, self.case.hydraulics.under(subject))
        moved = frozenset(n for n, judged in enumerate(self.judgements) if moves(judged))
        other.keep(self, moved)
        return other

    def keep(self, known: Ground, moved: frozenset[int]) -> None:
        """Take over what was heard for another request and holds for this one too.

        Parameters
        ----------
        known : Ground
            Of the other request, over the same parts.
        moved : frozenset of int
            Judgements that may say something else here.
        """
        self.moved = moved
        self._known = known
        vars(self)["kinds"] = known.kinds
        self._tables.update((n, table) for n, table in known._tables.items() if n not in moved)
        self._applied.update((k, each) for k, each in known._applied.items() if k[0] not in moved)

    @cached_property
    def narrow(self) -> frozenset[int]:
        """Judgements that are kept as tables over all parts."""
        return frozenset(n for n, judged in enumerate(self.judgements) if judged.narrow)

    @cached_property
    def lone(self) -> frozenset[int]:
        """Judgements over one slot, or over none."""
        return frozenset(n for n in self.narrow if len(self.judgements[n].scope) <= 1)

    @cached_property
    def wide(self) -> frozenset[int]:
        """All other judgements."""
        return frozenset(range(len(self.judgements))) - self.narrow

    @cached_property
    def kinds(self) -> Kinds:
        """By slot, the kind of each part: wide judgements tell no parts of one kind apart."""
        wide = [self.judgements[number] for number in sorted(self.wide)]
        return kinds_of_parts(self.case.frame.parts, wide)

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
            judged = self.judgements[number]
            sides = {side.prefix: side for side in self._case_of(stand, live).sides}
            case = self._case_of(stand, live)
            self._applied[key] = apply_rule(case, judged.rule, sides[judged.side.prefix])
        return self._applied[key]

    def over_all(self, number: int) -> Applied | None:
        """One judgement over all parts."""
        key = (number, b"")
        if key not in self._applied:
            judged = self.judgements[number]
            self._applied[key] = apply_rule(self.case, judged.rule, judged.side)
        return self._applied[key]

    def case_over(self, live: Mapping[str, Flags]) -> Case:
        """The case over the parts that stand: one for all judgements, which share most work."""
        return self._case_of(b"".join(mask.tobytes() for mask in live.values()), live)

    def _case_of(self, stand: bytes, live: Mapping[str, Flags]) -> Case:
        if stand not in self._cases:
            # What was worked out for more parts holds for fewer.
            wider, around = min(
                (found for found in self._cases.values() if within(live, found[1])),
                key=lambda found: sum(int(mask.sum()) for mask in found[1].values()),
                default=(self.case, self.all_parts),
            )
            places = {slot: np.flatnonzero(mask[around[slot]]) for slot, mask in live.items()}
            known = None if self._known is None else self._known.heard_over(stand)
            alike = known is not None and known.subject.flows_like(self.case.subject)
            case = known.under(self.case.subject) if known and alike else wider.only(places)
            self._cases[stand] = case, {slot: mask.copy() for slot, mask in live.items()}
        return self._cases[stand][0]

    def heard_over(self, stand: bytes) -> Case | None:
        """The case over some parts, if anything was heard over them."""
        found = self._cases.get(stand)
        return None if found is None else found[0]

    def _table(self, number: int) -> Flags | None:
        """What a narrow judgement lets through, over its scope of all parts."""
        if number not in self._tables:
            applied = self.over_all(number)
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

    def exists(
        self,
        numbers: Collection[int],
        start: Mapping[str, Flags],
        *,
        known: Ground | None = None,
        over: Live | None = None,
    ) -> bool:
        """Whether a build passes all of some judgements.

        Parameters
        ----------
        numbers : collection of int
            Places in `judgements`.
        start : Mapping[str, ndarray]
            Parts that it may be made of.
        known : Ground, optional
            Of another request: hears what has not moved since.
        over : Mapping[str, ndarray], optional
            Parts over which wide judgements are heard, once for all questions that name the same
            ones; those that stand if none are named, which is quicker for a single question.
        """
        try:
            heard = RulesHeard.of(self, frozenset(numbers), dict(start), known=known, over=over)
            return heard is not None and heard.some(self.level)
        except TooWideError:
            return self._exists_in_space(numbers, start)

    def _exists_in_space(self, numbers: Collection[int], start: Mapping[str, Flags]) -> bool:
        live = self.standing(numbers, start)
        if emptied(live):
            return False
        found = [self.over(number, live) for number in sorted(numbers)]
        tables = Tables([each for each in found if each is not None]).at(self.level)
        domains = {slot: int(mask.sum()) for slot, mask in live.items()} | tables.helpers
        return BuildSpace(domains, tables.relations, tables.thresholds).count() > 0


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
