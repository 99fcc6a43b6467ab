"""Steps by which a figure of a catalog may grow, and parts with one rating a step better."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import TypeVar, get_args

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import ControlInterface, Drive, Feed, FittedPart, Part, Seal
from configurator.screen.hypothetical.part import Derivation, Hypothetical, single
from configurator.units.display import quantity_from, round3, show_value
from configurator.units.grouped import grouped
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity, parse

Each = TypeVar("Each")

ALIKE = 1e-9
"""Figures that differ by less than this share are one: `1 mm` and `0.1 cm`."""

DIGITS = 4
"""Significant digits of a figure that follows from another by similarity."""


@dataclass(frozen=True, slots=True)
class SeriesStep:
    """A figure that no part has, and those that it was set by."""

    value: float
    """In SI, of three significant digits."""
    least: float | None
    most: float | None
    """The figures on either side; None at an end."""

    @property
    def nearest(self) -> float:
        """The existing figure that is closest by ratio, the lower one of two."""
        sides = [side for side in (self.least, self.most) if side is not None]
        return min(sides, key=lambda side: abs(math.log(side / self.value)))


class Ladder:
    """The different figures of some parts, from least to most.

    `usual` is the ratio of neighbours where there is one figure alone; without it such a ladder
    goes no further.
    """

    def __init__(self, values: Iterable[float], usual: float | None = None) -> None:
        # A figure of nothing, such as a speed of zero, has no ratio to others.
        self.rungs = _distinct(value for value in values if value > 0.0)
        self._usual = usual

    @property
    def ratios(self) -> list[float]:
        """Each figure over the one before it."""
        return [high / low for low, high in pairwise(self.rungs)]

    def above(self, value: float) -> float | None:
        """Return the next figure above one of them; beyond the last the last ratio is repeated."""
        higher = [rung for rung in self.rungs if rung > value * (1 + ALIKE)]
        if higher:
            return higher[0]
        ratio = self.ratios[-1] if self.ratios else self._usual
        return None if ratio is None else round3(value * ratio)

    def below(self, value: float) -> float | None:
        """Return the next figure below one of them; beyond the first the first ratio is repeated."""
        lower = [rung for rung in self.rungs if rung < value * (1 - ALIKE)]
        if lower:
            return lower[-1]
        ratio = self.ratios[0] if self.ratios else self._usual
        return None if ratio is None else round3(value / ratio)

    def steps(self) -> list[SeriesStep]:
        """Figures that no part has: below the first, between neighbours, above the last."""
        if not self.rungs:
            return []
        first, last = self.rungs[0], self.rungs[-1]
        ends = (self.below(first), self.above(last))
        found = [
            SeriesStep(round3(math.sqrt(low * high)), low, high)
            for low, high in pairwise(self.rungs)
        ]
        if ends[0] is not None:
            found.insert(0, SeriesStep(ends[0], None, first))
        if ends[1] is not None:
            found.append(SeriesStep(ends[1], last, None))
        # Neighbours may be so close that a figure of three digits between them is one of them.
        return [step for step in found if not any(_like_it(step.value, r) for r in self.rungs)]


def closest(
    parts: Iterable[Each],
    step: SeriesStep,
    figure: Callable[[Each], float],
    trait: Callable[[Each], Hashable],
) -> Iterator[Each]:
    """Yield the parts with the existing figure that is closest to a step, one of each trait."""
    seen: set[Hashable] = set()
    for part in parts:
        if abs(figure(part) / step.nearest - 1) < ALIKE and trait(part) not in seen:
            seen.add(trait(part))
            yield part


def usual_ratio(families: Iterable[Sequence[float]]) -> float | None:
    """Return the median ratio of neighbours over some families of figures; None without any."""
    ratios = [ratio for values in families for ratio in Ladder(values).ratios]
    return median(ratios) if ratios else None


def next_count(values: Iterable[float]) -> int:
    """Return the count one step above the greatest: by the last difference, else by one."""
    rungs = _distinct(values)
    step = rungs[-1] - rungs[-2] if len(rungs) > 1 else 1.0
    return round(rungs[-1] + step)


def _distinct(values: Iterable[float]) -> list[float]:
    kept: list[float] = []
    for value in sorted(values):
        if not kept or not _like_it(kept[-1], value):
            kept.append(value)
    return kept


def _like_it(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=ALIKE, abs_tol=0.0)


def stepped(old: Quantity, value: float) -> Quantity:
    """Return a figure in place of another, its text of three digits; the new value in SI."""
    if old.low != old.high and not old.kind.whole:
        return scaled(old, value / old.nominal)
    value = _within(value, old)
    text = str(round(value)) if old.kind.whole else _typed(value, old)
    return Quantity(text, old.kind, parse(text, old.kind), Basis.INVENTED, _note(old))


def scaled(old: Quantity, factor: float) -> Quantity:
    """Return a figure that follows another by a factor, its range with it."""
    low, nominal, high = (
        _within(float(f"{end * factor:.{DIGITS}g}"), old)
        for end in (old.low, old.nominal, old.high)
    )
    return quantity_from(Interval(low, nominal, high), old.kind, Basis.INVENTED, _note(old))


def _within(value: float, like: Quantity) -> float:
    """A value that a figure of its kind may have: the greatest of them catch slips of the pen."""
    return value if like.kind.maximum is None else min(value, like.kind.maximum)


def shown(value: float, like: Quantity) -> str:
    """Return a value as people read it, in the kind of a figure."""
    return show_value(value, like.kind)


def _typed(value: float, like: Quantity) -> str:
    return shown(value, like).replace("N m", "N*m").replace("N cm", "N*cm")


def _note(old: Quantity) -> str:
    return f"hypothetical, derived from {old.text}"[:500]


_OTHER = re.compile(r"[^a-z0-9.]+")


def mark_of(text: str) -> str:
    """Make a piece of a part's name of a figure or a word.

    Examples
    --------
    >>> mark_of("0.65 mm"), mark_of("step and direction"), mark_of("1.5 mL/rev")
    ('0.65mm', 'stepanddirection', '1.5mlrev')
    """
    return _OTHER.sub("", text.lower())


def setting(step: SeriesStep, like: Quantity) -> str:
    """Say a new figure and those that it was set by, as people read them."""
    value = shown(step.value, like)
    if step.least is None:
        assert step.most is not None
        return f"{value}, one step below the least, {shown(step.most, like)}"
    if step.most is None:
        return f"{value}, one step above the greatest, {shown(step.least, like)}"
    return f"{value}, between {shown(step.least, like)} and {shown(step.most, like)}"


RATING = Derivation(
    "a rating one step better",
    "For each body, seal, drive and feed: one rating raised to the next one that a part of its "
    "kind has, or beyond the best by the last ratio: pressure; speed; torque (peak with it) among "
    "drives that share a size; lowest speed lowered; pressure, viscosity and line bore of a feed "
    "among feeds of its kind.",
)
INTERFACE = Derivation(
    "every control interface", "For each drive: the same with all control interfaces there are."
)
DRY = Derivation(
    "keeps moisture out", "For each seal and feed that lets moisture in: the same, keeping it out."
)
STIRRED = Derivation(
    "stirred", "For each pressure pot or pail that is not stirred: the same, stirred."
)

STIRRABLE = ("pressure pot", "pail follower")


@dataclass(frozen=True, slots=True)
class Rating:
    """A figure that may be a step better."""

    slot: str
    field: str
    """Of the part."""
    words: str
    """What people call it."""
    lower: bool = False
    """True if less is better."""
    follows: tuple[str, ...] = ()
    """Fields that change by the same factor."""


RATINGS = (
    Rating("body", "pressure_max", "pressure"),
    Rating("seal", "pressure_max", "pressure"),
    Rating("seal", "speed_max", "speed"),
    Rating("drive", "torque_continuous", "torque", follows=("torque_peak",)),
    Rating("drive", "speed_max", "speed"),
    Rating("drive", "speed_min", "lowest speed", lower=True),
    Rating("feed", "pressure_max", "pressure"),
    Rating("feed", "viscosity_max", "viscosity"),
    Rating("feed", "line_bore", "line bore"),
)


def ratings(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield parts with one rating a step better, then those with another trait."""
    for rating in RATINGS:
        parts = catalog.parts[rating.slot]
        families = grouped(parts, _kind).values()
        usual = usual_ratio([_values(each, rating.field) for each in families])
        for part in parts:
            yield from _better(part, [p for p in parts if _alike(p, part)], rating, usual)
    yield from _with_every_interface(catalog)
    yield from _with_trait(catalog, DRY, "keeps_moisture_out", "dry", _lets_moisture_in)
    yield from _with_trait(catalog, STIRRED, "stirred", "stirred", _may_be_stirred)


