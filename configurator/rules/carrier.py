"""Carrier: what the machine has to carry, as mass and as moment."""

from __future__ import annotations

import numpy as np

from configurator.physics.carrying import moment as moment_of
from configurator.rules.case import Case
from configurator.rules.comparison import Floats, Total
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import MASS, MOMENT

MASS_PARTS = (
    "size.dry_mass",
    "body.mass_share",
    "drive.mass",
    "mixing.mass",
    "outlet.mass",
    "feed.carried_mass",
)


STEPS = 100
"""Steps of the payload in which masses count, rounded up: nobody weighs a head more finely
against a payload than to 1 % of it."""


def masses(case: Case) -> tuple[Floats, ...]:
    """Mass of each side's head, drive and feed, and of mixer and tip. [kg]

    The material inside of the head is part of the size's mass; a feed that rides along
    states its filled mass.
    """
    sides = tuple(
        side.column("size", "dry_mass") * side.column("body", "mass_share")
        + side.column("drive", "mass")
        + side.column("feed", "carried_mass")
        for side in case.sides
    )
    mixing = np.nan_to_num(case.column("mixing", "mass"), nan=0.0)
    return (*sides, case.column("outlet", "mass") + mixing)


def carried_mass(case: Case) -> Floats:
    """All of it together. [kg]"""
    return np.asarray(sum(masses(case), np.asarray(0.0)))


def _weighed(case: Case) -> tuple[Floats, ...]:
    """The masses in whole steps, rounded up. [kg]"""
    carrier = case.process.carrier
    limits = []
    if carrier.payload is not None:
        limits.append(carrier.payload.low)
    if carrier.moment is not None and carrier.lever is not None:
        limits.append(carrier.moment.low / _moment_of_a_kilogram(carrier.lever.high))
    step = min(limits) / STEPS
    return tuple(np.ceil(np.round(mass / step, 6)) * step for mass in masses(case))


def _moment_of_a_kilogram(lever: float) -> float:
    return float(moment_of(mass=1.0, distance=lever))


def payload(case: Case, _side: Side) -> Total | None:
    """Carried mass against the payload, less the shop's margin."""
    limit = case.process.carrier.payload
    if limit is None:
        return None
    margin = case.practice.carried_margin.nominal
    return Total(_weighed(case), 1.0, "filled", limit.low, MASS, margin)


def moment(case: Case, _side: Side) -> Total | None:
    """Moment at the flange against what the carrier takes, less the shop's margin."""
    limit, lever = case.process.carrier.moment, case.process.carrier.lever
    if limit is None or lever is None:
        return None
    margin = case.practice.carried_margin.nominal
    scale = _moment_of_a_kilogram(lever.high)
    return Total(_weighed(case), scale, "filled, longest lever", limit.low, MOMENT, margin)


RULES: tuple[Rule, ...] = (
    Rule(
        name="carried mass",
        family="carrier",
        parts=MASS_PARTS,
        asks=("process.carrier.payload",),
        practice=("carried_margin",),
        check=payload,
        whole=True,
        sentence="head, drive, tip and feed weigh {demand}; the carrier takes {limit}",
        source="masses from the catalog, in steps of 1 % of the limit; margin of 20 % (common practice, no source)",
    ),
    Rule(
        name="carried moment",
        family="carrier",
        parts=MASS_PARTS,
        asks=("process.carrier.moment", "process.carrier.lever"),
        practice=("carried_margin",),
        check=moment,
        whole=True,
        sentence="the head loads the flange with {demand}; the carrier takes {limit}",
        source="m g r, in steps of 1 % of the limit; margin of 20 % (common practice, no source)",
    ),
)
