"""Builds in order: first by state, then by a figure, then by the order of the parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from configurator.engine import Build, BuildSpace, Cost, Picks
from configurator.rules.finding import State


def in_order(
    spaces: Mapping[State, BuildSpace],
    levels: Sequence[State],
    costs: Sequence[Cost],
    picks: Picks,
) -> Iterator[Build]:
    """Yield builds level by level, each level from the cheapest on.

    The space of a level holds those of the levels before it, so builds that were yielded are
    passed over. Nothing is listed that is not asked for.

    Parameters
    ----------
    spaces : Mapping[State, BuildSpace]
        Nested: the builds up to each level.
    levels : sequence of State
        Levels to list, strictest first.
    costs : sequence of Cost
        What orders builds within a level.
    picks : Picks
        Picked values by slot.
    """
    seen: set[tuple[int, ...]] = set()
    for level in levels:
        for _, build in spaces[level].ranked(costs, picks):
            key = tuple(build.values())
            if key not in seen:
                seen.add(key)
                yield build
