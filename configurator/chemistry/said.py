"""What is said of a contact: its reason in one sentence, and the test that would settle it."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.catalog.substances import WettedMaterial
from configurator.chemistry.opinion import Opinion, grade_rank

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
