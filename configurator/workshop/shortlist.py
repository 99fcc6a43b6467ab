"""Few heads that differ, each with a build that no other in its state beats for a purpose."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from configurator.engine import Build
from configurator.engine.table import Table
from configurator.rules.finding import State
from configurator.units.display import round3
from configurator.workshop.answer import Answer
from configurator.workshop.figures import figure_named
from configurator.workshop.heads import ListedHead, first_builds, head_of, is_exchanged
from configurator.workshop.margins import Demanded, Margins
from configurator.workshop.ordering import costs_of, sided_in
from configurator.workshop.told import RankedBuild

FEWEST = 3
"""Heads that are listed if there are so many, whatever purposes share one."""

LEAST_MARGIN = "least_margin_pct"

PURPOSES = {
    "least cost": "cost_index",
    "longest life": "wear_band_low_hours",
    "most accurate": "volume_error_pct",
    "most robust": LEAST_MARGIN,
    "least waste": "waste_pct",
    "lightest": "head_mass_kg",
}
"""By what is asked for, the figure that decides."""

HIGHEST = (LEAST_MARGIN, "wear_band_low_hours")
"""Figures of which more is better."""


@dataclass(frozen=True)
class Purpose:
    """What a head is best for."""

    name: str
    figure: str
    """The figure that decides."""
    build: RankedBuild | None
    """The first build in the order of builds of those that no other beats; None where no build is
    known to be better than another."""
    value: float | None = None
    """Of the figure."""


@dataclass(frozen=True)
class ShortHead:
    """One head of a shortlist."""

    head: ListedHead
    """With the build of its first purpose."""
    purposes: tuple[Purpose, ...]
    """What it is best for; none if it is there for being the next in the order of builds."""
    figures: Mapping[str, float | None]
    """Of that build, the figures that purposes go by."""


@dataclass(frozen=True)
class Shortlist:
    """Heads in the order of their first purposes."""

    answer: Answer
    state: State
    """The best that any build reaches; of all builds in it no other is looked at."""
    heads: tuple[ShortHead, ...]
    unserved: tuple[Purpose, ...]
    """Purposes for which nothing is known."""
    margins: Margins
    """Of the builds in that state."""

    @property
    def builds(self) -> int:
        """Builds in that state."""
        return self.answer.counts[self.state]


def shortlist_of(answer: Answer) -> Shortlist | None:
    """Find the best head for each purpose among all builds of the best state; None without one."""
    state = next((level for level in answer.levels if answer.counts[level]), None)
    if state is None:
        return None
    margins = Margins(answer, state)
    found = [_best(answer, state, margins, *each) for each in PURPOSES.items()]
    chosen: dict[Names, list[Purpose]] = {}
    for purpose in found:
        if purpose.build is not None:
            chosen.setdefault(_head_names(purpose.build), []).append(purpose)
    builds = [purposes[0].build for purposes in chosen.values()]
    for build in _in_order(answer, state) if len(chosen) < FEWEST else ():
        if _head_names(build) not in chosen:
            chosen[_head_names(build)] = []
            builds.append(build)
        if len(chosen) >= FEWEST:
            break
    heads = tuple(
        ShortHead(
            head_of(answer, rank, build, _places(answer, build)),
            tuple(purposes),
            figures_of(build, margins),
        )
        for rank, (build, purposes) in enumerate(zip(builds, chosen.values(), strict=True), start=1)
        if build is not None
    )
    unserved = tuple(each for each in found if each.build is None)
    return Shortlist(answer, state, heads, unserved, margins)


def figures_of(build: RankedBuild, margins: Margins) -> dict[str, float | None]:
    """The figures of a build that purposes go by."""
    least = margins.of(build)
    known = {**build.figures, LEAST_MARGIN: 100.0 * least if math.isfinite(least) else None}
    return {name: known[name] for name in PURPOSES.values()}


def given_up(
    here: Mapping[str, float | None], there: Mapping[str, float | None]
) -> dict[str, tuple[float | None, float | None]]:
    """By figures that purposes go by, what is worse here than there in three digits: here, there."""
    found: dict[str, tuple[float | None, float | None]] = {}
    for name in PURPOSES.values():
        one, other = here[name], there[name]
        if other is None or (one is not None and round3(one) == round3(other)):
            continue
        if one is None or (one < other if name in HIGHEST else one > other):
            found[name] = (one, other)
    return found


Names = tuple[str, ...]


def _head_names(build: RankedBuild) -> Names:
    return tuple(part.name for slot, part in build.parts.items() if not is_exchanged(slot))


def _places(answer: Answer, build: RankedBuild) -> Build:
    """A build as places among the live parts."""
    names = {s: [answer.frame.parts[s][at].name for at in live] for s, live in answer.live.items()}
    return {slot: names[slot].index(part.name) for slot, part in build.parts.items()}


def _in_order(answer: Answer, state: State) -> Iterator[RankedBuild]:
    """Yield the first build of each head in the order of builds."""
    order = answer.order_at(state)
    every = (answer.places_of(order, build) for build in order.builds())
    for _, places in first_builds(enumerate(every, start=1)):
        yield _described(answer, places)


def _described(answer: Answer, places: Build) -> RankedBuild:
    return replace(answer.described_builds([places])[0], rank=0)


def _best(answer: Answer, state: State, margins: Margins, name: str, figure: str) -> Purpose:
    """The best build for a purpose, the first of those alike."""

    def first(demanded: Demanded) -> RankedBuild | None:
        order = answer.order_at(state, *demanded)
        build = next(order.builds(), None)
        return None if build is None else _described(answer, answer.places_of(order, build))

    if figure == LEAST_MARGIN:
        build = _highest(lambda share: first(margins.beyond(share)), margins.of)
        least = math.inf if build is None else margins.of(build)
        return Purpose(name, figure, *((build, 100 * least) if math.isfinite(least) else (None,)))
    read = figure_named(figure)
    sides = sided_in(read, answer.grid)
    if sides:
        sign = 1.0 if read.highest_first else -1.0

        def value(build: RankedBuild) -> float:
            found = build.figures[figure]
            return -math.inf if found is None else sign * found

        build = _highest(lambda worth: first((_beyond(sides, sign, worth), [])), value)
    else:
        leading = [Table(scope, table[np.newaxis]) for scope, table in costs_of(read, answer.grid)]
        build = first((leading, []))
    found = None if build is None else build.figures[figure]
    return Purpose(name, figure, None if found is None else build, found)


def _beyond(sides: Sequence[Table], sign: float, worth: float) -> list[Table]:
    """Builds of which each side is worth more than that; what is unknown is worth nothing."""
    return [Table(each.scope, sign * each.values > worth) for each in sides]


def _highest(
    beyond: Callable[[float], RankedBuild | None], value: Callable[[RankedBuild], float]
) -> RankedBuild | None:
    """The first build of the highest value.

    Parameters
    ----------
    beyond : callable
        `beyond(value)` gives the first build of a higher value; None proves that there is none.
    value : callable
        Value of a build.
    """
    best = beyond(-math.inf)
    step, above = 0.25, math.inf
    while best is not None and math.isfinite(value(best)):
        low = value(best)
        higher = beyond(low)
        if higher is None:
            break
        best, low = higher, value(higher)
        far = low + step * max(1.0, abs(low)) if math.isinf(above) else (low + above) / 2.0
        farther = beyond(far)
        if farther is None:
            above = far
        else:
            best = farther
            step *= 2.0
    return best