def _kind(part: Part) -> Hashable:
    if isinstance(part, Drive):
        return part.sizes
    return part.kind if isinstance(part, Feed) else ""


def _alike(one: Part, other: Part) -> bool:
    """Whether two parts of a slot are of one kind, so that a rating of one suits the other."""
    if isinstance(one, Drive) and isinstance(other, Drive):
        return not set(one.sizes).isdisjoint(other.sizes)
    return _kind(one) == _kind(other)


def _values(parts: Sequence[Part], field: str) -> list[float]:
    return [getattr(part, field).nominal for part in parts]


def _better(
    part: Part, alike: Sequence[Part], rating: Rating, usual: float | None
) -> Iterator[Hypothetical]:
    old = getattr(part, rating.field)
    ladder = Ladder(_values(alike, rating.field), usual)
    value = ladder.below(old.nominal) if rating.lower else ladder.above(old.nominal)
    if value is None:
        return
    text = shown(value, old)
    change = f"{rating.words} of {text} in place of {old.text}"
    figures: dict[str, object] = {rating.field: stepped(old, value)}
    factor = value / old.nominal if old.nominal else 1.0
    for field in rating.follows:
        figures[field] = scaled(getattr(part, field), factor)
    part_name = f"{mark_of(rating.words)}-{mark_of(text)}"
    yield single(RATING, part, part_name, change, figures)


def _with_every_interface(catalog: Catalog) -> Iterator[Hypothetical]:
    every = get_args(ControlInterface)
    for drive in catalog.parts["drive"]:
        assert isinstance(drive, Drive)
        lacking = [each for each in every if each not in drive.control]
        if lacking:
            change = f"also with {', '.join(lacking)}"
            yield single(INTERFACE, drive, "interfaces", change, {"control": every})


def _lets_moisture_in(part: Part) -> bool:
    return isinstance(part, (Seal, Feed)) and not part.keeps_moisture_out


def _may_be_stirred(part: Part) -> bool:
    return isinstance(part, Feed) and part.kind in STIRRABLE and not part.stirred


def _with_trait(
    catalog: Catalog,
    rule: Derivation,
    field: str,
    mark: str,
    suits: Callable[[Part], bool],
) -> Iterator[Hypothetical]:
    for slot in ("seal", "feed"):
        for part in catalog.parts[slot]:
            if isinstance(part, FittedPart) and suits(part):
                change = f"the same, but {rule.name}"
                yield single(rule, part, mark, change, {field: True})
