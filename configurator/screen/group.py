"""Materials of one kin judged together: every rule once, for all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.rules.batched import batched
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.subject import Subject
from configurator.screen.bench import COARSE, Bench
from configurator.screen.dense import NEVER
from configurator.screen.heading import Heading
from configurator.screen.judged import Judged, judged_of, over_scope
from configurator.screen.worded import Verbal

States = NDArray[np.int8]
Places = NDArray[np.intp]
Flags = NDArray[np.bool_]


class UnlikeRuleError(Exception):
    """A rule over several slots differs between materials in words: judge them one by one."""


class _View:
    """A case in which one kind stands for all that some rules cannot tell apart.

    Parameters
    ----------
    bench : Bench
        Process and catalog.
    every : Case
        Over all kinds.
    live : Mapping
        By slot, the live kinds.
    apart : ndarray of int
        For each kind of the coarse slot, the number of what the rules make of it.
    """

    def __init__(
        self, bench: Bench, every: Case, live: Mapping[str, Places], apart: Places
    ) -> None:
        seen, first = np.unique(apart[live[COARSE]], return_index=True)
        self.case = every.only({**live, COARSE: live[COARSE][first]})
        self.places = {
            slot: np.searchsorted(live[slot], np.arange(len(kinds.first)))
            for slot, kinds in bench.kinds.items()
        }
        self.places[COARSE] = np.searchsorted(seen, apart)


class Group:
    """Materials of one kin, with what every rule says of them.

    Parameters
    ----------
    bench : Bench
        Process and catalog.
    subjects : sequence of Subject
        One-part materials with equal `batch_key`.

    Attributes
    ----------
    floor : ndarray of int8
        By material, the worst that rules say of every build alike.
    unary : list of (Heading, slot, ndarray of int8)
        Rules over one slot: a state for each material (or one for all) and part.
    parts : dict of str to ndarray of int8
        By slot, shape (materials, parts): the worst of those.
    alive : list of dict
        Before each turn and after the second: by slot, shape (materials, parts), which parts
        every rule heard so far leaves a partner.
    judged : list of Judged
        Rules over several slots, in the order in which they were heard.
    """

    def __init__(self, bench: Bench, subjects: Sequence[Subject]) -> None:
        self.bench = bench
        self.subjects = tuple(subjects)
        self.verbal: tuple[Verbal, ...] = tuple(bench.worded.on(each) for each in subjects)
        self.floor = np.array([verbal.floor for verbal in self.verbal], dtype=np.int8)
        self.stack = batched(subjects, len(bench.slots))
        self.parts = {
            slot: np.stack([verbal.states[slot] for verbal in self.verbal]) for slot in bench.slots
        }
        self.alive: list[dict[str, Flags]] = [self._all()]
        self.judged: list[Judged] = []
        self.unary: list[tuple[Heading, str, States]] = []
        self._numbers: dict[State, dict[str, NDArray[np.float64]]] = {}
        self.cuts: tuple[Any, ...] = ()
        """Kept by whoever counts: how the live kinds are cut in the last turn."""
        self._same: dict[tuple[State, State], bool] = {}
        self._keys: dict[State, dict[str, NDArray[np.int64]]] = {}
        every = self._hear_single()
        self.alive.append({slot: states < State.RULED_OUT for slot, states in self.parts.items()})
        for turn in (1, 2):
            self._hear(turn, every)

    def numbers(self, level: State) -> dict[str, NDArray[np.float64]]:
        """By slot, how many parts of each kind the rules on that slot let through to a level."""
        if level not in self._numbers:
            self._numbers[level] = {
                slot: self.bench.kinds[slot].number_of(states <= level)
                for slot, states in self.parts.items()
            }
        return self._numbers[level]

    def same_numbers(self, level: State, other: State) -> bool:
        """True if the rules on one slot let the same parts through to two levels."""
        pair = (level, other)
        if pair not in self._same:
            mine, theirs = self.numbers(level), self.numbers(other)
            self._same[pair] = all(np.array_equal(mine[slot], theirs[slot]) for slot in mine)
        return self._same[pair]

    def keys(self, level: State) -> dict[str, NDArray[np.int64]]:
        """By slot, the least key among those parts of each kind; `NEVER` where none is left."""
        if level not in self._keys:
            self._keys[level] = {
                slot: self.bench.kinds[slot].least_of(
                    np.where(states <= level, self.bench.keys[slot], NEVER)
                )
                for slot, states in self.parts.items()
            }
        return self._keys[level]

    def _all(self) -> dict[str, Flags]:
        shape = len(self.subjects)
        return {
            slot: np.ones((shape, len(parts)), dtype=np.bool_)
            for slot, parts in self.bench.parts.items()
        }

    def _hear_single(self) -> Case:
        """Rules over one slot or none that read numbers: for one part of each kind."""
        bench = self.bench
        case = Case(self.stack, bench.grid(len(self.subjects)))
        for heading in bench.headings:
            if not (heading.numeric and heading.turn == 0):
                continue
            outcome = heading.rule.check(case, case.sides[0])
            if outcome is None:
                continue
            states = over_scope(outcome.states, heading.scope, bench.slots)
            if not heading.scope:
                self.floor = np.maximum(self.floor, states)
                continue
            (slot,) = heading.scope
            of_parts = states[:, bench.kinds[slot].of]
            self.unary.append((heading, slot, of_parts))
            self.parts[slot] = np.maximum(self.parts[slot], of_parts)
        return case

    def _hear(self, turn: int, every: Case) -> None:
        """Rules over several slots, over the kinds that are still live for some material."""
        bench = self.bench
        before = self.alive[-1]
        live = {
            slot: np.flatnonzero(kinds.any_of(np.asarray(before[slot].any(axis=0))))
            for slot, kinds in bench.kinds.items()
        }
        views: dict[tuple[int, ...], _View] = {}
        found = []
        for heading in bench.headings:
            if heading.turn != turn or not all(len(live[slot]) for slot in heading.scope):
                continue
            if heading.fixed:
                judged = bench.fixed(heading, self.subjects[0])
            elif heading.numeric:
                apart = bench.told_apart(heading.rule)
                if apart not in views:
                    views[apart] = _View(bench, every, live, np.array(apart))
                view = views[apart]
                judged = judged_of(heading, view.case, live, view.places)
            else:
                judged = None
                self._expect_one_voice(heading)
            if judged is not None:
                found.append(judged)
        self.judged.extend(found)
        if turn == 1:
            kept = {slot: flags.copy() for slot, flags in before.items()}
            for judged in found:
                for slot, has in self.partners(judged, before):
                    kept[slot] &= has
            self.alive.append(kept)

    def _expect_one_voice(self, heading: Heading) -> None:
        """A rule in words over several slots may only say the same of all builds."""
        for verbal in self.verbal:
            heard = verbal.heard.get(heading.rule.name)
            if heard is not None and heard.scope:
                raise UnlikeRuleError(heading.rule.name)

    def partners(
        self,
        judged: Judged,
        alive: Mapping[str, Flags],
        rows: NDArray[np.intp] | None = None,
    ) -> Iterator[tuple[str, Flags]]:
        """For each slot of a rule, the parts that it leaves a partner, by material.

        Parameters
        ----------
        judged : Judged
            The rule.
        alive : Mapping of str to ndarray of bool
            Parts that may be partners, by material.
        rows : ndarray of int, optional
            Some of the materials alone; `alive` is theirs.
        """
        scope = judged.heading.scope
        if judged.load is not None:
            standing = {slot: self.bench.kinds[slot].any_of(alive[slot]) for slot in scope}
            for slot, has in judged.load.partners(State.UNPROVEN, standing):
                yield slot, has[:, self.bench.kinds[slot].of]
            return
        allowed = judged.tables(State.UNPROVEN, rows=rows)[0].over(scope)
        for axis, slot in enumerate(scope, start=1):
            kinds = self.bench.kinds[slot]
            here = kinds.any_of(alive[slot])[:, judged.live[slot]]
            shape = [1] * (len(scope) + 1)
            shape[0], shape[axis] = here.shape
            allowed = allowed & here.reshape(shape)
        for axis, slot in enumerate(scope, start=1):
            kinds = self.bench.kinds[slot]
            others = tuple(at for at in range(1, len(scope) + 1) if at != axis)
            has = np.zeros((len(alive[slot]), len(kinds.first)), dtype=np.bool_)
            has[:, judged.live[slot]] = allowed.any(axis=others)
            yield slot, has[:, kinds.of]
