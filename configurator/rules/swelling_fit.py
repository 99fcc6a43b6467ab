"""Swelling: how far the stator's lining grows into the rotor, and whether a fit allows for it."""

from __future__ import annotations

from configurator.catalog.parts import Part, Stator
from configurator.catalog.practice import Practice
from configurator.chemistry.contact import Contact
from configurator.rules.case import Case
from configurator.rules.comparison import RELATIVE_SLACK, Grades
from configurator.rules.finding import State
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.display import figures
from configurator.units.interval import Basis, weakest


def volume_change(contact: Contact) -> float | None:
    """Greatest volume change of a lining to allow for, either way.

    Shrinking counts like swelling: it opens the seal lines instead of jamming the rotor.

    Parameters
    ----------
    contact : Contact
        The judged contact of the lining.

    Returns
    -------
    float or None
        None where nothing bounds it. [-]
    """
    return None if contact.swelling is None else max(map(abs, contact.swelling))


def was_measured(contact: Contact) -> bool:
    """Whether the volume change was seen in a soak, and is not just what a grade allows."""
    return contact.basis is Basis.MEASURED and any(
        voice.kind == "measured" and voice.used and voice.swelling is not None
        for voice in contact.opinions
    )


def state_of(contact: Contact, practice: Practice) -> State:
    """What the volume change means for the fit.

    A contact that is not satisfactory without any figure is chemistry's to rule out, and is
    not counted a second time. A grade only bounds the change: where that bound passes what a
    fit can make up for, a soak has to show the change itself.
    """
    change = volume_change(contact)
    if change is None:
        return State.UNPROVEN if contact.grade == "unknown" else State.FITS
    if change <= practice.swell_refit.nominal * (1.0 + RELATIVE_SLACK):
        return State.FITS
    if change <= practice.swell_reject.nominal * (1.0 + RELATIVE_SLACK):
        return State.MARGINAL
    return State.RULED_OUT if was_measured(contact) else State.UNPROVEN


def _contact(side: Side, part: Part) -> Contact | None:
    """The lining's contact; None for a rigid stator, which has a clearance and no lining."""
    assert isinstance(part, Stator)
    return side.contact(part.material, part.name, "stator") if part.kind == "elastomer" else None


def check(case: Case, side: Side) -> Grades:
    """Judge the lining of each stator."""

    def state(part: Part) -> int:
        contact = _contact(side, part)
        return State.FITS if contact is None else state_of(contact, case.practice)

    return Grades(case.frame.codes(side.slot("stator"), state))


def words(case: Case, side: Side, build: Build) -> Words:
    """Say how far the lining grows, from what, and where another fit or none is needed."""
    part, practice = build[side.slot("stator")], case.practice
    refit, reject = (
        f"{figures(100 * limit.nominal)} %"
        for limit in (practice.swell_refit, practice.swell_reject)
    )
    limit = f"up to {refit}"
    contact = _contact(side, part)
    if contact is None:
        return Words("no lining", limit, f"stator {part.name} is rigid", Basis.INVENTED)
    change = volume_change(contact)
    if change is None and contact.grade == "unknown":
        reason = f"how far stator {part.name} swells is unknown: {contact.reason}; {contact.test}"
        return Words("unknown", limit, reason, contact.basis)
    if change is None:
        reason = f"stator {part.name} has no figure for swelling; the contact decides"
        return Words("not judged", limit, reason, contact.basis)
    percent = f"{figures(100 * change)} %"
    source = "measured" if was_measured(contact) else f"what a {contact.grade} contact allows"
    reason = (
        f"the lining of stator {part.name} may grow or shrink by up to {percent} of its wall "
        f"({source}): {contact.reason}; above {refit} it needs another fit, and above {reject} "
        "no fit makes up for it"
    )
    if state_of(contact, practice) is State.UNPROVEN:
        reason += f"; soak test the {contact.material} part 168 h (ISO 1817) to see the change"
    basis = weakest(contact.basis, practice.swell_refit.basis, practice.swell_reject.basis)
    return Words(f"up to {percent}", limit, reason, basis)


RULES: tuple[Rule, ...] = (
    Rule(
        name="fit of a swollen stator",
        family="chemistry",
        parts=("stator.material", "stator.kind"),
        asks=("component.constituents", "process.temperature"),
        practice=("swell_refit", "swell_reject"),
        check=check,
        words=words,
        source="a bonded lining grows inwards by all of its volume change; shop practice",
    ),
)
