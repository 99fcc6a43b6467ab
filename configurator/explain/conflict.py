"""Why nothing is left: minimal sets of wishes that no build meets at once, step by step.

What can be moved is in the foreground: rules that read the request, picks and exclusions.
Rules that only look at whether parts go together are background and never blamed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Literal

import numpy as np

from configurator.engine.minimal import minimal_conflicts
from configurator.explain.blame import Group, fold, some
from configurator.explain.deadline import Deadline
from configurator.explain.live import Flags, Live, emptied
from configurator.explain.nearest import Miss, miss_of, nearest_place
from configurator.explain.standing import Ground, Judgement
from configurator.explain.wishes import Datum, fields_asked, stated
from configurator.request.movable import US
from configurator.rules.applied import best_states

CONFLICTS = 3
"""Most conflicts that are told by default: more than a reader weighs against each other."""

TESTS = 50
"""Sets of items tried after the first conflict, up to which others are looked for.

A number and no time, so that an explanation is the same on every machine.
"""

LONGEST = 8.0
"""Processor time after which no further conflict is looked for, however few were tried. [s]"""


@dataclass(frozen=True, slots=True)
class Step:
    """One member of a conflict and what it takes out of what the members before it leave.

    Attributes
    ----------
    kind : str
        rule, pick or without.
    name : str
        The rule's name, or the slot.
    groups : tuple of Group
        Parts that it takes out by itself; none if it only forbids combinations.
    nearest : Miss or None
        Its finding on what comes nearest to passing; for a pick that does not go together with
        what stands, the finding that says so; else None.
    source : str
        Where its limit or formula comes from.
    asked : tuple of Datum
        Values of the request behind it.
    """

    kind: Literal["rule", "pick", "without"]
    name: str
    groups: tuple[Group, ...]
    nearest: Miss | None
    source: str
    asked: tuple[Datum, ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A minimal set of rules, picks and exclusions that leaves no build.

    Attributes
    ----------
    steps : tuple of Step
        The members, narrowest first.
    emptied : tuple of str
        Slots for which no part is left in the end; none if parts are left that do not go
        together.
    left : Mapping[str, int]
        Parts left by slot where none is emptied.
    """

    steps: tuple[Step, ...]
    emptied: tuple[str, ...]
    left: Mapping[str, int]

    @property
    def members(self) -> frozenset[tuple[str, str]]:
        """Kind and name of each member."""
        return frozenset((step.kind, step.name) for step in self.steps)

    @property
    def asked(self) -> tuple[Datum, ...]:
        """Every value of the request behind the conflict, once."""
        return tuple({datum.field: datum for step in self.steps for datum in step.asked}.values())


@dataclass(frozen=True, slots=True)
class Conflicts:
    """The conflicts of a request.

    Attributes
    ----------
    found : tuple of Conflict
        Different minimal ones.
    complete : bool
        True if there are no others.
    catalog_alone : bool
        True if the catalog has builds as long as nobody wishes anything.
    """

    found: tuple[Conflict, ...]
    complete: bool
    catalog_alone: bool


