"""Few heads that differ, each with a build that no other as well kept beats for a purpose."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from configurator.engine import Build
from configurator.engine.table import Table
from configurator.rules.finding import State
from configurator.units.display import round3
from configurator.workshop.answer import Answer
from configurator.workshop.figures import figure_named
from configurator.workshop.heads import ListedHead, first_builds, head_of, is_exchanged
from configurator.workshop.margins import LEAST_MARGIN, Demanded, Margins, as_well_kept, with_margin
from configurator.workshop.told import RankedBuild

FEWEST = 3
"""Heads that are listed if there are so many, whatever purposes share one."""

PURPOSES = {
    "least cost": "cost_index",
    "longest life": "wear_band_low_hours",
    "most accurate": "volume_error_pct",
    "most robust": LEAST_MARGIN,
    "least waste": "waste_pct",
    "lightest": "head_mass_kg",
}
"""By what is asked for, the figure that decides."""


@dataclass(frozen=True)
class Purpose:
    """What a head is best for."""

    name: str
    figure: str
    """The figure that decides."""
    build: RankedBuild | None
    """The first build in the order of builds of those that no other beats, or one that shows the same
    of a head listed before; None where no build is known to be better than another."""
    value: float | None = None
    """Of the figure."""


@dataclass(frozen=True)
class ShortHead:
    """One head of a shortlist."""

    head: ListedHead
    """With the build of its first purpose."""
    purposes: tuple[Purpose, ...]
    """What it is best for; none if it is there for being the next in the order of builds."""


@dataclass(frozen=True)
class Shortlist:
    """Heads in the order of their first purposes."""

    answer: Answer
    state: State
    """The best that any build reaches."""
    first: RankedBuild
    """Its first build in the order: each purpose takes the best of those `as_well_kept`."""
    heads: tuple[ShortHead, ...]
    unserved: tuple[Purpose, ...]
    """Purposes for which nothing is known."""
    margins: Margins
    """Of the builds in that state."""


def shortlist_of(answer: Answer) -> Shortlist | None:
    """Find the best head for each purpose among all builds of the best state; None without one."""
    state = next((level for level in answer.levels if answer.counts[level]), None)
    if state is None:
        return None
    first = next(_in_order(answer, state))
    demanded = as_well_kept(answer.left, answer.live, first)
    found: list[Purpose] = []
    chosen: dict[Names, list[Purpose]] = {}
    for each in PURPOSES.items():
        purpose = _as_listed(answer, state, demanded, _best(answer, state, demanded, *each), chosen)
        found.append(purpose)
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
        ShortHead(head_of(answer, rank, build, _places(answer, build)), tuple(purposes))
        for rank, (build, purposes) in enumerate(zip(builds, chosen.values(), strict=True), start=1)
        if build is not None
    )
    unserved = tuple(each for each in found if each.build is None)
    return Shortlist(answer, state, first, heads, unserved, answer.listing.margins(state))


Names = tuple[str, ...]

GIVEN_UP = (*PURPOSES.values(), "refills_per_shift")
"""Figures of which it is told what a head gives up against the next."""

Given = tuple[float | None, float | None]


def given_up(here: RankedBuild, there: RankedBuild) -> dict[str, Given]:
    """By the figures of `GIVEN_UP`, what is worse here than there in three digits: here, there."""
    found: dict[str, Given] = {}
    for name in GIVEN_UP:
        one, other = here.figures[name], there.figures[name]
        if other is None or (one is not None and round3(one) == round3(other)):
            continue
        higher = figure_named(name).highest_first
        if one is None or (one < other if higher else one > other):
            found[name] = (one, other)
    return found


def _head_names(build: RankedBuild) -> Names:
    return tuple(part.name for slot, part in build.parts.items() if not is_exchanged(slot))


def _places(answer: Answer, build: RankedBuild) -> Build:
    """A build as places among the live parts."""
    names = {s: [answer.frame.parts[s][at].name for at in live] for s, live in answer.live.items()}
    return {slot: names[slot].index(part.name) for slot, part in build.parts.items()}


def _in_order(answer: Answer, state: State) -> Iterator[RankedBuild]:
    """Yield the first build of each head in the order of builds."""
    listing = answer.listing
    order = listing.order_at(state)
    every = (listing.places_of(order, build) for build in order.builds())
    for _, places in first_builds(enumerate(every, start=1)):
        yield _described(answer, state, places)


def _described(answer: Answer, state: State, places: Build) -> RankedBuild:
    build = replace(answer.described_builds([places])[0], rank=0)
    return with_margin(build, answer.listing.margins(state))


def _best(answer: Answer, state: State, demanded: Demanded, name: str, figure: str) -> Purpose:
    """The best build for a purpose, the first of those alike."""
    places = answer.listing.best(state, figure_named(figure), demanded)
    build = None if places is None else _described(answer, state, places)
    found = None if build is None else build.figures[figure]
    return Purpose(name, figure, None if found is None else build, found)


def _as_listed(
    answer: Answer,
    state: State,
    demanded: Demanded,
    purpose: Purpose,
    chosen: Mapping[Names, Sequence[Purpose]],
) -> Purpose:
    """The same of a head that is listed already, where one shows as good a value in three digits.

    The cheapest is the first of them; of each its listed build goes before others of its own.
    """
    if purpose.value is None:
        return purpose
    flags, held = demanded
    for listed in chosen.values():
        build = listed[0].build
        assert build is not None  # it is of a head
        value = build.figures[purpose.figure]
        if value is not None and round3(value) == round3(purpose.value):
            return replace(purpose, build=build, value=value)
        own = (
            Table((slot,), np.arange(len(answer.live[slot]))[np.newaxis] == at)
            for slot, at in _places(answer, build).items()
            if not is_exchanged(slot)
        )
        there = _best(answer, state, ([*flags, *own], held), purpose.name, purpose.figure)
        if there.value is not None and round3(there.value) == round3(purpose.value):
            return there
    return purpose
