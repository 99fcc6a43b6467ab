"""The fit of the stator: swelling, the warm and the cold end against what one fit allows."""

from __future__ import annotations

from collections.abc import Callable

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import Stator
from configurator.chemistry.contact import Contact
from configurator.rules.case import Case
from configurator.rules.comparison import RELATIVE_SLACK
from configurator.rules.finding import State
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.display import figures, show_interval
from configurator.units.interval import Basis, Interval, weakest
from configurator.units.kinds import TEMPERATURE

FITTED_AT = 296.15
"""Temperature at which rotor and stator are matched, 23 degC (common practice, no source). [K]"""

ROOM_SWING = 5.0
"""By which a room is warmer or colder at times: each fit stands that (common practice, no source).
[K]"""

LINING_GROWTH = 4.8e-4
"""Volume by temperature of a rubber, three times its linear 1.6e-4 1/K (from memory): a bonded
lining puts all of it into its thickness, at most. [1/K]"""


def heat_share(rise: float, practice: Practice) -> float:
    """Share of what a fit allows that warmth takes, or cold by a rise turned round. [-]

    Nothing within the swing of a room, all of it at the rise of practice. Practice counts heat
    more than `LINING_GROWTH` does, and why is not known; that rubbing warms the lining beyond the
    process is a guess. Cold counts as warmth does (no source).

    Parameters
    ----------
    rise : float
        Of the warmest process above the temperature of the fit. [K]
    practice : Practice
        The rise and the change of volume beyond which it needs another fit.
    """
    allowed = practice.temperature_rise_refit.nominal
    swing = min(ROOM_SWING, 0.5 * allowed)
    return max(0.0, rise - swing) / (allowed - swing)


def _was_measured(contact: Contact) -> bool:
    """Whether the volume change was seen in a soak, and is not just what a grade allows."""
    return contact.basis is Basis.MEASURED and any(
        voice.kind == "measured" and voice.used and voice.swelling is not None
        for voice in contact.opinions
    )


def _judge(case: Case, side: Side) -> Callable[[Stator], tuple[State, Words]]:
    """What swelling and heat do to the fit, at both of its ends at once.

    Warm with most swelling the rotor jams: torque rises and the lining tears. Cold with least
    swelling, which is a new stator or a shrunk one, the seal lines open. Both add up as shares of
    what one fit allows. Beyond it another fit is ordered; it moves both ends and not what lies
    between them. A contact that is not satisfactory without any figure is chemistry's to rule out,
    and is not counted a second time. A grade only bounds the change: where that bound passes what
    a fit can make up for, a soak has to show the change itself.
    """
    practice, temperature = case.practice, case.duty.temperature
    refit, reject = practice.swell_refit, practice.swell_reject
    refitted, rejected = (f"{figures(100 * limit.nominal)} %" for limit in (refit, reject))
    limit = f"up to {refitted}"
    warm, cold = (
        heat_share(rise, practice) * refit.nominal
        for rise in (temperature.high - FITTED_AT, FITTED_AT - temperature.low)
    )
    apart = LINING_GROWTH * max(0.0, temperature.high - temperature.low - 2.0 * ROOM_SWING)
    at = show_interval(
        Interval(temperature.low, temperature.nominal, temperature.high), TEMPERATURE
    )

    def judged(part: Stator) -> tuple[State, Words]:
        if part.kind != "elastomer":  # it has a clearance and no lining
            reason = f"stator {part.name} is rigid"
            return State.FITS, Words("no lining", limit, reason, Basis.INVENTED)
        contact = side.contact(part.material, part.name, "stator")
        if contact.swelling is None:
            return without_figure(part, contact)
        least, most = contact.swelling
        tight, loose = max(0.0, most) + warm, max(0.0, -least) + cold
        measured = _was_measured(contact)
        if max(tight, loose) <= refit.nominal * (1.0 + RELATIVE_SLACK):
            state = State.FITS
        elif most - least + apart <= reject.nominal * (1.0 + RELATIVE_SLACK):
            state = State.MARGINAL
        else:
            swells_alone = most - least > reject.nominal * (1.0 + RELATIVE_SLACK)
            state = State.RULED_OUT if measured and swells_alone else State.UNPROVEN
        source = "measured" if measured else f"what a {contact.grade} contact stands for"
        moves = [
            f"{verb} by up to {_percent(swelling)} of its wall"
            for verb, swelling in (("grow", max(0.0, most)), ("shrink", max(0.0, -least)))
            if swelling > 0.0
        ]
        counted = "".join(
            f", and {end} at {at} counts as {_percent(heat)} {more}"
            for end, heat, more in (("heat", warm, "more"), ("cold", cold, "less"))
            if heat
        )
        reason = (
            f"the lining of stator {part.name} may {' and '.join(moves) or 'stay as it is'} "
            f"({source}){counted}: {contact.reason}; above {refitted} it needs another fit, and above "
            f"{rejected} between its ends no fit makes up for it"
        )
        if state is State.UNPROVEN:
            reason += f"; {_test(contact, apart)}"
        basis = weakest(contact.basis, refit.basis, reject.basis)
        basis = weakest(basis, practice.temperature_rise_refit.basis) if warm or cold else basis
        words = Words(_told(tight, loose), limit, reason, basis)
        return state, words

    def without_figure(part: Stator, contact: Contact) -> tuple[State, Words]:
        if contact.grade == "unknown":
            reason = (
                f"how far stator {part.name} swells is unknown: {contact.reason}; {contact.test}"
            )
            return State.UNPROVEN, Words("unknown", limit, reason, contact.basis)
        reason = f"stator {part.name} has no figure for swelling; the contact decides"
        return State.FITS, Words("not judged", limit, reason, contact.basis)

    return judged


def _percent(share: float) -> str:
    return f"{figures(100.0 * share)} %"


def _told(tight: float, loose: float) -> str:
    if loose <= 0.0:
        return f"up to {_percent(tight)}"
    if tight <= 0.0:
        return f"up to {_percent(loose)} looser"
    return f"up to {_percent(tight)} tighter, {_percent(loose)} looser"


def _test(contact: Contact, apart: float) -> str:
    soak = f"soak test the {contact.material} part 168 h (ISO 1817) to see the change"
    return soak + (", and turn the head at both ends of temperature" if apart else "")


RULES: tuple[Rule, ...] = (
    Rule.of_parts(
        "stator",
        _judge,
        name="fit of the stator",
        family="chemistry",
        fields=("material", "kind"),
        asks=("component.constituents", "process.temperature"),
        practice=("swell_refit", "swell_reject", "temperature_rise_refit"),
        source="a bonded lining grows inwards by all of its volume change, and an elastomer expands "
        "about ten times as much as steel; shares of shop practice, added",
    ),
)
