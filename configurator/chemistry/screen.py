"""The swelling screen: an estimate from Hansen parameters where no verdict exists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from configurator.catalog.substances import Constituent, WettedMaterial
from configurator.chemistry.lookup import ContactGrade
from configurator.chemistry.share import MassFraction
from configurator.physics.swelling import (
    SwellingOutcome,
    hansen_distance,
    relative_energy_difference,
    swelling_outcome,
)

SCREEN_TEMPERATURE = 313.15
"""Above this the parameters, which are stated for 25 degC, prove no resistance. [K]"""

LARGEST_BLEND = 3
"""Most constituents in a blend that is screened."""

WATER_DENSITY = 1000.0
"""Stands in for a density that is not stated, in volume fractions only. [kg/m^3]"""

OUTCOME_GRADES: dict[SwellingOutcome, ContactGrade] = {
    SwellingOutcome.RESISTS: "limited",
    SwellingOutcome.TEST: "unknown",
    SwellingOutcome.UNKNOWN: "unknown",
    SwellingOutcome.SWELLS: "not satisfactory",
}
"""What an estimate may say at most: alone it never makes a contact satisfactory."""

OUTCOME_WORDS = {
    SwellingOutcome.RESISTS: "resists",
    SwellingOutcome.TEST: "only a test decides",
    SwellingOutcome.UNKNOWN: "unknown",
    SwellingOutcome.SWELLS: "swells",
}


@dataclass(frozen=True, slots=True)
class Liquid:
    """A constituent or a blend of some, as a point among solubility parameters."""

    name: str
    """The constituent's title, or those of the blend."""
    dispersion: float
    polar: float
    hydrogen: float
    """Hansen parameters, for a blend by volume fractions. [MPa^0.5]"""


@dataclass(frozen=True, slots=True)
class Screened:
    """Outcome of the screen for one liquid on one elastomer."""

    liquid: str
    """The constituent's title, or those of the blend."""
    difference: float
    """Hansen distance over the nominal radius of the elastomer's sphere. [-]"""
    outcome: SwellingOutcome
    """What holds for every radius that is plausible."""

    @property
    def grade(self) -> ContactGrade:
        """What the outcome may say of the contact."""
        return OUTCOME_GRADES[self.outcome]


def screenable(material: WettedMaterial) -> bool:
    """Whether the screen may be used: elastomers with a sphere; no crystalline plastic or metal."""
    return (
        material.family == "elastomer"
        and "semicrystalline" not in material.tags
        and material.hansen is not None
        and material.hansen.radius is not None
    )


def liquids_of(members: Sequence[tuple[Constituent, MassFraction]]) -> tuple[Liquid, ...]:
    """Return what the screen looks at: each constituent alone, then their blends.

    A blend of two or three keeps the proportions that the shares state. All of them are looked
    at, since an elastomer takes up what suits it and leaves the rest; so another constituent
    only ever adds liquids to look at. Constituents without parameters are left out.
    """
    points = []
    for constituent, share in members:
        if constituent.hansen is not None:
            hansen = constituent.hansen
            point = np.array(
                [hansen.dispersion.nominal, hansen.polar.nominal, hansen.hydrogen.nominal]
            )
            points.append((constituent.title, point / 1e3, _volume(constituent, share)))
    points.sort(key=lambda entry: entry[0])
    liquids = [Liquid(title, *map(float, point)) for title, point, _ in points]
    blendable = [(title, point, volume) for title, point, volume in points if volume is not None]
    for size in range(2, LARGEST_BLEND + 1):
        for group in combinations(blendable, size):
            volumes = np.array([volume for _, _, volume in group])
            if volumes.sum() > 0.0:
                mean = np.average([point for _, point, _ in group], axis=0, weights=volumes)
                name = "a blend of " + " and ".join(title for title, _, _ in group)
                liquids.append(Liquid(name, *map(float, mean)))
    return tuple(liquids)


def _volume(constituent: Constituent, share: MassFraction) -> float | None:
    """Volume by mass of material, on the nominal share; None if the share is not stated."""
    if share.fraction_low is None or share.fraction_high is None:
        return None
    density = WATER_DENSITY if constituent.density is None else constituent.density.nominal
    return (share.fraction_low + share.fraction_high) / 2.0 / density


def screen_swelling(material: WettedMaterial, liquids: Sequence[Liquid]) -> tuple[Screened, ...]:
    """Estimate for each liquid, in their order, whether it swells an elastomer.

    Raises
    ------
    ValueError
        If the screen must not be used on the material: see `screenable`.
    """
    hansen = material.hansen
    if not screenable(material) or hansen is None or hansen.radius is None:
        raise ValueError(f"the swelling screen does not apply to {material.code}")
    if not liquids:
        return ()
    spread = hansen.radius_uncertainty
    radius = hansen.radius.nominal / 1e3
    distance = hansen_distance(
        dispersion_a=np.array([liquid.dispersion for liquid in liquids]),
        polar_a=np.array([liquid.polar for liquid in liquids]),
        hydrogen_a=np.array([liquid.hydrogen for liquid in liquids]),
        dispersion_b=hansen.dispersion.nominal / 1e3,
        polar_b=hansen.polar.nominal / 1e3,
        hydrogen_b=hansen.hydrogen.nominal / 1e3,
    )
    outcomes = swelling_outcome(
        distance=distance,
        radius=radius,
        radius_uncertainty=0.0 if spread is None else spread.high,
    )
    differences = np.atleast_1d(relative_energy_difference(distance=distance, radius=radius))
    return tuple(
        Screened(liquid.name, float(difference), SwellingOutcome(int(outcome)))
        for liquid, difference, outcome in zip(
            liquids, differences, np.atleast_1d(outcomes), strict=True
        )
    )
