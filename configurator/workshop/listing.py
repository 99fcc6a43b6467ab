"""Builds in order, by state and then by a figure; and those of a trade-off between figures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from configurator.engine import Build, BuildSpace, Cost, Picks
from configurator.engine.pareto import Progress
from configurator.errors import UsageError
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.workshop.figures import Figure, costs_of

FEWEST, MOST = 2, 4
"""Figures between which a trade-off is asked; the front of more is nearly every build."""


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


def front_of(
    space: BuildSpace,
    figures: Sequence[Figure],
    case: Case,
    picks: Picks,
    progress: Progress | None = None,
) -> list[Build]:
    """The Pareto front over several figures, exact, one build for each trade-off.

    Parameters
    ----------
    space : BuildSpace
        The builds to choose from.
    figures : sequence of Figure
        Two to four figures; each is taken in its better direction.
    case : Case
        Over a grid of the live parts.
    picks : Picks
        Picked values by slot.
    progress : callable, optional
        Told how far a long run is.

    Raises
    ------
    UsageError
        If fewer than two or more than four figures are given, or one twice.
    """
    names = [figure.name for figure in figures]
    if not FEWEST <= len(names) <= MOST or len(set(names)) != len(names):
        raise UsageError(
            f"--pareto: given '{','.join(names)}'; accepted: {FEWEST} to {MOST} different figures"
        )
    costs = {figure.name: costs_of(figure, case) for figure in figures}
    return [point.build for point in space.pareto(costs, picks, progress)]
