"""The swelling screen, and what a change of volume means where an elastomer sits.

A stator rubs and its fit is a few hundredths of a millimetre; a shaft seal moves and is pressed
on again by its spring; a still seal has room in its groove. Charts grade still seals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

import numpy as np

from configurator.catalog.substances import Constituent, Grade, WettedMaterial
from configurator.chemistry.lookup import ContactGrade, Opinion, SwellRecord, grade_rank
from configurator.chemistry.share import MassFraction
from configurator.physics.swelling import (
    SwellingOutcome,
    hansen_distance,
    relative_energy_difference,
    swelling_outcome,
)
from configurator.units.interval import Basis

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


Place = Literal["stator", "moving seal", "still seal"]

LIMITS: dict[Place, tuple[float, float]] = {
    "stator": (0.03, 0.08),
    "moving seal": (0.10, 0.20),
    "still seal": (0.15, 0.30),
}
"""Greatest change of volume of a satisfactory and of a limited contact in each place; shrinking
counts alike (common practice, no source). [-]"""

GRADES: tuple[Grade, ...] = ("satisfactory", "limited", "not satisfactory")

BASIS = {"measured": Basis.PUBLISHED, "published": Basis.PUBLISHED, "calculated": Basis.ESTIMATED}
"""What a swell record rests on, in the words of every other figure."""


def grade_of_swell(low: float, high: float, place: Place) -> tuple[Grade, bool]:
    """Return what a change of volume is worth in a place, and whether its whole range says so.

    Examples
    --------
    >>> [grade_of_swell(0.10, 0.12, place)[0] for place in LIMITS]
    ['not satisfactory', 'limited', 'satisfactory']
    """
    good, fair = LIMITS[place]
    ends = [(change > good) + (change > fair) for change in (_least(low, high), max(-low, high))]
    return GRADES[ends[1]], ends[0] == ends[1]


def _least(low: float, high: float) -> float:
    return 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))


def swell_opinions(
    records: Sequence[SwellRecord], title: str, material: str, *, place: Place, temperature: float
) -> list[Opinion]:
    """Return what published and calculated changes of volume say of a place.

    Where the range of a record straddles a limit it grades by its worse end, though only as
    limited. A record of cooler contact proves nothing good, and one of hotter contact nothing bad.
    """
    opinions = []
    for record in records:
        group, change = record.group, record.row.change
        grade, sure = grade_of_swell(change.low, change.high, place)
        bad = grade == "not satisfactory"
        if bad and not sure:
            grade, bad = "limited", False
        if bad and group.temperature.low > max(temperature, SCREEN_TEMPERATURE):
            continue
        seen = "" if group.seen == "whole" else f"; only its {group.seen} was seen"
        word = "calculated" if group.basis == "calculated" else "swells"
        opinions.append(
            Opinion(
                constituent=title,
                material=material,
                grade=grade,
                kind="verdict",
                basis=BASIS[group.basis],
                source=group.source,
                confidence=group.confidence,
                holds=bad or group.temperature.high >= temperature - SAME_TEMPERATURE,
                note=f"{word} {change.text} by volume, in a {place}{seen}",
                swelling=max(change.low, change.high, key=abs),
            )
        )
    return opinions


SAME_TEMPERATURE = 5.0
"""Difference that tells no two soaks at room temperature apart. [K]"""


def second_witness(
    voices: Sequence[Opinion],
    constituent: Constituent,
    share: MassFraction,
    material: WettedMaterial,
    place: Place,
) -> list[Opinion]:
    """Return the voices on a rubbing stator, with a caution where one good grade stands alone.

    A grade of a chart was made for still seals. Without a number it lets a stator fit only if it
    is of high confidence and the swelling screen, or a rule for inert pairs, says the same.
    """
    used = [voice for voice in voices if voice.used and voice.holds]
    if place != "stator" or material.family != "elastomer":
        return list(voices)
    if not used or any(grade_rank(voice.grade) for voice in voices if voice.used):
        return list(voices)
    if any(
        voice.swelling is not None or voice.kind in ("measured", "inert pair") for voice in used
    ):
        return list(voices)
    outcome = _screened(constituent, share, material)
    sure = any(voice.confidence == "high" and voice.kind == "verdict" for voice in used)
    if sure and outcome is SwellingOutcome.RESISTS:
        return list(voices)
    said = {
        SwellingOutcome.SWELLS: "the swelling screen says that it swells",
        SwellingOutcome.TEST: "the swelling screen leaves it to a test",
        SwellingOutcome.RESISTS: "the swelling screen agrees, but the grade is not sure",
        SwellingOutcome.UNKNOWN: "the swelling screen cannot tell",
    }[outcome]
    alone = max(used, key=Opinion.sort_key)
    note = f"a grade without a number, made for still seals; {said}"
    return [*voices, replace(alone, grade=_CAUTION, kind="chart alone", note=note)]


_CAUTION: ContactGrade = "limited"


def _screened(
    constituent: Constituent, share: MassFraction, material: WettedMaterial
) -> SwellingOutcome:
    if constituent.hansen is None or not screenable(material):
        return SwellingOutcome.UNKNOWN
    return screen_swelling(material, liquids_of([(constituent, share)]))[0].outcome