class Board:
    """A ground with the picks and exclusions of its request: what a conflict is made of.

    Parameters
    ----------
    ground : Ground
        All rules over all parts.
    given : Mapping[str, str]
        Parts that are taken as settled, by slot: never blamed.
    """

    def __init__(self, ground: Ground, given: Mapping[str, str] | None = None) -> None:
        self.ground = ground
        question = ground.case.subject.question
        given = given or {}
        self.start = _held(ground.all_parts, ground, given)
        self.picks = tuple((s, n) for s, n in sorted(question.picks.items()) if s not in given)
        self.without = tuple(
            (slot, tuple(sorted(names)))
            for slot, names in sorted(question.without.items())
            if names and slot not in given
        )
        judged = ground.judgements
        self.background = tuple(n for n, each in enumerate(judged) if not each.rule.asks)
        self.rules = tuple(n for n, each in enumerate(judged) if each.rule.asks)
        # Items: picks first, then exclusions, then rules from the narrowest on.
        self._wishes = len(self.picks) + len(self.without)
        self._known: dict[frozenset[int], bool] = {}

    @cached_property
    def items(self) -> tuple[int, ...]:
        """Whatever may be blamed, what a reader follows best first."""
        biting = (number for number in self.rules if self.ground.bites(number))
        return (*range(self._wishes), *(self._wishes + number for number in biting))

    @property
    def wished(self) -> Live:
        """Parts that all picks and exclusions leave."""
        return self.live(range(self._wishes))

    def exists(self, known: Ground | None = None) -> bool:
        """Whether a build meets everything.

        Parameters
        ----------
        known : Ground, optional
            Of another request: hears what has not moved since.
        """
        every = range(len(self.ground.judgements))
        return self.ground.exists(every, self.wished, known=known)

    def rule(self, item: int) -> int | None:
        """Place of an item's judgement; None for picks and exclusions."""
        return None if item < self._wishes else item - self._wishes

    def _field(self, item: int) -> str:
        if item < len(self.picks):
            return f"pick {self.picks[item][0]}"
        return f"without {self.without[item - len(self.picks)][0]}"

    def live(self, items: Iterable[int]) -> Live:
        """Parts that picks and exclusions among some items leave."""
        live = {slot: mask.copy() for slot, mask in self.start.items()}
        for item in items:
            if item < len(self.picks):
                slot, name = self.picks[item]
                live[slot] &= _named(self.ground, slot, (name,))
            elif item < self._wishes:
                slot, names = self.without[item - len(self.picks)]
                live[slot] &= ~_named(self.ground, slot, names)
        return live

    def satisfiable(self, items: frozenset[int]) -> bool:
        """Whether a build meets some items and the background."""
        if items not in self._known:
            numbers = {self.rule(item) for item in items} - {None}
            numbers |= set(self.background)
            wanted = frozenset(number for number in numbers if number is not None)
            self._known[items] = self.ground.exists(wanted, self.live(items), over=self.start)
        return self._known[items]

    def relaxable(self, asked: Callable[[Judgement], bool], fields: Collection[str]) -> bool:
        """Whether a build is left once some rules, picks and exclusions are dropped.

        Parameters
        ----------
        asked : callable
            Says of a judgement whether it is dropped.
        fields : collection of str
            Picks and exclusions that are dropped, as `pick stator`.
        """
        judged = self.ground.judgements
        kept = []
        for item in self.items:
            number = self.rule(item)
            if number is None and self._field(item) in fields:
                continue
            if number is None or not asked(judged[number]):
                kept.append(item)
        return self.satisfiable(frozenset(kept))

    @cached_property
    def alone(self) -> tuple[int, ...]:
        """Items each of which leaves no build all by itself; none if nothing is left anyway."""
        if not self.satisfiable(frozenset()):
            return ()
        return tuple(item for item in self.items if not self.satisfiable(frozenset({item})))

    def conflicts(self, limit: int = CONFLICTS, without: Collection[int] = ()) -> Conflicts:
        """Find minimal conflicts and tell each step by step.

        Parameters
        ----------
        limit : int
            Most conflicts to tell.
        without : collection of int
            Items that are left aside.
        """
        if not self.satisfiable(frozenset()):
            return Conflicts((), complete=True, catalog_alone=False)
        first: list[int] = []
        deadline = Deadline(LONGEST)

        def enough() -> bool:
            first.append(len(self._known))
            return deadline.expired() or len(self._known) - first[0] > TESTS

        items = [item for item in self.items if item not in without]
        every = minimal_conflicts(items, self.satisfiable, enough)
        found = list(islice(every, limit + 1))
        stopped = deadline.met or bool(first and len(self._known) - first[0] > TESTS)
        complete = len(found) <= limit and not stopped
        told = tuple(self.told(members) for members in found[:limit])
        return Conflicts(told, complete, catalog_alone=True)

    def told(self, members: frozenset[int]) -> Conflict:
        """Work out, member by member, what each takes out of what is still standing."""
        ground = self.ground
        live = ground.standing(self.background, self.start)
        heard = list(self.background)
        steps = []
        for item in sorted(members):
            number = self.rule(item)
            if number is None:
                step, live = self._wish_step(item, live)
            else:
                step = self._rule_step(number, live)
                heard.append(number)
            steps.append(step)
            live = ground.standing(heard, live)
        gone = emptied(live)
        if gone:
            # Once one slot is empty, dropping its partners is book-keeping: name the first.
            gone = self._first_emptied(steps, gone)
        left = {} if gone else {slot: int(mask.sum()) for slot, mask in live.items()}
        return Conflict(tuple(steps), gone, left)

    @staticmethod
    def _first_emptied(steps: Sequence[Step], gone: tuple[str, ...]) -> tuple[str, ...]:
        by_last = [group.slot for group in steps[-1].groups if len(group.names) == group.standing]
        return tuple(slot for slot in by_last if slot in gone)[:1] or gone[:1]

    def _wish_step(self, item: int, live: Live) -> tuple[Step, Live]:
        after = self.live([item])
        if item < len(self.picks):
            slot, name = self.picks[item]
            datum = Datum(f"pick {slot}", name, "", US)
            kind: Literal["pick", "without"] = "pick"
        else:
            slot, names = self.without[item - len(self.picks)]
            datum = Datum(f"without {slot}", some(names), "", US)
            kind = "without"
        left = {each: mask & after[each] for each, mask in live.items()}
        nearest = self._misfit(after)
        return Step(kind, slot, (), nearest, "", (datum,)), left

    def _misfit(self, live: Live) -> Miss | None:
        """What keeps picked parts apart that do not even go together; None if they do."""
        ground = self.ground
        if emptied(live) or not emptied(ground.standing(self.background, live)):
            return None
        for number in self.background:
            applied = ground.over(number, live)
            for slot in () if applied is None else applied.scope:
                assert applied is not None  # else it has no slots here
                out = best_states(applied, slot) > ground.level
                if out.all():
                    place = nearest_place(applied, slot, out)
                    return miss_of(applied, slot, place, ground.level)
        return None

    def _rule_step(self, number: int, live: Live) -> Step:
        ground = self.ground
        judged = ground.judgements[number]
        rule = judged.rule
        asked = stated(ground.case.subject, fields_asked(rule.asks, judged.side.prefix))
        applied = None if emptied(live) else ground.over(number, live)
        if applied is None:
            return Step("rule", judged.title, (), None, rule.source, asked)
        groups: list[Group] = []
        nearest: tuple[int, Miss] | None = None
        for slot in applied.scope:
            out = best_states(applied, slot) > ground.level
            if not out.any():
                continue
            group = fold(slot, applied.case.frame.parts[slot], out, rule.parts)
            groups.append(group)
            if nearest is None or len(group.names) > nearest[0]:
                place = nearest_place(applied, slot, out)
                nearest = (len(group.names), miss_of(applied, slot, place, ground.level))
        if nearest is None:
            slot = applied.scope[0] if applied.scope else applied.case.frame.slots[0]
            every = np.ones(len(applied.case.frame.parts[slot]), dtype=np.bool_)
            place = nearest_place(applied, slot, every) if applied.scope else 0
            nearest = (0, miss_of(applied, slot, place, ground.level))
        return Step("rule", judged.title, tuple(groups), nearest[1], rule.source, asked)


def _held(live: Live, ground: Ground, given: Mapping[str, str]) -> Live:
    for slot, name in given.items():
        live[slot] &= _named(ground, slot, (name,))
    return live


def _named(ground: Ground, slot: str, names: Sequence[str]) -> Flags:
    return np.array([part.name in names for part in ground.case.frame.parts[slot]], dtype=np.bool_)
