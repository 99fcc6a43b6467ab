"""Chemistry: each wetted part against each constituent, and what the data sheet leaves out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from configurator.catalog.parts import Part, wetted_codes
from configurator.catalog.substances import Constituent
from configurator.chemistry.contact import Contact
from configurator.chemistry.lookup import ContactGrade, Opinion, grade_rank
from configurator.chemistry.meetings import InOne, clashes, named
from configurator.chemistry.place import Place
from configurator.chemistry.share import MassFraction, is_small_class, shares_of, unnamed_share
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.outcome import Grades
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side, filler_share
from configurator.units.display import figures
from configurator.units.interval import Basis

STATE_OF_GRADE: dict[ContactGrade, State] = {
    "satisfactory": State.FITS,
    "limited": State.MARGINAL,
    "unknown": State.UNPROVEN,
    "not satisfactory": State.RULED_OUT,
}

WETTED_SLOTS = ("body", "rotor", "stator", "seal", "mixing", "outlet", "feed")


def wetted_fields(slot: str) -> tuple[str, ...]:
    """Fields of a part that state what it touches."""
    fields = {
        "rotor": ("material", "surface"),
        **dict.fromkeys(("seal", "feed"), ("materials",)),
        "body": ("material", "sensor.materials"),
    }
    return fields.get(slot, ("material",))


def place_in(slot: str) -> Place:
    """Where an elastomer of a slot sits."""
    return "stator" if slot == "stator" else "moving seal" if slot == "seal" else "still seal"


def contacts_of(side: Side, part: Part) -> tuple[Contact, ...]:
    """The contact of each wetted material of a part."""
    place = place_in(part.slot)
    return tuple(side.contact(code, part.name, place) for _, code in wetted_codes(part))


def _contact_rule(slot: str) -> Rule:
    def judge(_case: Case, side: Side) -> Callable[[Part], tuple[State, Words]]:
        def judged(part: Part) -> tuple[State, Words]:
            every = contacts_of(side, part)
            worst = max(every, key=lambda contact: grade_rank(contact.grade), default=None)
            if worst is None:
                reason = f"{slot} {part.name} touches nothing"
                return State.FITS, Words("none", "none", reason, Basis.INVENTED)
            reason = f"{slot} {part.name}: {worst.reason}"
            reason += f"; {worst.test}" if worst.test else ""
            words = Words(worst.grade, "satisfactory", reason, worst.basis, worst.test)
            return STATE_OF_GRADE[worst.grade], words

        return judged

    return Rule.of_parts(
        slot,
        judge,
        name=f"chemistry of the {'tip' if slot == 'outlet' else slot}",
        family="chemistry",
        fields=wetted_fields(slot),
        asks=("component.constituents", "process.temperature"),
        source="verdict tables of catalogs/substances, each with its source",
    )


def _unnamed(side: Side) -> MassFraction | None:
    """What constituents and filler together leave unnamed."""
    shares = shares_of(side.component)
    filler = filler_share(side.component)
    find = side.subject.catalog.substances.find
    if filler is not None:
        meant = find(filler.name)
        named = [(share.name, find(share.name, share.numbers)) for share in shares]
        # One substance in other words is no second one.
        if not any(name == filler.name or found is meant is not None for name, found in named):
            shares = (*shares, filler)
    return unnamed_share(shares)


NAMED_BY = "read section 3 of the safety data sheet, or soak stator and seal 168 h (ISO 1817)"
"""What names the rest of a material, or stands for its names."""

SOAKED_SLOTS = ("stator", "seal")
"""Slots whose soak in the whole product stands for all that the data sheet leaves out."""


def _soak(side: Side, part: Part) -> Opinion | None:
    """A soak of the whole part in the whole product that holds at this temperature, if any."""
    voices = [
        [
            voice
            for voice in contact.opinions
            if voice.kind == "measured" and voice.constituent == side.product
            if voice.used and voice.holds
        ]
        for contact in contacts_of(side, part)
    ]
    return voices[0][0] if voices and all(voices) else None


def unnamed(case: Case, side: Side) -> Grades | None:
    """What the data sheet does not name leaves every build unproven that was not soaked."""
    if side.component.complete or _unnamed(side) is None:
        return None
    return _until_soaked(case, side, State.UNPROVEN)


def _until_soaked(case: Case, side: Side, state: State) -> Grades:
    """A state of every build whose stator and seal were not soaked in the whole product."""
    if not case.subject.evidence.records:
        return Grades(np.full(case.frame.shape(()), state, dtype=np.int8))
    stator, seal = (
        case.frame.flags(side.slot(slot), lambda part: _soak(side, part) is not None)
        for slot in SOAKED_SLOTS
    )
    return Grades(np.where(stator & seal, State.FITS, state).astype(np.int8))


def _soaked_words(side: Side, build: Build, limit: str, leaves: str) -> Words | None:
    """What is said of a build whose stator and seal were soaked; None if they were not."""
    parts = [build[side.slot(slot)] for slot in SOAKED_SLOTS if side.slot(slot) in build]
    soaks = [soak for part in parts if (soak := _soak(side, part)) is not None]
    if len(soaks) != len(SOAKED_SLOTS):
        return None
    seen = " and ".join(
        f"{slot} {part.name} ({soak.source})"
        for slot, part, soak in zip(SOAKED_SLOTS, parts, soaks, strict=True)
    )
    reason = f"{leaves}, but the shop has soaked {seen} in the whole product"
    return Words("soaked in the whole product", limit, reason, Basis.MEASURED)


def _unnamed_words(_case: Case, side: Side, build: Build) -> Words:
    leaves = "the data sheet leaves some of the material unnamed"
    soaked = _soaked_words(side, build, "all constituents named", leaves)
    if soaked is not None:
        return soaked
    rest = _unnamed(side)
    share = "an unstated share"
    if rest is not None and rest.fraction_low is not None and rest.fraction_high is not None:
        share = f"{100 * rest.fraction_low:.0f} to {100 * rest.fraction_high:.0f} %"
    return Words(
        demand=f"{share} unnamed",
        limit="all constituents named",
        reason=f"the data sheet leaves {share} of the material unnamed: {NAMED_BY}",
        basis=Basis.ESTIMATED,
        settle_with=NAMED_BY,
    )


def _small(side: Side) -> list[tuple[str, float]]:
    """Titles of classes of which there is a little, with the most there is of each."""
    find, found = side.subject.catalog.substances.find, []
    for share in shares_of(side.component):
        constituent = find(share.name, share.numbers)
        if constituent is not None and is_small_class(share, constituent):
            assert share.fraction_high is not None  # what is small has a share
            found.append((share.name, share.fraction_high))
    return found


def small_shares(case: Case, side: Side) -> Grades | None:
    """A little of an additive of which only the class is told: one finding for all of its parts."""
    return _until_soaked(case, side, State.MARGINAL) if _small(side) else None


def _small_words(_case: Case, side: Side, build: Build) -> Words:
    limit = "each additive named"
    names = ", ".join(f"{name} (at most {figures(100 * most)} %)" for name, most in _small(side))
    leaves = f"of {names} only the class is told"
    soaked = _soaked_words(side, build, limit, leaves)
    if soaked is not None:
        return soaked
    ask = "ask for name or CAS number, or soak stator and seal 168 h (ISO 1817)"
    reason = (
        f"{leaves}: reactions of the class are held against each part, and what else so little of "
        f"it does is left open; {ask}"
    )
    return Words(names, limit, reason, Basis.COMMON_PRACTICE, ask)


def _clashes(side: Side) -> list[tuple[InOne, Constituent, Constituent]]:
    """What does not go together in a component, the worst first."""
    substances = side.subject.catalog.substances
    parts = [
        (key, named(shares_of(part), substances))
        for key, part in side.subject.filled.material.components
    ]
    at = [key for key, _ in parts].index(side.prefix)
    found = clashes([some for _, some in parts], at)
    return sorted(found, key=lambda clash: -grade_rank(clash[0].grade))


def together(case: Case, side: Side) -> Grades | None:
    """Constituents that are not kept in one container rule every build out, or leave it unproven."""
    found = _clashes(side)
    if not found:
        return None
    state = STATE_OF_GRADE[found[0][0].grade]
    return Grades(np.full(case.frame.shape(()), state, dtype=np.int8))


def _together_words(_case: Case, side: Side, _build: Build) -> Words:
    clash, one, other = _clashes(side)[0]
    ask = "ask the maker how the list is meant, and read section 10 of the safety data sheet"
    return Words(
        demand=f"{one.title} and {other.title}",
        limit="in one material",
        reason=f"{one.title} and {other.title} {clash.reason}: {ask}",
        basis=Basis.FROM_MEMORY,
        settle_with=ask,
    )


RULES: tuple[Rule, ...] = (
    *(_contact_rule(slot) for slot in WETTED_SLOTS),
    Rule(
        name="constituents that nobody names",
        family="chemistry",
        parts=("stator.material", "seal.materials"),
        asks=(
            "component.constituents",
            "component.complete",
            "component.density",
            "component.filler.hollow",
            "component.filler.volume_fraction",
            "process.temperature",
        ),
        check=unnamed,
        words=_unnamed_words,
        source="unknown is never a pass",
    ),
    Rule(
        name="small shares known by class",
        family="chemistry",
        parts=("stator.material", "seal.materials"),
        asks=("component.constituents", "process.temperature"),
        check=small_shares,
        words=_small_words,
        source="below 1 % a class stands for its substance; common practice, no source",
    ),
    Rule(
        name="constituents against each other",
        family="chemistry",
        parts=(),
        asks=("component.constituents",),
        check=together,
        words=_together_words,
        source="common chemistry, from memory",
    ),
)
