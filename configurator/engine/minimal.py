"""Minimal conflicts of any items, from nothing but a test whether some of them go together.

QuickXplain (Junker 2004, from memory) finds one minimal conflict; a hitting-set tree
(Reiter 1987, from memory) finds others by taking one member of a known conflict away at a time.
"""

from collections.abc import Callable, Collection, Hashable, Iterator, Sequence
from typing import TypeVar

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
