"""What a first setting is, and one that is a number with a range."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.report.sheet_words import SheetWords
from configurator.rules.applied import basis_of
from configurator.rules.case import Case
from configurator.rules.side import Side
from configurator.units.display import show_value
from configurator.units.interval import Basis, weakest
from configurator.units.kinds import Kind

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Setting:
    """One thing to dial in, in the language of its sheet."""

    key: str
    """Which it is, in whatever language."""
    name: str
    start: str
    """Where to start, with its unit."""
    span: str
    """Range to stay in, or to search."""
    basis: str
    """What the weakest number rests on."""
    note: str = ""
    """What to watch; may be empty."""
    low: float | None = None
    high: float | None = None
    """The range in `unit`."""
    unit: str = ""
    """SI unit, empty where the setting is no number."""


def told(
    say: SheetWords,
    key: str,
    start: str,
    span: str,
    *,
    ends: tuple[float | None, float | None] = (None, None),
    unit: str = "",
    basis: str = PRACTICE,
    note: str | None = None,
    called: str = "",
    side: str = "",
) -> Setting:
    """A setting under the name that its key, or what it is called, has in the table of sentences.

    Its note is the one that goes with that name, unless there is another.
    """
    name = f"set_{called or key.replace(' ', '_')}"
    note = say(f"{name}_note") if note is None else note
    return Setting(key, say(name) + side, start, span, basis, note, *ends, unit)


def ranged(
    say: SheetWords,
    key: str,
    kind: Kind,
    *,
    start: float,
    ends: tuple[float, float],
    basis: str = PRACTICE,
    note: str | None = None,
    called: str = "",
    side: str = "",
) -> Setting:
    """A number to start with and the range to stay in, each in the unit that suits it."""
    span = " to ".join(show_value(end, kind) for end in ends)
    first = show_value(start, kind)
    return told(
        say,
        key,
        first,
        span,
        ends=ends,
        unit=kind.unit,
        basis=basis,
        note=note,
        called=called,
        side=side,
    )


def of_side(side: Side) -> str:
    """Name of a side behind a setting's own, nothing for a one-part material."""
    return f" {side.prefix.rstrip('.')}" if side.prefix else ""


def asked(case: Case, side: Side, *fields: str) -> Basis:
    """Weakest basis of request fields, and of the cavity's figures."""
    found = basis_of(
        fields,
        component=side.component,
        material=case.material,
        process=case.process,
        practice=case.practice,
        practice_fields=("slip_factor_other",),
    )
    cavity = case.frame.parts[side.slot("cavity")][0]
    displacement = getattr(cavity, "displacement", None)
    return found if displacement is None else weakest(found, displacement.basis)
