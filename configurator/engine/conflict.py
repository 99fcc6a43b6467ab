"""Why no build is left: a minimal set of picks and named constraints that leaves none.

Picks are minimised first, on the compiled tree, where a test is one message pass; then the
constraints, on domains narrowed to the picks that stayed. The order is sound: a pick that is
needed together with all constraints is also needed with fewer of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar

import numpy as np

from configurator.engine.arrays import AnyArray
from configurator.engine.compilation import Compiled, has_build
from configurator.engine.eliminate import TooWideError, exists
from configurator.engine.relation import Picks, Relation, Threshold, pick_masks, picked_values
from configurator.engine.table import Table

Item = TypeVar("Item", bound=Hashable)


def minimal_conflict(
    items: Sequence[Item], satisfiable: Callable[[frozenset[Item]], bool]
) -> frozenset[Item] | None:
    """Find one minimal set of items that do not go together: without any one, the rest do.

    Items come first that a reader follows best: they are blamed where there is a choice. Fewer
    items may never be harder to satisfy. None if all go together; the empty set if nothing does
    even without items.
    """
    if satisfiable(frozenset(items)):
        return None

    def blamed(base: frozenset[Item], suspects: Sequence[Item], *, grown: bool) -> list[Item]:
        if grown and not satisfiable(base):
            return []
        if len(suspects) == 1:
            return list(suspects)
        half = len(suspects) // 2
        first, second = suspects[:half], suspects[half:]
        late = blamed(base | frozenset(first), second, grown=bool(first))
        early = blamed(base | frozenset(late), first, grown=bool(late))
        return [*early, *late]

    found = blamed(frozenset(), items, grown=False) if items else []
    # Two members say that nothing but both together fails; one may stand for nothing at all.
    return frozenset(found if len(found) > 1 or satisfiable(frozenset()) else [])


def is_minimal_conflict_found(
    conflict: Collection[Item],
    items: Sequence[Item],
    satisfiable: Callable[[frozenset[Item]], bool],
) -> bool:
    """Whether `minimal_conflict` would find this set of items, which do not go together.

    Its last member is the first item with which those before it fail, and so on with that one kept:
    a test for each member, where finding it anew takes some for each.
    """
    kept: frozenset[Item] = frozenset()
    for at, item in reversed([*enumerate(items)]):
        if item in conflict:
            if not satisfiable(kept | frozenset(items[:at])):
                return False
            kept |= {item}
    return kept == frozenset(conflict)


def minimal_conflicts(
    items: Sequence[Item],
    satisfiable: Callable[[frozenset[Item]], bool],
    enough: Callable[[], bool] = lambda: False,
) -> Iterator[frozenset[Item]]:
    """Yield different minimal conflicts, in a fixed order, until there are no more.

    Items and `satisfiable` are as for `minimal_conflict`. `enough` is asked between two tests; once
    it says so, no further conflict is looked for.
    """
    known: list[frozenset[Item]] = []
    undone: list[frozenset[Item]] = []
    queue: list[frozenset[Item]] = [frozenset()]
    seen = {queue[0]}
    for removed in queue:
        if any(relaxation <= removed for relaxation in undone):
            continue
        conflict = next((found for found in known if not found & removed), None)
        if conflict is None:
            if known and enough():
                return
            conflict = minimal_conflict([i for i in items if i not in removed], satisfiable)
            if conflict is None:
                undone.append(removed)
                continue
            known.append(conflict)
            yield conflict
        for member in (item for item in items if item in conflict):
            further = removed | {member}
            if further not in seen:
                seen.add(further)
                queue.append(further)


WIDEST_JOIN = 1_000_000
"""Combinations up to which tables are joined whole; beyond, only what passes is looked at."""


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


def find_conflict(
    space: Constrained,
    picks: Picks,
    background: Collection[str] = (),
    known: Iterable[frozenset[Blame]] = (),
) -> frozenset[Blame] | None:
    """One minimal conflict; see ``BuildSpace.conflict``."""
    needed = _needed_picks(space, picks)
    if needed is None:
        return None
    fixed = {slot: picked_values(slot, picks[slot], space.domains[slot]) for slot in needed}
    narrowed = _Narrowed(space, fixed, frozenset(background))
    suspects = narrowed.suspects
    names = narrowed.first_minimal(known) or minimal_conflict(
        suspects, lambda some: len(some) < len(suspects) and narrowed.satisfiable(some)
    )
    assert names is not None, "all of them leave no build, as the compiled tree has shown"
    blames = [Blame("pick", slot, values) for slot, values in fixed.items()]
    return frozenset([*blames, *(narrowed.blames[name] for name in names)])


def _needed_picks(space: Constrained, picks: Picks) -> frozenset[str] | None:
    """Picks without any of which a build exists; None if one does anyway."""
    masks = pick_masks(space.domains, picks)
    counter, live = space.compiled.counter, space.compiled.model.live
    if counter is None:
        return frozenset()
    names = tuple(space.domains)
    on_live = {names[slot]: (slot, mask[live[slot]]) for slot, mask in masks.items()}
    return minimal_conflict(
        list(on_live), lambda chosen: counter.total(dict(on_live[name] for name in chosen)) > 0
    )


class _Narrowed:
    """The constraints sliced to the picked values, tested by name."""

    def __init__(
        self,
        space: Constrained,
        fixed: Mapping[str, tuple[int, ...]],
        background: frozenset[str],
    ) -> None:
        self._background = background
        self._domains = {
            slot: len(fixed[slot]) if slot in fixed else size
            for slot, size in space.domains.items()
        }

        def cut(scope: tuple[str, ...], table: AnyArray) -> AnyArray:
            for axis, slot in enumerate(scope):
                if slot in fixed:
                    table = np.take(table, list(fixed[slot]), axis=axis)
            return table

        self._relations = [
            Relation(each.name, each.scope, cut(each.scope, each.allowed))
            for each in space.relations
        ]
        self._thresholds = [
            Threshold(
                each.name,
                each.need_scope,
                cut(each.need_scope, each.need),
                each.allow_scope,
                cut(each.allow_scope, each.allow),
            )
            for each in space.thresholds
        ]
        self.blames = {each.name: Blame("threshold", each.name) for each in self._thresholds}
        self.blames |= {each.name: Blame("relation", each.name) for each in self._relations}

    @property
    def suspects(self) -> Sequence[str]:
        """Names with a constraint that still rules something out, relations first."""
        biting = [each.name for each in self._relations if not each.allowed.all()]
        biting += [
            each.name
            for each in self._thresholds
            if each.need.size and each.allow.size and each.need.max() > each.allow.min()
        ]
        return [name for name in dict.fromkeys(biting) if name not in self._background]

    def first_minimal(self, known: Iterable[frozenset[Blame]]) -> frozenset[str] | None:
        """Constraints of the first of some conflicts that is a minimal one here too."""
        for conflict in known:
            names = frozenset(blame.name for blame in conflict if blame.kind != "pick")
            fewer = (names - {name} for name in names)
            if names and not self.satisfiable(names) and all(map(self.satisfiable, fewer)):
                return names
        return None

    def satisfiable(self, names: frozenset[str]) -> bool:
        """Whether a build exists under these constraints alone."""
        relations = [each for each in self._relations if each.name in names]
        thresholds = [each for each in self._thresholds if each.name in names]
        slots = {slot for each in relations for slot in each.scope}
        slots |= {s for each in thresholds for s in (*each.need_scope, *each.allow_scope)}
        # Of the background only what defines a slot of these has a say.
        told = [each for each in self._relations if each.name in self._background & slots]
        relations += told
        slots |= {slot for each in told for slot in each.scope}
        if not all(self._domains.values()):
            return False
        domains = {slot: size for slot, size in self._domains.items() if slot in slots}
        try:
            tables = [Table(each.scope, each.allowed[np.newaxis]) for each in relations]
            tables += [_laid_out(each) for each in thresholds]
            return bool(exists(tables, domains, 1, most=WIDEST_JOIN).all())
        except TooWideError:
            return has_build(domains, relations, thresholds)


def _laid_out(threshold: Threshold) -> Table:
    """A threshold as a table over all its slots.

    Raises
    ------
    TooWideError
        If it is too wide for that.
    """
    scope = tuple(dict.fromkeys((*threshold.need_scope, *threshold.allow_scope)))
    need = Table(threshold.need_scope, threshold.need[np.newaxis])
    allow = Table(threshold.allow_scope, threshold.allow[np.newaxis])
    sizes = need.sizes | allow.sizes
    if math.prod(sizes.values()) > WIDEST_JOIN:
        raise TooWideError
    return Table(scope, np.asarray(need.over(scope) <= allow.over(scope)))
