"""Carrier: what the machine has to carry, as mass and as moment."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS, Body, Feed, Mixing, Outlet, Part, Size
from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.machine import moment as moment_of
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.total import Total
from configurator.units.kinds import MASS, MOMENT

MASS_PARTS = (
    "size.dry_mass",
    "body.mass_share",
    "drive.mass",
    "mixing.mass",
    "outlet.mass",
    "feed.carried_mass",
)


def masses(case: Case) -> tuple[Floats, ...]:
    """Mass of each side's head, drive and feed, and of mixer and tip. [kg]

    The material inside of the head is part of the size's mass; a feed that rides along
    states its filled mass.
    """
    sides = tuple(
        side.column("size", "dry_mass", "high") * side.column("body", "mass_share")
        + side.column("drive", "mass", "high")
        + side.column("feed", "carried_mass", "high")
        for side in case.sides
    )
    mixing = np.nan_to_num(case.column("mixing", "mass", "high"), nan=0.0)
    return (*sides, case.column("outlet", "mass", "high") + mixing)


def carried_mass(case: Case) -> Floats:
    """All of it together. [kg]"""
    return np.asarray(sum(masses(case), np.asarray(0.0)))


def payload(case: Case, _side: Side) -> Total | None:
    """Carried mass against the payload, less the shop's margin."""
    limit = case.process.carrier.payload
    if limit is None or case.material.two_part:
        return None
    margin = case.practice.carried_margin.nominal
    return Total(masses(case), 1.0, "filled", limit.low, MASS, margin)


def moment(case: Case, _side: Side) -> Total | None:
    """Moment at the flange against what the carrier takes, less the shop's margin."""
    limit, lever = case.process.carrier.moment, case.process.carrier.lever
    if limit is None or case.material.two_part:
        return None
    margin = case.practice.carried_margin.nominal
    scale = _moment_of_a_kilogram(math.nan if lever is None else lever.high)
    return Total(masses(case), scale, "filled, longest lever", limit.low, MOMENT, margin)


def _moment_of_a_kilogram(lever: FloatsOrOne) -> FloatsOrOne:
    return moment_of(mass=1.0, distance=lever)


def two_sided_payload(case: Case, _side: Side) -> Comparison | None:
    """Mass of both sides between their lightest and heaviest make-up, against the payload.

    Sizes and drives decide; bodies, feeds, mixers and tips are taken between the lightest and
    the heaviest of the catalog, so that a build is ruled out only if nothing would save it.
    """
    limit = case.process.carrier.payload
    if limit is None or not case.material.two_part:
        return None
    margin = case.practice.carried_margin.nominal
    return Comparison(_both_sides(case, 1.0), Bound.exact(limit.low), MASS, caution=margin)


def two_sided_moment(case: Case, _side: Side) -> Comparison | None:
    """The same as a moment at the flange."""
    limit, lever = case.process.carrier.moment, case.process.carrier.lever
    if limit is None or not case.material.two_part:
        return None
    margin = case.practice.carried_margin.nominal
    scale = _moment_of_a_kilogram(math.nan if lever is None else lever.high)
    demand = _both_sides(case, scale)
    return Comparison(demand, Bound.exact(limit.low), MOMENT, caution=margin)


def _both_sides(case: Case, scale: FloatsOrOne) -> Bound:
    """Lightest and heaviest make-up of both sides, by size and drive, times a scale."""
    light: Floats = np.asarray(_lightest_and_heaviest(case, SHARED_SLOTS)[0])
    heavy: Floats = np.asarray(_lightest_and_heaviest(case, SHARED_SLOTS)[1])
    for side in case.sides:
        drive = side.column("drive", "mass", "high")
        for end in (0, 1):
            head = case.frame.numbers(side.slot("size"), partial(_make_up, case, end))
            if end == 0:
                light = light + drive + head
            else:
                heavy = heavy + drive + head
    return Bound(light * scale, light * scale, heavy * scale, "heaviest body, feed, mixer and tip")


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
        part.carried_mass.nominal
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


RULES: tuple[Rule, ...] = (
    Rule(
        name="carried mass",
        family="carrier",
        parts=MASS_PARTS,
        asks=("process.carrier.payload",),
        practice=("carried_margin",),
        check=payload,
        whole=True,
        sentence="head, drive, tip and feed weigh {demand}; the carrier takes {limit}, "
        "of which the shop plans with {planned}",
        source="masses from the catalog; margin of 20 % (common practice, no source)",
    ),
    Rule(
        name="carried moment",
        family="carrier",
        parts=MASS_PARTS,
        asks=("process.carrier.moment", "process.carrier.lever"),
        practice=("carried_margin",),
        check=moment,
        whole=True,
        sentence="the head loads the flange with {demand}; the carrier takes {limit}, "
        "of which the shop plans with {planned}",
        source="m g r; margin of 20 % (common practice, no source)",
    ),
    Rule(
        name="carried mass of both sides",
        family="carrier",
        parts=("size.dry_mass", "drive.mass"),
        asks=("process.carrier.payload",),
        practice=("carried_margin",),
        check=two_sided_payload,
        whole=True,
        sentence="both sides weigh up to {demand} with the heaviest body, feed, mixer and tip; "
        "the carrier takes {limit}, of which the shop plans with {planned}",
        source="masses from the catalog; margin of 20 % (common practice, no source)",
    ),
    Rule(
        name="carried moment of both sides",
        family="carrier",
        parts=("size.dry_mass", "drive.mass"),
        asks=("process.carrier.moment", "process.carrier.lever"),
        practice=("carried_margin",),
        check=two_sided_moment,
        whole=True,
        sentence="both sides load the flange with up to {demand} with the heaviest body, feed, "
        "mixer and tip; the carrier takes {limit}, of which the shop plans with {planned}",
        source="m g r; margin of 20 % (common practice, no source)",
    ),
)
