"""What a change of volume means where an elastomer sits: one number, three verdicts.

A stator rubs and its fit is a few hundredths of a millimetre; a shaft seal moves and is pressed
on again by its spring; a still seal has room in its groove. Charts grade still seals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from configurator.catalog.substances import Constituent, Grade, WettedMaterial
from configurator.chemistry.lookup import ContactGrade, Opinion, SwellRecord, grade_rank
from configurator.chemistry.screen import (
    SCREEN_TEMPERATURE,
    liquids_of,
    screen_swelling,
    screenable,
)
from configurator.chemistry.share import MassFraction
from configurator.physics.swelling import SwellingOutcome
from configurator.units.interval import Basis

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
