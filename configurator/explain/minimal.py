"""Minimal conflicts of any items, from nothing but a test whether some of them go together.

QuickXplain (Junker 2004, from memory) finds one minimal conflict; a hitting-set tree
(Reiter 1987, from memory) finds others by taking one member of a known conflict away at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

Test = Callable[[frozenset[int]], bool]
"""Told places of items; says whether anything satisfies all of them at once."""

Enough = Callable[[], bool]
"""Asked between two tests: whether the time is up."""


def minimal_conflict(items: Sequence[int], satisfiable: Test) -> frozenset[int] | None:
    """Find one minimal set of items that do not go together.

    Parameters
    ----------
    items : sequence of int
        The items, those that a reader follows best first: they are blamed where there is a
        choice.
    satisfiable : callable
        Says whether a set of items goes together. Fewer items may never be harder.

    Returns
    -------
    frozenset of int or None
        Without any one member the rest goes together. None if all items do; the empty set if
        nothing goes together even without items.
    """
    if satisfiable(frozenset(items)):
        return None
    if not satisfiable(frozenset()):
        return frozenset()

    def blamed(base: frozenset[int], suspects: Sequence[int], *, grown: bool) -> list[int]:
        if grown and not satisfiable(base):
            return []
        if len(suspects) == 1:
            return list(suspects)
        half = len(suspects) // 2
        first, second = suspects[:half], suspects[half:]
        late = blamed(base | frozenset(first), second, grown=bool(first))
        early = blamed(base | frozenset(late), first, grown=bool(late))
        return [*early, *late]

    return frozenset(blamed(frozenset(), list(items), grown=False))


def minimal_conflicts(
    items: Sequence[int], satisfiable: Test, enough: Enough = lambda: False
) -> Iterator[frozenset[int]]:
    """Yield different minimal conflicts, in a fixed order, until there are no more.

    Parameters
    ----------
    items : sequence of int
        The items, those that a reader follows best first.
    satisfiable : callable
        As for `minimal_conflict`.
    enough : callable, optional
        Once it says so, no further conflict is looked for.
    """
    known: list[frozenset[int]] = []
    undone: list[frozenset[int]] = []
    queue: list[frozenset[int]] = [frozenset()]
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
        for member in sorted(conflict):
            further = removed | {member}
            if further not in seen:
                seen.add(further)
                queue.append(further)
