"""Why no build is left: minimal conflicts, and the minimal relaxations that undo them.

A conflict is a minimal unsatisfiable set of picks and named constraints. Picks are minimised
first by a deletion filter on the compiled tree, where a test is one message pass; then the
constraints by QuickXplain, on domains already narrowed to the picks that stayed. The order is
sound: a pick that is needed together with all constraints is also needed with fewer of them.

Several conflicts come from a hitting-set tree (Reiter): take one conflict, remove each of its
members in turn, look for a conflict in what is left. Sets of removals that leave a build are
the minimal relaxations.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np

from configurator.engine.arrays import AnyArray
from configurator.engine.compilation import Compiled, compile_space, has_build
from configurator.engine.picks import Picks, pick_masks, picked_values
from configurator.engine.relation import Relation, Threshold


@dataclass(frozen=True, order=True)
class Blame:
    """One member of a conflict.

    ``kind`` says what it is; ``name`` is the slot of a pick or the name of a constraint;
    ``values`` are the values that the pick leaves, empty for a constraint.
    """

    kind: Literal["pick", "relation", "threshold"]
    name: str
    values: tuple[int, ...] = ()


class Constrained(Protocol):
    """What a conflict search needs to know of a space."""

    domains: dict[str, int]
    relations: tuple[Relation, ...]
    thresholds: tuple[Threshold, ...]
    compiled: Compiled


class _Search:
    """Minimal conflicts of one space under one set of picks."""

    def __init__(self, space: Constrained, picks: Picks, background: Collection[str]) -> None:
        self._domains = space.domains
        self._relations = space.relations
        self._thresholds = space.thresholds
        self._background = frozenset(background)
        self._values = {
            slot: picked_values(slot, pick, space.domains[slot]) for slot, pick in picks.items()
        }
        kinds: dict[str, Literal["relation", "threshold"]] = {}
        for relation in space.relations:
            kinds.setdefault(relation.name, "relation")
        for threshold in space.thresholds:
            kinds.setdefault(threshold.name, "threshold")
        self._constraints = {name: Blame(kind, name) for name, kind in kinds.items()}
        self._picks = {
            slot: Blame("pick", slot, self._values[slot])
            for slot in space.domains
            if slot in self._values
        }
        self._compiled: dict[frozenset[str], Compiled] = {frozenset(): space.compiled}

    def conflict(self, without: frozenset[Blame]) -> frozenset[Blame] | None:
        """A minimal conflict that uses none of the given members; None if builds exist."""
        dropped = frozenset(blame.name for blame in without if blame.kind != "pick")
        picks = {
            slot: self._values[slot] for slot, blame in self._picks.items() if blame not in without
        }
        needed = self._needed_picks(self._tree_without(dropped), picks)
        if needed is None:
            return None
        fixed = {slot: self._values[slot] for slot in needed}
        fixed |= {slot: picks[slot] for slot in picks if slot in self._background}
        names = [name for name in self._constraints if name not in dropped]
        narrowed = _Narrowed(self._domains, self._relations, self._thresholds, fixed, names)
        base = [name for name in names if name in self._background]
        suspects = [name for name in names if name not in self._background]
        blamed = _quickxplain(narrowed, base, narrowed.effective(suspects))
        return frozenset(
            [self._picks[slot] for slot in needed] + [self._constraints[name] for name in blamed]
        )

    def _tree_without(self, dropped: frozenset[str]) -> Compiled:
        if dropped not in self._compiled:
            self._compiled[dropped] = compile_space(
                self._domains,
                [relation for relation in self._relations if relation.name not in dropped],
                [limit for limit in self._thresholds if limit.name not in dropped],
            )
        return self._compiled[dropped]

    def _needed_picks(
        self, compiled: Compiled, picks: Mapping[str, tuple[int, ...]]
    ) -> list[str] | None:
        """Deletion filter: picks without any of which a build exists; None if one does."""
        counter = compiled.counter
        if counter is None:
            return []
        live = compiled.model.live
        masks = {slot: mask[live[slot]] for slot, mask in pick_masks(self._domains, picks).items()}
        if counter.total(masks) > 0:
            return None
        names = tuple(self._domains)
        needed = []
        for slot in sorted(masks, reverse=True):
            fewer = {other: mask for other, mask in masks.items() if other != slot}
            if names[slot] not in self._background and counter.total(fewer) == 0:
                masks = fewer
            elif names[slot] not in self._background:
                needed.append(names[slot])
        return needed[::-1]


class _Narrowed:
    """The constraints sliced to the picked values, tested by name."""

    def __init__(
        self,
        domains: Mapping[str, int],
        relations: Sequence[Relation],
        thresholds: Sequence[Threshold],
        fixed: Mapping[str, tuple[int, ...]],
        names: Sequence[str],
    ) -> None:
        self._domains = {
            slot: len(fixed[slot]) if slot in fixed else size for slot, size in domains.items()
        }
        wanted = set(names)

        def cut(scope: tuple[str, ...], table: AnyArray) -> AnyArray:
            for axis, slot in enumerate(scope):
                if slot in fixed:
                    table = np.take(table, list(fixed[slot]), axis=axis)
            return table

        self._relations = [
            Relation(each.name, each.scope, cut(each.scope, each.allowed))
            for each in relations
            if each.name in wanted
        ]
        self._thresholds = [
            Threshold(
                each.name,
                each.need_scope,
                cut(each.need_scope, each.need),
                each.allow_scope,
                cut(each.allow_scope, each.allow),
            )
            for each in thresholds
            if each.name in wanted
        ]

    def effective(self, names: Sequence[str]) -> list[str]:
        """Names with a constraint that still rules something out."""
        biting = {each.name for each in self._relations if not each.allowed.all()}
        biting |= {
            each.name
            for each in self._thresholds
            if each.need.size and each.allow.size and each.need.max() > each.allow.min()
        }
        return [name for name in names if name in biting]

    def satisfiable(self, names: Sequence[str]) -> bool:
        """Whether a build exists under these constraints alone."""
        chosen = set(names)
        return has_build(
            self._domains,
            [each for each in self._relations if each.name in chosen],
            [each for each in self._thresholds if each.name in chosen],
        )


def _quickxplain(problem: _Narrowed, base: list[str], suspects: list[str]) -> list[str]:
    """Junker's divide and conquer: a minimal subset of suspects unsatisfiable with the base."""
    if not problem.satisfiable(base):
        return []

    def explain(base: list[str], suspects: list[str], *, added: bool) -> list[str]:
        if added and not problem.satisfiable(base):
            return []
        if len(suspects) == 1:
            return suspects
        half = len(suspects) // 2
        first, second = suspects[:half], suspects[half:]
        from_second = explain(base + first, second, added=bool(first))
        from_first = explain(base + from_second, first, added=bool(from_second))
        return from_first + from_second

    return explain(base, suspects, added=False)


