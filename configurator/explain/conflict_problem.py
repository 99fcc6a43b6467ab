"""Which wishes of a request no build meets at once, and what each of them takes out.

What can be moved is in the foreground: rules that read the request, picks and exclusions.
Rules that only look at whether parts go together are background and never blamed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import islice
from typing import Literal

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.conflict import (
    is_minimal_conflict_found,
    minimal_conflict,
    minimal_conflicts,
)
from configurator.explain.conflict import (
    Conflict,
    Conflicts,
    Group,
    Miss,
    Step,
    fold,
    miss_of,
    nearest_place,
    some,
)
from configurator.explain.request_data import Datum, fields_asked, stated
from configurator.explain.searches import Deadline
from configurator.request.movable import US
from configurator.rules.applied import Applied, best_states
from configurator.rules.evaluation import Evaluation, Live
from configurator.rules.existence import emptied, has_build
from configurator.rules.finding import State
from configurator.rules.propagation import Propagation
from configurator.rules.ruleset import Judgement

CONFLICTS = 3
"""Most conflicts that are told by default: more than a reader weighs against each other."""

TESTS = 50
"""Sets of items tried after the first conflict, up to which others are looked for.

A number and no time, so that an explanation is the same on every machine.
"""

SUSPECTS = 3
"""Conflicts of like requests that are tried for a new one."""

LONGEST = 8.0
"""Processor time after which no further conflict is looked for, however few were tried. [s]"""

Stand = dict[str, BoolArray]
"""By slot, which of all its parts stand."""


class ConflictProblem:
    """The rules, picks and exclusions of one request, over all parts that it could take.

    Excluded parts are among them. Those given, by slot, are settled and never blamed.
    """

    def __init__(self, evaluation: Evaluation, given: Mapping[str, str] | None = None) -> None:
        self._evaluation = evaluation
        self._frame = evaluation.rules.frame
        self._subject = evaluation.subjects[0]
        question = self._subject.question
        given = given or {}
        self.start = {
            slot: np.array([given.get(slot, part.name) == part.name for part in parts], np.bool_)
            for slot, parts in self._frame.parts.items()
        }
        self.picks = tuple((s, n) for s, n in sorted(question.picks.items()) if s not in given)
        self.without = tuple(
            (slot, tuple(sorted(names)))
            for slot, names in sorted(question.without.items())
            if names and slot not in given
        )
        # From the narrowest to the widest, which is also from the plainest to the least so.
        self._judgements = sorted(
            evaluation.rules.judgements, key=lambda each: (each.wide, len(each.scope))
        )
        self.background = frozenset(e.number for e in self._judgements if not e.rule.asks)
        # Items: picks first, then exclusions, then rules.
        self._wishes = len(self.picks) + len(self.without)
        self._known: dict[frozenset[int], bool] = {}
        self._hopeless: list[frozenset[int]] = []

    @cached_property
    def items(self) -> tuple[int, ...]:
        """Whatever may be blamed, what a reader follows best first."""
        rules = (
            self._wishes + place
            for place, each in enumerate(self._judgements)
            if each.rule.asks and self._evaluation.bites(each)
        )
        return (*range(self._wishes), *rules)

    def rule(self, item: int) -> Judgement | None:
        """An item's rule; None for picks and exclusions."""
        return None if item < self._wishes else self._judgements[item - self._wishes]

    def _field(self, item: int) -> str:
        if item < len(self.picks):
            return f"pick {self.picks[item][0]}"
        return f"without {self.without[item - len(self.picks)][0]}"

    def live(self, items: Iterable[int]) -> Stand:
        """Parts that picks and exclusions among some items leave."""
        live = dict(self.start)
        for item in items:
            if item < len(self.picks):
                slot, name = self.picks[item]
                live[slot] = live[slot] & self._named(slot, (name,))
            elif item < self._wishes:
                slot, names = self.without[item - len(self.picks)]
                live[slot] = live[slot] & ~self._named(slot, names)
        return live

    def _named(self, slot: str, names: Sequence[str]) -> BoolArray:
        return np.array([part.name in names for part in self._frame.parts[slot]], dtype=np.bool_)

    def satisfiable(self, items: frozenset[int]) -> bool:
        """Whether a build meets some items and the background."""
        if any(each <= items for each in self._hopeless):
            return False
        if items not in self._known:
            rules = {each.number for item in items if (each := self.rule(item)) is not None}
            start = as_one(self.live(items))
            self._known[items] = has_build(self._evaluation, self.background | rules, start)
        return self._known[items]

    def relaxable(self, asked: Callable[[Judgement], bool], fields: Collection[str]) -> bool:
        """Whether a build is left once some rules, picks and exclusions are dropped.

        The latter are named as `pick stator`.
        """
        kept = []
        for item in self.items:
            judged = self.rule(item)
            dropped = self._field(item) in fields if judged is None else asked(judged)
            if not dropped:
                kept.append(item)
        return self.satisfiable(frozenset(kept))

    @cached_property
    def alone(self) -> tuple[int, ...]:
        """Items each of which leaves no build all by itself; none if nothing is left anyway."""
        if not self.satisfiable(frozenset()):
            return ()
        return tuple(self._alone_among(self.items))

    def _alone_among(self, items: Sequence[int]) -> Iterator[int]:
        """Items each of which leaves no build: what a build passes together, each lets through."""
        if len(items) > 1:
            if not self.satisfiable(frozenset(items)):
                for half in (items[: len(items) // 2], items[len(items) // 2 :]):
                    yield from self._alone_among(half)
        elif items and not self.satisfiable(frozenset(items)):
            yield items[0]

    def conflicts(self, limit: int = CONFLICTS, without: Collection[int] = ()) -> Conflicts:
        """Find minimal conflicts and tell each step by step; some items are left aside."""
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

    def first(self, alike: list[frozenset[int]]) -> Conflict:
        """One minimal conflict of a request without a build; no members if the catalog leaves none.

        `alike` holds numbers of rules that left like requests no build, the last ones at the end;
        the new conflict is added. Where they leave none here either, it is most often for the same,
        and whatever holds them needs no asking. They do not sway which conflict is found.
        """
        place = {each.number: self._wishes + at for at, each in enumerate(self._judgements)}
        self._known[frozenset(self.items)] = False
        found: frozenset[int] | None = None
        for rules in alike[: -SUSPECTS - 1 : -1]:
            items = frozenset(place[number] for number in rules)
            if not self.satisfiable(items):
                self._hopeless.append(items)
                if is_minimal_conflict_found(items, self.items, self.satisfiable):
                    found = items
                break
        if found is None:
            found = minimal_conflict(self.items, self.satisfiable) or frozenset()
        rules = frozenset(each.number for item in found if (each := self.rule(item)) is not None)
        if len(rules) == len(found) > 0:
            alike[:] = [each for each in alike if each != rules] + [rules]
        return self.told(found)

    def told(self, members: frozenset[int]) -> Conflict:
        """Work out, member by member, what each takes out of what is still standing."""
        live = self._standing(self.background, self.start)
        heard = set(self.background)
        steps = []
        for item in sorted(members):
            judged = self.rule(item)
            if judged is None:
                step, live = self._wish_step(item, live)
            else:
                step = self._rule_step(judged, live)
                heard.add(judged.number)
            steps.append(step)
            live = self._standing(heard, live)
        gone = emptied(live)
        if gone and steps:
            # Once one slot is empty, dropping its partners is book-keeping: name the first.
            gone = self._first_emptied(steps, gone)
        left = {} if gone else {slot: int(mask.sum()) for slot, mask in live.items()}
        return Conflict(tuple(steps), gone, left)

    @staticmethod
    def _first_emptied(steps: Sequence[Step], gone: tuple[str, ...]) -> tuple[str, ...]:
        by_last = [group.slot for group in steps[-1].groups if len(group.names) == group.standing]
        return tuple(slot for slot in by_last if slot in gone)[:1] or gone[:1]

    def _standing(self, numbers: Collection[int], live: Stand) -> Stand:
        """Parts that each of some rules leaves a partner, until none but wide ones take more."""
        wide = {each.number for each in self._judgements if each.wide} & set(numbers)
        narrow = set(numbers) - wide
        left = self._settled(narrow, as_one(live))
        if wide and not emptied(left):
            left = self._settled(narrow, Propagation(self._evaluation, wide, left).live)
        return {slot: flags[0] for slot, flags in left.items()}

    def _settled(self, narrow: Collection[int], live: Live) -> Live:
        left = Propagation(self._evaluation, narrow, live)
        if left.floor[0] == State.RULED_OUT:
            return {slot: np.zeros_like(flags) for slot, flags in live.items()}
        return left.settled

    def _applied(self, judged: Judgement, live: Stand) -> Applied | None:
        places = {slot: np.flatnonzero(mask) for slot, mask in live.items()}
        return self._evaluation.applied(judged, places)

    def _wish_step(self, item: int, live: Stand) -> tuple[Step, Stand]:
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

    def _misfit(self, live: Stand) -> Miss | None:
        """What keeps picked parts apart that do not even go together; None if they do."""
        if emptied(live) or not emptied(self._standing(self.background, live)):
            return None
        for judged in self._judgements:
            applied = None if judged.rule.asks else self._applied(judged, live)
            for slot in () if applied is None else applied.scope:
                assert applied is not None  # else it has no slots here
                out = best_states(applied, slot) == State.RULED_OUT
                if out.all():
                    place = nearest_place(applied, slot, out)
                    return miss_of(applied, slot, place, State.UNPROVEN)
        return None

    def _rule_step(self, judged: Judgement, live: Stand) -> Step:
        rule = judged.rule
        asked = stated(self._subject, fields_asked(rule.asks, judged.prefix))
        applied = None if emptied(live) else self._applied(judged, live)
        if applied is None:
            return Step("rule", judged.title, (), None, rule.source, asked)
        groups: list[Group] = []
        nearest: tuple[int, Miss] | None = None
        for slot in applied.scope:
            out = best_states(applied, slot) == State.RULED_OUT
            if not out.any():
                continue
            duty = self._subject.duty
            heat = duty.room if "process.room_temperature" in rule.asks else duty.temperature
            group = fold(slot, applied.case.frame.parts[slot], out, rule.parts, heat)
            groups.append(group)
            if nearest is None or len(group.names) > nearest[0]:
                place = nearest_place(applied, slot, out)
                nearest = (len(group.names), miss_of(applied, slot, place, State.UNPROVEN))
        if nearest is None:
            slot = applied.scope[0] if applied.scope else applied.case.frame.slots[0]
            every = np.ones(len(applied.case.frame.parts[slot]), dtype=np.bool_)
            place = nearest_place(applied, slot, every) if applied.scope else 0
            nearest = (0, miss_of(applied, slot, place, State.UNPROVEN))
        return Step("rule", judged.title, tuple(groups), nearest[1], rule.source, asked)


def as_one(live: Stand) -> Stand:
    """The same with an axis for the problems in front, of which there is one."""
    return {slot: mask[np.newaxis] for slot, mask in live.items()}
