"""Builds in order, by state and then by a figure; and those of a trade-off between figures."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.engine import Build, BuildSpace, Picks
from configurator.engine.pareto import Progress
from configurator.errors import UsageError
from configurator.rules.case import Case
from configurator.workshop.figures import Figure
from configurator.workshop.ordering import costs_of

FEWEST, MOST = 2, 4
"""Figures between which a trade-off is asked; the front of more is nearly every build."""


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
    for figure in figures:
        if not figure.trades:
            raise UsageError(f"--pareto: {figure.name} is a sum over all findings and only sorts")
    costs = {figure.name: costs_of(figure, case) for figure in figures}
    return [point.build for point in space.pareto(costs, picks, progress)]
