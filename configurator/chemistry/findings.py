"""What the findings of a shop say of a contact, what they set aside, and how a contact is told.

A good finding proves up to its own temperature, if it lasted long enough; a bad one always counts,
and one seen hotter warns. A later finding of the same kind stands in the place of an earlier one,
and a withdrawal takes all before it away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from configurator.catalog.substances import WettedMaterial
from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.chemistry.lookup import ContactGrade, Opinion, grade_rank
from configurator.units.interval import Basis

LEAST_HOURS = {"immersion": 70.0, "trial": 8.0}
"""Least time from which a good finding of a kind proves something: the shortest of the usual times
of an immersion, and a shift (common practice, no source). [h]"""

SAME_TEMPERATURE = 0.5
"""Difference that tells no two soaks of one kind apart. [K]"""

WARNS_WITHIN = 20.0
"""A failure seen hotter than the contact by no more than this warns (common practice). [K]"""


def measured_opinions(
    records: Sequence[EvidenceRecord], title: str, material: str, *, temperature: float
) -> list[Opinion]:
    """Return the shop's findings as opinions at this temperature."""
    standing = [record for record in records if record.kind != "withdrawal"]
    opinions = [
        _opinion(record, _set_aside(record, records), title, material, temperature)
        for record in standing
    ]
    if any(voice.used and voice.holds for voice in opinions):
        # What was shown at this temperature is not undone by a failure seen hotter.
        return [voice for voice in opinions if not (voice.used and voice.note.startswith(_HOTTER))]
    return opinions


_HOTTER = "it failed hotter"


def _set_aside(record: EvidenceRecord, records: Sequence[EvidenceRecord]) -> str:
    """Return what stands in the place of a finding, in words; empty where it stands itself."""
    for other in records:
        same = other.grade_name == record.grade_name
        if other.kind == "withdrawal" and same and other.date >= record.date:
            return f"withdrawn on {other.date.isoformat()}"
    # A worse one needs no leave to count; a better one has to be as hot and long enough.
    later = [
        other
        for other in records
        if other.kind == record.kind
        and other.grade_name == record.grade_name
        and other.date > record.date
        and grade_rank(other.grade) < grade_rank(record.grade)
        and other.hours >= LEAST_HOURS[record.kind]
        and other.temperature >= record.temperature - SAME_TEMPERATURE
    ]
    if not later:
        return ""
    return f"superseded by that of {max(other.date for other in later).isoformat()}"


def _opinion(
    record: EvidenceRecord, aside: str, title: str, material: str, temperature: float
) -> Opinion:
    failed = record.grade == "not satisfactory"
    above = record.temperature - temperature
    grade: ContactGrade = record.grade
    notes = [aside] if aside else []
    used, holds = not aside, failed or above >= 0.0
    if failed and above > 0.0:
        grade, holds, used = "limited", False, used and above <= WARNS_WITHIN
        notes.insert(0, f"{_HOTTER}, by {above:.3g} K")
    elif not failed and above < 0.0:
        notes.append(f"near, and no proof: the contact reaches {-above:.3g} K more")
    if not failed and record.hours < LEAST_HOURS[record.kind]:
        used = False
        notes.append(f"too short to prove anything, under {LEAST_HOURS[record.kind]:g} h")
    compound = f" on {record.grade_name}" if record.grade_name else ""
    hours = f"{record.hours:g} h at {record.temperature_c:g} degC"
    return Opinion(
        constituent=title,
        material=material,
        grade=grade,
        kind="measured",
        basis=Basis.MEASURED,
        source=f"{record.kind} of {record.date.isoformat()}{compound}, {hours}",
        confidence="high",
        holds=holds,
        used=used,
        note="; ".join([*notes, record.note] if record.note else notes),
        swelling=record.swelling,
    )


def settled_by_measurement(opinions: list[Opinion]) -> list[Opinion]:
    """Set aside what a measurement that holds at this temperature replaces.

    Hazards stay, and so does a reaction: the soak of one lot does not undo chemistry.
    """
    if not any(voice.kind == "measured" and voice.used and voice.holds for voice in opinions):
        return opinions
    return [
        voice
        if voice.kind in ("measured", "reaction") or voice.hazard
        else replace(voice, used=False)
        for voice in opinions
    ]


def findings_on(
    evidence: Evidence | None, material: str, spellings: Sequence[str], grade_name: str
) -> tuple[EvidenceRecord, ...]:
    """Return findings under any spelling, of this compound where one is named."""
    if evidence is None:
        return ()
    found = evidence.on(material, *spellings)
    if not grade_name:
        return found
    return tuple(
        record for record in found if not record.grade_name or record.grade_name == grade_name
    )


KIND_WORDS = {
    "measured": "measured here, ",
    "verdict": "",
    "stand-in": "by a stand-in, ",
    "inert pair": "by ",
    "reaction": "by ",
    "screen": "estimated by the ",
    "chart alone": "",
    "no record": "",
}

TESTS = {
    "elastomer": "soak test the {code} part 168 h (ISO 1817)",
    "plastic": "soak test the {code} part 168 h (ISO 175)",
    "metal": "leave a weighed {code} coupon in it for 168 h",
    "coating": "leave a weighed {code} coupon in it for 168 h",
    "ceramic": "leave a weighed {code} coupon in it for 168 h",
}


def disagreeing(opinions: Sequence[Opinion], constituent: str) -> tuple[Opinion, ...]:
    """Return the verdicts on a constituent if they are not all the same grade."""
    verdicts = tuple(
        voice
        for voice in opinions
        if voice.constituent == constituent and voice.kind in ("verdict", "stand-in")
    )
    return verdicts if len({voice.grade for voice in verdicts}) > 1 else ()


def reason_of(
    decides: Opinion, opinions: Sequence[Opinion], material: WettedMaterial | None
) -> str:
    """Return constituent, part material, verdict, basis and confidence in one sentence."""
    code = decides.material
    part = code if material is None or material.title == code else f"{code} ({material.title})"
    what = "is unknown" if decides.grade == "unknown" else f"is {decides.grade}"
    source = f"{KIND_WORDS[decides.kind]}{decides.source}"
    sentence = (
        f"{decides.constituent} on {part} {what}: {source}, "
        f"basis {decides.basis.value}, confidence {decides.confidence}"
    )
    if decides.note:
        sentence += f" ({decides.note})"
    others = [
        voice
        for voice in disagreeing(opinions, decides.constituent)
        if voice.grade != decides.grade
    ]
    if others:
        milder = min(others, key=lambda voice: grade_rank(voice.grade))
        sentence += (
            f"; sources disagree, {milder.source} says {milder.grade} and the more cautious is used"
        )
    return sentence


def settling_test(decides: Opinion, material: WettedMaterial | None, code: str) -> str:
    """Return what would settle the contact; empty where it is satisfactory and sure."""
    if decides.kind == "measured":
        return ""
    if decides.grade == "satisfactory" and decides.confidence != "low":
        return ""
    if material is None:
        return f"find out what {code} is, then soak test the part 168 h"
    test = TESTS[material.family].format(code=code)
    if decides.constituent and decides.kind == "no record":
        return f"unproven: {test}; it settles whether the product attacks or swells the part"
    return f"{test}; it settles whether {decides.constituent} attacks or swells the part"
