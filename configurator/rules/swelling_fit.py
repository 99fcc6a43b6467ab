"""Swelling: how far the stator's lining grows into the rotor, and whether a fit allows for it."""

from __future__ import annotations

from collections.abc import Callable

from configurator.catalog.parts import Stator
from configurator.chemistry.contact import Contact
from configurator.rules.case import Case
from configurator.rules.comparison import RELATIVE_SLACK
from configurator.rules.finding import State
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.display import figures
from configurator.units.interval import Basis, weakest


def _was_measured(contact: Contact) -> bool:
    """Whether the volume change was seen in a soak, and is not just what a grade allows."""
    return contact.basis is Basis.MEASURED and any(
        voice.kind == "measured" and voice.used and voice.swelling is not None
        for voice in contact.opinions
    )


def _judge(case: Case, side: Side) -> Callable[[Stator], tuple[State, Words]]:
    """What the greatest volume change of a lining, either way, means for the fit.

    Shrinking counts like swelling: it opens the seal lines instead of jamming the rotor. A contact
    that is not satisfactory without any figure is chemistry's to rule out, and is not counted a
    second time. A grade only bounds the change: where that bound passes what a fit can make up for,
    a soak has to show the change itself.
    """
    refit, reject = case.practice.swell_refit, case.practice.swell_reject
    refitted, rejected = (f"{figures(100 * limit.nominal)} %" for limit in (refit, reject))
    limit = f"up to {refitted}"

    def judged(part: Stator) -> tuple[State, Words]:
        if part.kind != "elastomer":  # it has a clearance and no lining
            reason = f"stator {part.name} is rigid"
            return State.FITS, Words("no lining", limit, reason, Basis.INVENTED)
        contact = side.contact(part.material, part.name, "stator")
        if contact.swelling is None:
            return without_figure(part, contact)
        change = max(map(abs, contact.swelling))
        measured = _was_measured(contact)
        if change <= refit.nominal * (1.0 + RELATIVE_SLACK):
            state = State.FITS
        elif change <= reject.nominal * (1.0 + RELATIVE_SLACK):
            state = State.MARGINAL
        else:
            state = State.RULED_OUT if measured else State.UNPROVEN
        percent = f"{figures(100 * change)} %"
        source = "measured" if measured else f"what a {contact.grade} contact allows"
        reason = (
            f"the lining of stator {part.name} may grow or shrink by up to {percent} of its wall "
            f"({source}): {contact.reason}; above {refitted} it needs another fit, and above "
            f"{rejected} no fit makes up for it"
        )
        if state is State.UNPROVEN:
            reason += f"; soak test the {contact.material} part 168 h (ISO 1817) to see the change"
        basis = weakest(contact.basis, refit.basis, reject.basis)
        return state, Words(f"up to {percent}", limit, reason, basis)

    def without_figure(part: Stator, contact: Contact) -> tuple[State, Words]:
        if contact.grade == "unknown":
            reason = (
                f"how far stator {part.name} swells is unknown: {contact.reason}; {contact.test}"
            )
            return State.UNPROVEN, Words("unknown", limit, reason, contact.basis)
        reason = f"stator {part.name} has no figure for swelling; the contact decides"
        return State.FITS, Words("not judged", limit, reason, contact.basis)

    return judged


RULES: tuple[Rule, ...] = (
    Rule.of_parts(
        "stator",
        _judge,
        name="fit of a swollen stator",
        family="chemistry",
        fields=("material", "kind"),
        asks=("component.constituents", "process.temperature"),
        practice=("swell_refit", "swell_reject"),
        source="a bonded lining grows inwards by all of its volume change; shop practice",
    ),
)