def find_conflict(
    space: Constrained, picks: Picks, background: Collection[str]
) -> frozenset[Blame] | None:
    """One minimal conflict; see ``BuildSpace.conflict``."""
    pick_masks(space.domains, picks)
    return _Search(space, picks, background).conflict(frozenset())


def find_conflicts(
    space: Constrained, picks: Picks, limit: int, background: Collection[str]
) -> list[frozenset[Blame]]:
    """Several minimal conflicts; see ``BuildSpace.conflicts``."""
    found: list[frozenset[Blame]] = []
    if limit > 0:
        for conflict, _ in _hitting_set_tree(space, picks, background):
            if conflict is not None:
                found.append(conflict)
                if len(found) == limit:
                    break
    return found


def find_relaxations(
    space: Constrained, picks: Picks, limit: int, background: Collection[str]
) -> list[frozenset[Blame]]:
    """Several minimal relaxations; see ``BuildSpace.relaxations``."""
    found: list[frozenset[Blame]] = []
    if limit > 0:
        for _, relaxation in _hitting_set_tree(space, picks, background):
            if relaxation is not None:
                found.append(relaxation)
                if len(found) == limit:
                    break
    return found


def _hitting_set_tree(
    space: Constrained, picks: Picks, background: Collection[str]
) -> Iterator[tuple[frozenset[Blame] | None, frozenset[Blame] | None]]:
    """Yield new conflicts and minimal relaxations, smallest removals first."""
    pick_masks(space.domains, picks)
    search = _Search(space, picks, background)
    conflicts: list[frozenset[Blame]] = []
    relaxations: list[frozenset[Blame]] = []
    queue: list[frozenset[Blame]] = [frozenset()]
    seen = {queue[0]}
    for removed in queue:
        if any(known <= removed for known in relaxations):
            continue
        conflict = next((known for known in conflicts if not known & removed), None)
        if conflict is None:
            conflict = search.conflict(removed)
            if conflict is None:
                relaxations.append(removed)
                yield None, removed
                continue
            conflicts.append(conflict)
            yield conflict, None
        for member in sorted(conflict):
            further = removed | {member}
            if further not in seen:
                seen.add(further)
                queue.append(further)
