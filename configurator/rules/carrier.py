"""Carrier: what the machine has to carry, as mass and as moment."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import NamedTuple

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS, Body, Feed, Mixing, Outlet, Part, Size
from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.machine import moment
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.outcome import Total
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.dimension import Kind
from configurator.units.interval import End
from configurator.units.kinds import MASS, MOMENT

MASS_PARTS = (
    "size.dry_mass",
    "body.mass_share",
    "drive.mass",
    "mixing.mass",
    "outlet.mass",
    "feed.carried_mass",
    "feed.second_capacity",
)


def masses(case: Case) -> tuple[Floats, ...]:
    """Mass of each side's head, drive and feed, and of mixer and tip. [kg]

    The material inside of the head is part of the size's mass; a feed that rides along
    states its filled mass.
    """
    sides = tuple(
        side.column("size", "dry_mass", "high") * side.column("body", "mass_share")
        + side.column("drive", "mass", "high")
        + feed_mass(side, "high")
        for side in case.sides
    )
    mixing = np.nan_to_num(case.column("mixing", "mass", "high"), nan=0.0)
    return (*sides, case.column("outlet", "mass", "high") + mixing)


def feed_mass(side: Side, end: End = "nominal") -> Floats:
    """What of a feed rides along; half of a dual cartridge, which feeds the other side too. [kg]"""
    dual = ~np.isnan(side.column("feed", "second_capacity"))
    return np.asarray(side.column("feed", "carried_mass", end) * np.where(dual, 0.5, 1.0))


def carried_mass(case: Case) -> Floats:
    """All of it together. [kg]"""
    return np.asarray(sum(masses(case), np.asarray(0.0)))


class _Load(NamedTuple):
    """What the carrier takes of one kind, and what a kilogram is of it."""

    kind: Kind
    limit: float
    scale: FloatsOrOne

    @classmethod
    def mass(cls, case: Case) -> _Load | None:
        """The payload."""
        limit = case.process.carrier.payload
        return None if limit is None else cls(MASS, limit.low, 1.0)

    @classmethod
    def moment(cls, case: Case) -> _Load | None:
        """The moment at the flange, with the longest lever."""
        limit, lever = case.process.carrier.moment, case.process.carrier.lever
        distance = math.nan if lever is None else lever.high
        return (
            None if limit is None else cls(MOMENT, limit.low, moment(mass=1.0, distance=distance))
        )


Load = Callable[[Case], _Load | None]


def _of_one_side(load: Load, corner: str, case: Case, _side: Side) -> Total | None:
    """What is carried against what the carrier takes, less the shop's margin."""
    found = load(case)
    if found is None or case.material.two_part:
        return None
    margin = case.practice.carried_margin.nominal
    return Total(masses(case), found.scale, corner, found.limit, found.kind, margin)


def _of_both_sides(load: Load, case: Case, _side: Side) -> Comparison | None:
    """Both sides between their lightest and heaviest make-up, against what the carrier takes.

    Sizes and drives decide; bodies, feeds, mixers and tips are taken between the lightest and
    the heaviest of the catalog, so that a build is ruled out only if nothing would save it.
    """
    found = load(case)
    if found is None or not case.material.two_part:
        return None
    light, heavy = (np.asarray(each) for each in _lightest_and_heaviest(case, SHARED_SLOTS))
    for side in case.sides:
        drive = side.column("drive", "mass", "high")
        least, most = (
            case.frame.numbers(side.slot("size"), partial(_make_up, case, end)) for end in (0, 1)
        )
        light, heavy = light + drive + least, heavy + drive + most
    light, heavy = light * found.scale, heavy * found.scale
    demand = Bound(light, light, heavy, "heaviest body, feed, mixer and tip")
    margin = case.practice.carried_margin.nominal
    return Comparison(demand, Bound.exact(found.limit), found.kind, caution=margin)


def _make_up(case: Case, end: int, size: Part) -> float:
    """Head and feed of a size with its lightest (0) or heaviest (1) body and feed. [kg]"""
    assert isinstance(size, Size)
    catalog = case.subject.catalog
    shares = [
        part.mass_share.nominal
        for part in catalog.parts["body"]
        if isinstance(part, Body) and size.name in part.sizes
    ]
    feeds = [
        part.carried_mass.nominal * (0.5 if part.both_sides else 1.0)
        for part in catalog.parts["feed"]
        if isinstance(part, Feed) and size.name in part.sizes
    ]
    pick = (min, max)[end]
    return size.dry_mass.nominal * pick(shares, default=1.0) + pick(feeds, default=0.0)


def _lightest_and_heaviest(case: Case, slots: tuple[str, ...]) -> tuple[float, float]:
    """Sum of the lightest and of the heaviest part of some slots. [kg]"""
    light = heavy = 0.0
    for slot in slots:
        weights = [
            part.mass.nominal
            for part in case.subject.catalog.parts[slot]
            if isinstance(part, Mixing | Outlet) and part.mass is not None
        ]
        light += min(weights, default=0.0)
        heavy += max(weights, default=0.0)
    return light, heavy


MASS_ASKS = ("process.carrier.payload",)
MOMENT_ASKS = ("process.carrier.moment", "process.carrier.lever")
TAKES = "the carrier takes {limit}, of which the shop plans with {planned}"


def _rule(name: str, load: Load, loads: str, *, two_part: bool = False) -> Rule:
    of_mass = load == _Load.mass
    corner = "filled" if of_mass else "filled, longest lever"
    return Rule(
        name=name,
        family="carrier",
        parts=("size.dry_mass", "drive.mass") if two_part else MASS_PARTS,
        asks=MASS_ASKS if of_mass else MOMENT_ASKS,
        practice=("carried_margin",),
        check=partial(_of_both_sides, load) if two_part else partial(_of_one_side, load, corner),
        whole=True,
        sentence=f"{loads}; {TAKES}",
        source=f"{'masses from the catalog' if of_mass else 'm g r'}; "
        "margin of 20 % (common practice, no source)",
    )


HEAVIEST = "with the heaviest body, feed, mixer and tip"

RULES: tuple[Rule, ...] = (
    _rule("carried mass", _Load.mass, "head, drive, tip and feed weigh {demand}"),
    _rule("carried moment", _Load.moment, "the head loads the flange with {demand}"),
    _rule(
        "carried mass of both sides",
        _Load.mass,
        f"both sides weigh up to {{demand}} {HEAVIEST}",
        two_part=True,
    ),
    _rule(
        "carried moment of both sides",
        _Load.moment,
        f"both sides load the flange with up to {{demand}} {HEAVIEST}",
        two_part=True,
    ),
)
