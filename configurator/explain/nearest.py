"""What a rule says of the part or combination that comes nearest to passing it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.rules.applied import Applied
from configurator.rules.comparison import Comparison
from configurator.rules.finding import Finding, State
from configurator.rules.losses import nearest_finding
from configurator.units.dimension import Kind


@dataclass(frozen=True, slots=True)
class Miss:
    """One finding with the numbers at the end that decides.

    A finding shows the hardest end of what was stated. A part is only out if it fails at the
    end that counts: the nominal one, or the kindest where the spread is an estimate.
    """

    finding: Finding
    demand: float | None
    limit: float | None
    """At the end that decides, in the unit of the finding; None for verdicts and unknowns."""
    excess: float | None
    """By what share of the limit the demand misses it there; negative where it does not."""
    kind: Kind | None


def miss_of(applied: Applied, slot: str, place: int, level: State) -> Miss:
    """What a rule says of a part with the partners that suit it best, where builds pass up to a level.

    For a rule without slots any slot will do.
    """
    again, finding = nearest_finding(applied, slot, place)
    return with_ends(again, finding, 0, level)


def with_ends(applied: Applied, finding: Finding, row: int, level: State) -> Miss:
    """A finding of a rows frame with demand and limit at the end that decides at a level."""
    outcome = applied.outcome.whole
    if not isinstance(outcome, Comparison):
        return Miss(finding, None, None, None, None)
    demand = _at(outcome.demand.end(level), row)
    limit = _at(outcome.limit.end(level), row)
    if demand is None or limit is None:
        return Miss(finding, demand, limit, None, outcome.kind)
    missed = limit - demand if outcome.at_least else demand - limit
    excess = missed / abs(limit) if limit else None
    return Miss(finding, demand, limit, excess, outcome.kind)


def nearest_place(applied: Applied, slot: str, out: NDArray[np.bool_]) -> int:
    """The part among those that are out which comes nearest to passing; the first if none does."""
    places = np.flatnonzero(out)
    outcome = applied.outcome
    if not isinstance(outcome, Comparison) or len(places) == 1:
        return int(places[0])
    axis = applied.case.frame.slots.index(slot)
    # One after the other: over all combinations of a wide rule margins would fill the memory.
    every = (outcome.cut({axis: place}).margins for place in places[:, np.newaxis])
    best = [np.nan_to_num(margins, nan=-np.inf).max() for margins in every]
    return int(places[int(np.argmax(best))])


def _at(values: NDArray[np.float64], row: int) -> float | None:
    flat = np.asarray(values).reshape(-1)
    value = float(flat[row if flat.size > 1 else 0])
    return value if np.isfinite(value) else None
