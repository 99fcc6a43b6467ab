"""Parts with one rating a step better: seals, bodies, drives and feeds."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import get_args

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import ControlInterface, Drive, Feed, FittedPart, Part, Seal
from configurator.screen.hypothetical.part import Derivation, Hypothetical, single
from configurator.screen.hypothetical.steps import (
    Ladder,
    mark_of,
    scaled,
    shown,
    stepped,
    usual_ratio,
)
from configurator.units.grouped import grouped

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
