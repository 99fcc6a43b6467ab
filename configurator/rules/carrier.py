"""Carrier: what the machine has to carry, as mass and as moment."""

from __future__ import annotations

import numpy as np

from configurator.physics.carrying import moment as moment_of
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
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


def carried_mass(case: Case) -> Floats:
    """Mass of head, drive, mixer, tip and feed on the carrier. [kg]

    The material inside of the head is part of the size's mass; a feed that rides along
    states its filled mass.
    """
    total: Floats = np.asarray(0.0)
    for side in case.sides:
        total = total + side.column("size", "dry_mass") * side.column("body", "mass_share")
        total = total + side.column("drive", "mass") + side.column("feed", "carried_mass")
    mixing = np.nan_to_num(case.column("mixing", "mass"), nan=0.0)
    return np.asarray(total + case.column("outlet", "mass") + mixing)


def payload(case: Case, _side: Side) -> Comparison | None:
    """Carried mass against the payload, less the shop's margin."""
    limit = case.process.carrier.payload
    if limit is None:
        return None
    margin = case.practice.carried_margin.nominal
    return Comparison(
        Bound.exact(carried_mass(case), "filled"), Bound.exact(limit.low), MASS, caution=margin
    )


def moment(case: Case, _side: Side) -> Comparison | None:
    """Moment at the flange against what the carrier takes, less the shop's margin."""
    limit, lever = case.process.carrier.moment, case.process.carrier.lever
    if limit is None or lever is None:
        return None
    demand = moment_of(mass=carried_mass(case), distance=lever.high)
    margin = case.practice.carried_margin.nominal
    return Comparison(
        Bound.exact(np.asarray(demand), "filled, longest lever"),
        Bound.exact(limit.low),
        MOMENT,
        caution=margin,
    )


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
        sentence="the head loads the flange with {demand}; the carrier takes {limit}",
        source="m g r; margin of 20 % (common practice, no source)",
    ),
)
