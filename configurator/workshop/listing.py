"""Builds in order, by state and then by a figure; the best of a figure; and trade-offs."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from configurator.engine import Build, BuildSpace, Cost, Picks
from configurator.engine.arrays import AnyArray
from configurator.engine.pareto import Progress
from configurator.engine.table import Table
from configurator.errors import UsageError
from configurator.rules.build_order import BuildOrder, Places
from configurator.rules.case import Case
from configurator.rules.counting import Count
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.held_rule import HeldRule
from configurator.rules.priced import PricedParts
from configurator.rules.prices import COMFORT, SHORTFALL, Prices, whole_steps
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.margins import LEAST_MARGIN, Demanded, Margins, Worst, highest, worse_of
from configurator.workshop.told import RankedBuild

MOST_CELLS = 2e6
"""Combinations up to which the worse of two sides is one table of ranks."""


def order_in_words(figure: Figure, *, two_part: bool) -> str:
    """The key that orders builds of the same state, from what leads it to what breaks ties."""
    named = {each.name: each.titled(two_part=two_part) for each in FIGURES}
    key = dict.fromkeys([figure.name, SHORTFALL, COMFORT, "cost_index"])
    if figure.highest_first:
        named[figure.name] += " (highest first)"
    return f"{', then '.join(named[name] for name in key)}, then names"


def costs_of(figure: Figure, case: Case) -> list[Cost]:
    """What the solver adds up so that its order is the figure's.

    A single narrow array is replaced by its ranks, which is exact. A sum keeps its terms, cut
    into whole steps.
    """
    if figure.read is None:
        return []
    sign = -1 if figure.highest_first else 1
    if figure.terms is None:
        values = np.asarray(figure.read(case)) * sign
        ranks = np.unique(np.nan_to_num(values, nan=np.inf), return_inverse=True)[1]
        return [_table(case, ranks.reshape(values.shape))]
    terms = [np.asarray(term) * sign for term in figure.terms(case)]
    return [_table(case, whole) for whole in whole_steps(terms)]


def worst_in(figure: Figure, case: Case) -> list[Table]:
    """Figures over the live parts of which a figure that hangs on many slots is the worst.

    Those of each side or each part; none of a figure that adds up or hangs on few slots.
    """
    found = [] if figure.longest_of is None else figure.longest_of(case)
    if figure.of_side is not None and len(case.sides) > 1:
        found = [np.asarray(figure.of_side(case, side)) for side in case.sides]
        if (
            math.prod(map(float, np.broadcast_shapes(*(each.shape for each in found))))
            <= MOST_CELLS
        ):
            return []
    laid = [_laid(case, each) for each in found]
    return [Table(scope, values[np.newaxis]) for scope, values in laid]


def _table(case: Case, values: NDArray[np.int64]) -> Cost:
    scope, found = _laid(case, values)
    return scope, found.astype(np.int64)


def _laid(case: Case, values: AnyArray) -> tuple[tuple[str, ...], AnyArray]:
    """An array over the grid as scope and table, without the slots that do not move it."""
    frame = case.frame
    shape = (1,) * (frame.ndim - values.ndim) + values.shape
    scope = tuple(slot for slot, size in zip(frame.slots, shape, strict=True) if size > 1)
    return scope, values.reshape([len(frame.parts[slot]) for slot in scope])


FEWEST, MOST = 2, 4
"""Figures between which a trade-off is asked; the front of more is nearly every build."""

Key = tuple[State, float, int, Places]
"""Of a build in its list: state, worst number with the other sign, steps and cost, parts."""

Live = Mapping[str, np.ndarray[tuple[int], np.dtype[np.intp]]]


@dataclass(frozen=True, eq=False)
class BuildLists:
    """The builds of an answer in the order of a question, by a figure, and as trade-offs."""

    count: Count
    frame: Frame
    """All parts that the request lets in."""
    live: Live
    """By slot, the places of the parts that no rule takes out alone."""
    picks: Picks
    grid: Case
    """The live parts."""
    figure: Figure
    """What orders builds of the same state before all else."""
    describe: Callable[[Build], RankedBuild]
    _orders: dict[State, BuildOrder] = field(default_factory=dict)
    """Orders laid out so far, by the level that they reach."""
    _margins: dict[State, Margins] = field(default_factory=dict)

    def order_at(
        self,
        level: State,
        figure: Sequence[Table] = (),
        held: Sequence[HeldRule] = (),
        *,
        priced: bool = True,
    ) -> BuildOrder:
        """The builds up to a level in order, under the picks.

        Parameters
        ----------
        level : State
            Up to which.
        figure : sequence of Table
            Over the live parts: what leads the order, and flags of builds that are listed at all.
        held : sequence of HeldRule
            Rules that must be kept with a share of their limits left.
        priced : bool
            False if every build is as good as any other.
        """
        allowed = {s: np.zeros((1, len(parts)), np.bool_) for s, parts in self.frame.parts.items()}
        for slot, places in self.live.items():
            picked = self.picks.get(slot)
            among = places if picked is None else places[[*_values(picked)]]
            allowed[slot][:, among] = True
        name = self.figure.name
        prices = Prices.of_frame(self.frame, name) if priced else Prices.none(self.frame)
        parts = PricedParts(
            self.count, level, prices, allowed=allowed, figure=figure, live=self.live, held=held
        )
        return BuildOrder(parts)

    def places_of(self, order: BuildOrder, build: Places) -> Build:
        """A build of an order as places among the live parts."""
        return {
            slot: int(order.priced.at[slot][place])
            for slot, place in zip(self.frame.slots, build, strict=True)
        }

    def up_to(self, levels: Sequence[State]) -> Iterator[tuple[Key, Build]]:
        """Yield the builds of some levels, each of which has builds, as places of live parts.

        Each comes with what puts it behind those before it: lists of one answer under different
        picks can be merged by it.
        """
        seen: set[Places] = set()
        for level in levels:
            worst = self._worst(self.figure, level)
            if worst is not None:
                found = self._by_worst(worst, level, seen)
            else:
                found = self._unseen(self._listed_to(level), seen)
            for key, build in found:
                yield (level, *key), build

    def _unseen(
        self, order: BuildOrder, seen: set[Places], value: float = 0.0
    ) -> Iterator[tuple[tuple[float, int, Places], Build]]:
        """Yield what was not seen: builds up to a level are those of the levels before it too."""
        for key, build in order.keyed():
            if build not in seen:
                seen.add(build)
                yield (-value, key, build), self.places_of(order, build)

    def _listed_to(self, level: State) -> BuildOrder:
        """The order of the builds up to a level, laid out once however often it is walked."""
        if level not in self._orders:
            self._orders[level] = self.order_at(level, self._leading(self.figure))
        return self._orders[level]

    def _leading(self, figure: Figure) -> list[Table]:
        return [Table(scope, table[np.newaxis]) for scope, table in costs_of(figure, self.grid)]

    def _worst(self, figure: Figure, level: State) -> Worst | None:
        """A figure that is the worst of some; None of one that adds up or hangs on few slots."""
        if figure.name == LEAST_MARGIN:
            return self.margins(level).worst(self.describe)
        sides = worst_in(figure, self.grid)
        return worse_of(sides, 1.0 if figure.highest_first else -1.0) if sides else None

    def margins(self, level: State) -> Margins:
        """Margins of the builds up to a level, of which there are some."""
        if level not in self._margins:
            first = self.first(level)
            assert first is not None
            self._margins[level] = Margins(
                self.count.left,
                self.live,
                self.describe(first),
                lambda demanded: self.first(level, demanded) is not None,
            )
        return self._margins[level]

    def _by_worst(
        self, worst: Worst, level: State, seen: set[Places]
    ) -> Iterator[tuple[tuple[float, int, Places], Build]]:
        """Yield builds from the highest worst number on, those alike in the order of builds.

        Whatever is better has been listed before, so that passing over it takes no longer than
        listing it did.
        """
        value = math.inf
        while value > -math.inf:

            def unseen(worth: float) -> Build | None:
                order = self.order_at(level, *worst.beyond(worth))
                build = next((each for each in order.builds() if each not in seen), None)
                return None if build is None else self.places_of(order, build)

            best = highest(unseen, worst.value, value)
            value = -math.inf if best is None else worst.value(best)
            known = ([], []) if best is None else worst.beyond(np.nextafter(value, -math.inf))
            yield from self._unseen(self.order_at(level, *known), seen, value)

    def first(self, level: State, demanded: Demanded = ([], [])) -> Build | None:
        """The first build up to a level that meets some demands."""
        order = self.order_at(level, *demanded)
        build = next(order.builds(), None)
        return None if build is None else self.places_of(order, build)

    def best(self, level: State, figure: Figure, demanded: Demanded = ([], [])) -> Build | None:
        """The first build of the best value of a figure; None if no build meets what is asked.

        Parameters
        ----------
        level : State
            Up to which builds count.
        figure : Figure
            What is known of it is better than what is not.
        demanded : Demanded
            What builds must meet.
        """
        flags, held = demanded
        worst = self._worst(figure, level)
        if worst is None:
            return self.first(level, ([*self._leading(figure), *flags], held))

        def beyond(worth: float) -> Build | None:
            further, more = worst.beyond(worth)
            return self.first(level, ([*flags, *further], [*held, *more]))

        return highest(beyond, worst.value) or self.first(level, demanded)

    def front(
        self,
        space: BuildSpace,
        level: State,
        figures: Sequence[Figure],
        progress: Progress | None = None,
    ) -> list[Build]:
        """The Pareto front over several figures, exact, one build for each trade-off.

        Parameters
        ----------
        space : BuildSpace
            The builds to choose from: those up to the level.
        level : State
            Which has builds.
        figures : sequence of Figure
            Two to four figures; each is taken in its better direction.
        progress : callable, optional
            Told how far a long run is.

        Raises
        ------
        UsageError
            If fewer than two or more than four figures are given, or one twice, or a third beside
            one that is the worst of many numbers.
        """
        names = [figure.name for figure in figures]
        if not FEWEST <= len(names) <= MOST or len(set(names)) != len(names):
            raise UsageError(
                f"--pareto: given '{','.join(names)}'; accepted: {FEWEST} to {MOST} different figures"
            )
        for figure in figures:
            if not figure.trades:
                raise UsageError(
                    f"--pareto: {figure.name} is a sum over all findings and only sorts"
                )
        worst = {figure.name: self._worst(figure, level) for figure in figures}
        first = next((each for each in figures if worst[each.name] is not None), None)
        if first is None:
            costs = {figure.name: costs_of(figure, self.grid) for figure in figures}
            return [point.build for point in space.pareto(costs, self.picks, progress)]
        if len(figures) > FEWEST:
            raise UsageError(
                f"--pareto: {first.name} is the worst of many numbers, which trades against one "
                "other figure at a time"
            )
        other = next(each for each in figures if each is not first)
        found = [*self._traded(level, worst[first.name], other, worst[other.name])]
        return found if first is figures[1] else found[::-1]

    def _traded(
        self, level: State, worst: Worst | None, figure: Figure, other: Worst | None
    ) -> Iterator[Build]:
        """Yield the front between the worst of many numbers and a figure, best by the latter first."""
        assert worst is not None

        def value(build: Build) -> float:
            if other is not None:
                return other.value(build)
            told = self.describe(build).figures[figure.name]
            return math.inf if told is None else told

        here = self.best(level, figure)
        while here is not None:
            worth = worst.value(here)
            there = self.best(level, figure, worst.beyond(worth)) if worth < math.inf else None
            if there is None or value(there) != value(here):
                yield here
            here = there


def _values(picked: int | Collection[int]) -> Collection[int]:
    return (picked,) if isinstance(picked, int) else picked
