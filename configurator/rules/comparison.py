"""Demand against limit, each with its ends, and how the four states follow from them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Protocol, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.rules.finding import LISTED, State
from configurator.units.dimension import Kind

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

RELATIVE_SLACK = 1e-9
"""Equal amounts typed in different units differ in the last bits; the limit itself holds."""

LARGEST = 1e300
"""Stands for a limit without end, below the infinity that stands for an unknown demand."""

DEPTHS = (0.0, 0.25, 1.0, 2.0, 4.0)
"""Shares of the limit; a finding that does not fit is one step short, and one more for each of these
by which it passes the limit (chosen for this tool)."""

UNKNOWN_STEPS = 3
"""Steps that a finding is short of which nobody knows how deep it is (chosen for this tool)."""

Number = TypeVar("Number", bound=np.generic)
Kept = Mapping[int, NDArray[np.intp]]
"""Places kept along some axes of a frame."""


def cut(values: NDArray[Number], kept: Kept) -> NDArray[Number]:
    """The places of an array that are kept, along each axis on which it varies."""
    for axis, places in kept.items():
        if axis < values.ndim and values.shape[axis] > 1:
            values = np.take(values, places, axis=axis)
    return values


class Ranged(Protocol):
    """A quantity, an interval, or such of many requests at once."""

    @property
    def low(self) -> FloatsOrOne: ...  # noqa: D102 - the ends of it

    @property
    def nominal(self) -> FloatsOrOne: ...  # noqa: D102

    @property
    def high(self) -> FloatsOrOne: ...  # noqa: D102


@dataclass(frozen=True)
class Bound:
    """One side of a comparison: what it is at the kindest, the nominal and the hardest end."""

    kind: Floats
    nominal: Floats
    hard: Floats
    """Arrays that broadcast over the frame; NaN is unknown. For a demand under a ceiling the hard
    end is the highest value, for a limit it is the lowest."""
    corner: str = ""
    """Words for the hard end."""
    estimated: bool | Flags = False
    """True if the spread is somebody's estimate and not a stated range: then failing inside of it
    leaves the rule unproven, where a stated range would make it marginal."""

    @classmethod
    def exact(cls, value: Floats | float, corner: str = "") -> Self:
        """A figure without a spread."""
        array = np.asarray(value, dtype=np.float64)
        return cls(array, array, array, corner)

    @classmethod
    def spread(
        cls,
        kind: FloatsOrOne,
        nominal: FloatsOrOne,
        hard: FloatsOrOne,
        corner: str = "",
        *,
        estimated: bool | Flags = False,
    ) -> Self:
        """Three ends, each an array or a number."""
        return cls(np.asarray(kind), np.asarray(nominal), np.asarray(hard), corner, estimated)

    @classmethod
    def rising(cls, given: Ranged, corner: str = "", *, estimated: bool | Flags = False) -> Self:
        """What is harder the higher it is."""
        return cls.spread(given.low, given.nominal, given.high, corner, estimated=estimated)

    @classmethod
    def falling(cls, given: Ranged, corner: str = "", *, estimated: bool | Flags = False) -> Self:
        """What is harder the lower it is."""
        return cls.spread(given.high, given.nominal, given.low, corner, estimated=estimated)

    @classmethod
    def highest(cls, ends: Iterable[FloatsOrOne], corner: str, *, estimated: bool | Flags) -> Self:
        """A demand under a ceiling at thin, nominal and thick, of which the highest is hardest."""
        stacked = np.stack(np.broadcast_arrays(*ends))
        return cls(stacked.min(axis=0), stacked[1], stacked.max(axis=0), corner, estimated)

    @classmethod
    def lowest(cls, ends: Iterable[FloatsOrOne], corner: str, *, estimated: bool | Flags) -> Self:
        """The same over a floor, or of a ceiling itself: the lowest is hardest."""
        found = cls.highest(ends, corner, estimated=estimated)
        return replace(found, kind=found.hard, hard=found.kind)

    def plus(self, other: Bound) -> Self:
        """The sum with another demand, under the words and the basis of this one."""
        return self.with_other(other, np.add)

    def with_other(self, other: Bound, work: Callable[[Floats, Floats], Floats]) -> Self:
        """Both together, end by end, under the words and the basis of this one."""
        pairs = (self.kind, other.kind), (self.nominal, other.nominal), (self.hard, other.hard)
        kind, nominal, hard = (work(*pair) for pair in pairs)
        return replace(self, kind=kind, nominal=nominal, hard=hard)

    def each(self, work: Callable[[Floats], FloatsOrOne]) -> Self:
        """The same with something done to each end."""
        kind, nominal, hard = (
            np.asarray(work(end)) for end in (self.kind, self.nominal, self.hard)
        )
        return replace(self, kind=kind, nominal=nominal, hard=hard)

    @cached_property
    def known(self) -> Flags:
        """True where no end is unknown."""
        if self.kind is self.hard and self.nominal is self.hard:
            return ~np.isnan(self.hard)
        return ~(np.isnan(self.kind) | np.isnan(self.nominal) | np.isnan(self.hard))

    @cached_property
    def all_known(self) -> bool:
        """True if nothing is unknown, as for most figures."""
        return bool(self.known.all())

    def cut(self, kept: Kept) -> Self:
        """The same over fewer parts."""
        guessed = self.estimated
        estimated = cut(guessed, kept) if isinstance(guessed, np.ndarray) else guessed
        return replace(self.each(lambda end: cut(end, kept)), estimated=estimated)

    def in_steps(self, step: float) -> Self:
        """The same rounded up to whole steps; a step of zero rounds nothing."""
        if not step:
            return self
        kind, nominal, hard = (
            np.ceil(end / step * (1.0 - RELATIVE_SLACK)) * step
            for end in (self.kind, self.nominal, self.hard)
        )
        return replace(self, kind=kind, nominal=nominal, hard=hard)

    def end(self, level: State) -> Floats:
        """The end that counts when builds are let through up to `level`."""
        if level is State.FITS:
            return self.hard
        other = self.hard if level is State.MARGINAL else self.kind
        if isinstance(self.estimated, np.ndarray):
            return self._of_each[level]
        return other if self.estimated else self.nominal

    @cached_property
    def _of_each(self) -> dict[State, Floats]:
        """The same where some requests are estimated: each array is one and stays one."""
        marginal = np.where(self.estimated, self.hard, self.nominal)
        return {
            State.MARGINAL: marginal,
            State.UNPROVEN: np.where(self.estimated, self.kind, self.nominal),
        }


@dataclass(frozen=True)
class Comparison:
    """`demand <= limit`, or `demand >= limit` where the limit is a floor."""

    demand: Bound
    limit: Bound
    """Both in `kind.unit`."""
    kind: Kind
    """What is compared, for its unit and its words."""
    at_least: bool = False
    """True if the limit is a floor."""
    caution: float = 0.0
    """Share of the limit that must be left for the build to count as fitting."""
    cap: State = State.RULED_OUT
    """The worst this rule may say; a formula out of its range says unproven, not ruled out."""
    asked: bool | np.bool_ | Flags = True
    """Which of many requests ask for it; for the others nothing speaks against any part."""
    made_of: Mapping[str, Floats] = field(default_factory=dict)
    """By name, what the demand is made of at its hard end, over rows; in `kind.unit`."""
    untold: str = ""
    """What somebody has to tell before anything unknown in it is known."""
    rest: Bound | None = None
    """What the demand is more than `demand`: one half of a sum, which tables put on the limit's side
    so that no array spans the slots of both halves. As `estimated` as the demand is."""
    step: float = 0.0
    """The demand counts in whole steps of this, rounded up; in `kind.unit`. Zero counts all of it."""

    @property
    def whole(self) -> Comparison:
        """The same with the demand as one sum, as it is told."""
        return self if self.rest is None and not self.step else self._summed

    @cached_property
    def _summed(self) -> Comparison:
        demand = self.demand if self.rest is None else self.demand.plus(self.rest)
        return replace(self, demand=demand.in_steps(self.step), rest=None, step=0.0)

    def cut(self, kept: Kept) -> Self:
        """The same over fewer parts."""
        rest = None if self.rest is None else self.rest.cut(kept)
        return replace(self, demand=self.demand.cut(kept), limit=self.limit.cut(kept), rest=rest)

    def sides(self, level: State) -> tuple[Floats, Floats]:
        """Need and allowance such that a build passes where `need <= allow`.

        Unknown figures need everything and allow nothing up to marginal; at unproven they
        need nothing and allow everything, but for what is known to be needed or allowed at best.
        """
        caution = self.caution if level is State.FITS else 0.0
        factor = 1.0 + caution if self.at_least else 1.0 - caution
        return self._sides(level, factor, unknown=level >= State.UNPROVEN)

    def within(self, excess: float, *, unknown: bool) -> tuple[Floats, Floats]:
        """Need and allowance at the hard end such that the limit is passed by a share at most.

        The share [-] is negative where some of the limit must be left. Of a floor as much is
        missing when the demand would have to grow by it. What is unknown passes or does not, as
        asked.
        """
        factor = 1.0 / (1.0 + excess) if self.at_least else 1.0 + excess
        return self._sides(State.FITS, factor, unknown=unknown)

    def leaving(self, share: float, *, unknown: bool) -> tuple[Floats, Floats]:
        """Need and allowance at the hard end such that the margin is a share at least.

        Parameters
        ----------
        share : float
            Of the limit. [-]
        unknown : bool
            Whether what is unknown passes.
        """
        left = share * np.sign(self.limit.hard)
        factor = 1.0 + left if self.at_least else 1.0 - left
        return self._sides(State.FITS, factor, unknown=unknown)

    def _sides(
        self, level: State, factor: float | Floats, *, unknown: bool
    ) -> tuple[Floats, Floats]:
        demand, limit = self.demand.end(level), self.limit.end(level)
        shut = -np.inf if unknown else np.inf
        if self.at_least:
            need, allow = limit * factor * (1.0 - RELATIVE_SLACK), demand
            needs, allows = self.limit, self.demand
        else:
            need, allow = demand, limit * factor * (1.0 + RELATIVE_SLACK)
            if self.step:  # on this side, so that no array spans the slots of both
                allow = np.floor(allow / self.step) * self.step / (1.0 - RELATIVE_SLACK)
            needs, allows = self.demand, self.limit
        if level >= self.cap:
            # The cap is for what fails, not for what nobody knows: that stays unproven.
            need, allow = np.full_like(need, -LARGEST), np.full_like(allow, LARGEST)
        # A limit may be without end (a rigid stator at rest); an unknown demand still fails it.
        allow = np.minimum(allow, LARGEST)
        if not needs.all_known:
            at_best = shut if self.at_least else np.fmax(needs.kind, shut)
            need = np.where(needs.known, need, at_best)
        if not allows.all_known:
            at_best = np.fmin(allows.kind, -shut) if self.at_least else -shut
            allow = np.where(allows.known, allow, at_best)
        if self.rest is not None:
            rest = self.rest.end(level)
            if not self.rest.all_known:
                rest = np.where(self.rest.known, rest, np.fmax(self.rest.kind, shut))
            allow = np.asarray(allow - rest)
        if np.ndim(self.asked):
            need = np.where(self.asked, need, -np.inf)
        return need, allow

    def passes(self, level: State) -> Flags:
        """Where the rule lets a build through up to `level`."""
        need, allow = self.sides(level)
        return np.asarray(need <= allow)

    @property
    def bounds(self) -> tuple[Bound, ...]:
        """Demand, limit, and what stands on the side of the limit."""
        return (self.demand, self.limit, *([] if self.rest is None else [self.rest]))

    @property
    def _shape(self) -> tuple[int, ...]:
        return np.broadcast_shapes(*(each.nominal.shape for each in self.bounds))

    @cached_property
    def states(self) -> NDArray[np.int8]:
        """State of each combination: the best level that lets it through."""
        worst = np.full(self._shape, State.RULED_OUT, dtype=np.int8)
        for level in reversed(LISTED):
            worst[self.passes(level)] = level
        return worst

    @cached_property
    def steps(self) -> NDArray[np.int64]:
        """How many steps each combination is short of what the rule asks."""
        short = (self.states > State.FITS).astype(np.int64)
        deeper = [~self._is_within(at, excess) for at, excess in enumerate(DEPTHS)]
        return np.asarray(short * (1 + sum(deeper, np.zeros_like(short))))

    def _is_within(self, at: int, excess: float) -> Flags:
        need, allow = self.within(excess, unknown=at >= UNKNOWN_STEPS - 1)
        return np.asarray(need <= allow)

    def strained(self, shares: Sequence[float]) -> NDArray[np.int64]:
        """How many of some shares of the limit the demand passes; what is unknown passes none."""
        found = np.zeros(self._shape, dtype=np.int64)
        for share in shares:
            need, allow = self.within(share - 1.0, unknown=True)
            found += need > allow
        return found

    @cached_property
    def margins(self) -> Floats:
        """Share of the limit that is left at the hard end.

        NaN where unknown, and where nothing is asked of a limit of nothing.
        """
        demand, limit = np.broadcast_arrays(self.whole.demand.hard, self.limit.hard)
        left = demand - limit if self.at_least else limit - demand
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(
                limit != 0.0, left / np.abs(limit), np.where(left >= 0, np.nan, -np.inf)
            )
        return np.where(self.asked, share, np.nan) if np.ndim(self.asked) else share
