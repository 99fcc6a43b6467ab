"""What a gap or a wide datum may turn out to be: each end of it, supposed to be known."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from functools import partial

from configurator.catalog.parts import wetted_codes
from configurator.catalog.substances import Grade
from configurator.chemistry.evidence import EvidenceRecord
from configurator.explain.adjustment import STRESSES, Supposition, flow_with, pinned
from configurator.request.intake import Gap
from configurator.request.material import Flow, Material
from configurator.request.movable import movable_at, movables
from configurator.rules.chemistry import SOAKED_SLOTS
from configurator.rules.side import product_name
from configurator.rules.subject import Subject
from configurator.units.dimension import Kind
from configurator.units.display import quantity_from
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import FRACTION, TIME, VISCOSITY
from configurator.units.path import value_at
from configurator.units.quantity import Quantity

LONGEST_CYCLE = 3600.0
"""What is rarer than one deposit an hour is no production (chosen for this tool). [s]"""

LEAST_WIDTH = 1e-9
"""Relative width from which a stated range counts as wide."""

_SUPPOSED_ON = dt.date(2000, 1, 1)
"""Day of a supposed soak: never shown."""

_NUDGE = 1e-3
"""Keeps a rounding of the temperature from deciding whether a supposed soak counts. [K]"""

Ends = tuple[Supposition, ...]


def ends_of_gap(gap: Gap, subject: Subject) -> Ends:
    """Return what a gap may turn out to be, its ends among it; none where no build hangs on it."""
    path, place = gap.field, subject.filled_at(gap.field)
    declared, estimate = movable_at(*place), value_at(*place)
    key = path.rpartition(".")[2]
    if declared.unread:
        return ()
    if key in _SPECIAL:
        return _SPECIAL[key](path, subject)
    if declared.words:
        # What the intake has put in already changes nothing.
        return tuple(
            Supposition(word, {} if word == estimate else {path: word}) for word in declared.words
        )
    if isinstance(estimate, Quantity):
        return _between(path, estimate.kind, estimate.low, estimate.high)
    if declared.ends is None:
        return ()
    return _between(path, *declared.ends, words=", as far as is believable")


def _between(path: str, kind: Kind, low: float, high: float, words: str = "") -> Ends:
    return tuple(pinned(path, kind, end, words) for end in dict.fromkeys((low, high)))


def _amounts(path: str, subject: Subject) -> Ends:
    """From nothing of a constituent to all that the others leave."""
    component = value_at(subject.filled.material, path.partition(".")[0])
    others = sum(
        share.mass_fraction.low
        for share in component.constituents
        if share.mass_fraction is not None
    )
    return _between(path, FRACTION, 0.0, max(0.0, 1.0 - others))


def _whole(path: str, subject: Subject) -> Ends:
    return (Supposition("nothing else is in it", {path: True}), _attacked(path, subject))


def _unharmed(path: str, subject: Subject) -> Ends:
    every = _soaks(subject, path, _codes(subject, subject.catalog.parts), "satisfactory")
    return (
        Supposition("every wetted part stands a soak in it", records=every),
        _attacked(path, subject),
    )


def _mixed_viscosities(path: str, subject: Subject) -> Ends:
    """A mixture lies between its components."""
    ends = [fluid.viscosity()[1] for fluid in subject.fluids]
    return _between(path, VISCOSITY, min(ends), max(ends))


def _cycle_times(path: str, subject: Subject) -> Ends:
    """From shot to shot without a pause, to one an hour."""
    shot = subject.duty.shot_time
    without_pause = 0.0 if shot is None else shot.high
    longest = max(without_pause, LONGEST_CYCLE)
    return _between(path, TIME, without_pause, longest, words=", as far as is believable")


def _attacked(path: str, subject: Subject) -> Supposition:
    records = _soaks(subject, path, _codes(subject, SOAKED_SLOTS), "not satisfactory")
    return Supposition("what is not named attacks stator and seal", records=records)


def _codes(subject: Subject, slots: Iterable[str]) -> dict[str, None]:
    """Wetted codes of the catalog's parts in some slots, each once."""
    every = (part for slot in slots for part in subject.catalog.slot(slot))
    return dict.fromkeys(code for part in every for _, code in wetted_codes(part))


def _soaks(
    subject: Subject, path: str, codes: Iterable[str], grade: Grade
) -> tuple[EvidenceRecord, ...]:
    return tuple(supposed_soak(subject, path.partition(".")[0], code, grade) for code in codes)


def supposed_soak(subject: Subject, component: str, code: str, grade: Grade) -> EvidenceRecord:
    """Return the soak of a code in a whole `component`, `a` or `b`, at the highest temperature."""
    nudge = -_NUDGE if grade == "not satisfactory" else _NUDGE
    return EvidenceRecord(
        date=_SUPPOSED_ON,
        material=code,
        substance=product_name(subject.question.material, component.removeprefix("component")),
        temperature_c=subject.duty.temperature.high - 273.15 + nudge,
        hours=168.0,
        grade=grade,
    )


_SPECIAL: dict[str, Callable[[str, Subject], Ends]] = {
    "complete": _whole,
    "cycle_time": _cycle_times,
    "constituents": _unharmed,
    "mass_fraction": _amounts,
    "mixed_viscosity": _mixed_viscosities,
}
"""Gaps whose ends other data of the request tell."""


def wide_data(material: Material) -> Iterator[tuple[str, str, Ends]]:
    """Yield each datum that is stated as a range: its path, what is wide, its two ends."""
    for path, declared, value in movables(material, ""):
        if not declared.wide:
            continue
        says = f"{declared.wide} stated as a range"
        if isinstance(value, Flow):
            yield from _wide_flow(path, says, value)
        elif isinstance(value, Quantity) and _is_wide(value):
            yield path, f"{says}: {value.text}", _between(path, value.kind, value.low, value.high)


def _is_wide(value: Quantity) -> bool:
    return value.interval.width > LEAST_WIDTH * abs(value.high)


def _wide_flow(path: str, says: str, flow: Flow) -> Iterator[tuple[str, str, Ends]]:
    """All stresses of a flow at their low ends, or all at their high ones."""
    stated = [value for key in STRESSES if (value := getattr(flow, key)) is not None]
    points = [value for point in flow.points or () if (value := point.stress or point.viscosity)]
    if any(map(_is_wide, (*stated, *points))):
        text = ", ".join(value.text for value in stated) or f"{len(points)} points"
        thin = Supposition("as thin as stated", {path: flow_with(flow, partial(_at, "low"))})
        thick = Supposition("as thick as stated", {path: flow_with(flow, partial(_at, "high"))})
        yield path, f"{says}: {text}", (thin, thick)


def _at(end: str, value: Quantity) -> Quantity:
    return quantity_from(Interval.exact(getattr(value, end)), value.kind, Basis.MEASURED)
