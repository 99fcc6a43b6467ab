"""Chemistry: each wetted part against each constituent, and what the data sheet leaves out."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import Part, wetted_codes
from configurator.chemistry.contact import Contact
from configurator.chemistry.grade import ContactGrade, grade_rank
from configurator.chemistry.share import Share, unnamed_share
from configurator.rules.case import Case
from configurator.rules.comparison import Grades
from configurator.rules.finding import State
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side, filler_share, shares_of
from configurator.units.interval import Basis

STATE_OF_GRADE: dict[ContactGrade, State] = {
    "satisfactory": State.FITS,
    "limited": State.MARGINAL,
    "unknown": State.UNPROVEN,
    "not satisfactory": State.RULED_OUT,
}

WETTED_SLOTS = ("body", "rotor", "stator", "seal", "mixing", "outlet", "feed")


def worst_contact(side: Side, part: Part) -> Contact | None:
    """The contact that decides among a part's wetted materials; None if it has none."""
    contacts = [side.contact(code) for _, code in wetted_codes(part)]
    return max(contacts, key=lambda contact: grade_rank(contact.grade), default=None)


def _contact_rule(slot: str) -> Rule:
    def check(case: Case, side: Side) -> Grades:
        def state(part: Part) -> int:
            contact = worst_contact(side, part)
            return State.FITS if contact is None else STATE_OF_GRADE[contact.grade]

        return Grades(case.frame.codes(side.slot(slot), state))

    def words(_case: Case, side: Side, build: Build) -> Words:
        part = build[side.slot(slot)]
        contact = worst_contact(side, part)
        if contact is None:
            return Words("none", "none", f"{slot} {part.name} touches nothing", Basis.INVENTED)
        reason = f"{slot} {part.name}: {contact.reason}"
        if contact.test:
            reason = f"{reason}; {contact.test}"
        return Words(contact.grade, "satisfactory", reason, contact.basis)

    return Rule(
        name=f"chemistry of the {'tip' if slot == 'outlet' else slot}",
        family="chemistry",
        parts=(f"{slot}.material",),
        asks=("component.constituents", "process.temperature"),
        check=check,
        words=words,
        source="verdict tables of catalogs/substances, each with its source",
    )


def _unnamed(side: Side) -> Share | None:
    """What constituents and filler together leave unnamed."""
    shares = shares_of(side.component)
    filler = filler_share(side.component)
    if filler is not None and filler.name not in {share.name for share in shares}:
        shares = (*shares, filler)
    return unnamed_share(shares)


def unnamed(case: Case, side: Side) -> Grades | None:
    """What the data sheet does not name leaves every wetted part unproven."""
    if side.component.complete or _unnamed(side) is None:
        return None
    states = np.full(case.frame.shape(()), State.UNPROVEN, dtype=np.int8)
    return Grades(states)


def _unnamed_words(_case: Case, side: Side, _build: Build) -> Words:
    rest = _unnamed(side)
    share = "an unstated share"
    if rest is not None and rest.fraction_low is not None and rest.fraction_high is not None:
        share = f"{100 * rest.fraction_low:.0f} to {100 * rest.fraction_high:.0f} %"
    return Words(
        demand=f"{share} unnamed",
        limit="all constituents named",
        reason=f"the data sheet leaves {share} of the material unnamed: read section 3 of the "
        "safety data sheet, or soak stator and seal 168 h (ISO 1817)",
        basis=Basis.ESTIMATED,
    )


RULES: tuple[Rule, ...] = (
    *(_contact_rule(slot) for slot in WETTED_SLOTS),
    Rule(
        name="constituents that nobody names",
        family="chemistry",
        parts=(),
        asks=("component.constituents",),
        check=unnamed,
        words=_unnamed_words,
        source="unknown is never a pass",
    ),
)
