"""What a gap may turn out to be: each end of a bounded estimate, as a change of the material."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel

from configurator.catalog.parts import wetted_codes
from configurator.catalog.substances import Grade
from configurator.chemistry.evidence import EvidenceRecord
from configurator.request.intake import Gap
from configurator.request.material import Material
from configurator.request.material_sense import DENSEST_PACKING, LARGEST_PARTICLE
from configurator.rules.chemistry import SOAKED_SLOTS
from configurator.rules.side import product_name
from configurator.rules.subject import Subject
from configurator.units.display import quantity_from, show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.kind import Kind
from configurator.units.kinds import DENSITY, FRACTION, HARDNESS_MOHS, LENGTH, PRESSURE, VISCOSITY
from configurator.units.quantity import Quantity

WIDEST: dict[str, tuple[Kind, float, float]] = {
    "density": (DENSITY, 400.0, 6000.0),
    "volume_fraction": (FRACTION, 0.0, DENSEST_PACKING),
    "d99": (LENGTH, 1e-6, LARGEST_PARTICLE),
    "mohs": (HARDNESS_MOHS, 1.0, 10.0),
    "crush_pressure": (PRESSURE, 1e5, 3e8),
}
"""Ends of what is believable at all, for a datum without any estimate, in SI.

Content and particle are what a material file accepts, the ends of hardness those of its scale.
Pastes lie between the lightest filled with hollow spheres and the heaviest filled with metal, and
hollow spheres are crushed somewhere from 1 bar to 3,000 bar (both from memory).
"""

UNREAD: dict[str, str] = {
    "bulk_modulus": "no rule reads it; it tells how a stop is followed up",
    "flash_point": "no rule reads it; it decides what the cautions say",
}
"""Data that no build hangs on: what they are for instead."""

SHAPES = ("sphere", "irregular", "flake")
DEFINITIONS = ("viscosity doubles", "gel time", "cup temperature")

_SUPPOSED_ON = dt.date(2000, 1, 1)
"""Day of a supposed soak: never shown."""

_NUDGE = 1e-3
"""Keeps a rounding of the temperature from deciding whether a supposed soak counts. [K]"""


@dataclass(frozen=True)
class Change:
    """One way in which a gap may be settled.

    Attributes
    ----------
    text : str
        What it turned out to be, in words.
    values : Mapping[str, object]
        Values by their path in the material file.
    records : tuple of EvidenceRecord
        Soaks that the shop would have made.
    """

    text: str
    values: Mapping[str, Any] = field(default_factory=dict)
    records: tuple[EvidenceRecord, ...] = ()


def changed(material: Material, changes: Iterable[Change]) -> Material:
    """Return the material with the values of the changes put in."""
    for change in changes:
        for path, value in change.values.items():
            material = _with(material, path.split("."), value)
    return material


def _with(model: Any, keys: list[str], value: object) -> Any:
    found = re.fullmatch(r"(\w+)(?:\[(\d+)\])?", keys[0])
    assert found is not None  # paths are made by the intake
    name, place = found[1], found[2]
    inner = getattr(model, name)
    if place is not None:
        entries = list(inner)
        at = int(place) - 1
        entries[at] = _with(entries[at], keys[1:], value)
        inner = tuple(entries)
    elif len(keys) > 1:
        inner = _with(inner, keys[1:], value)
    else:
        inner = value
    return model.model_copy(update={name: inner})


def _at(model: object, path: str) -> object:
    for key in path.split("."):
        model = getattr(model, key, None) if isinstance(model, BaseModel) else None
    return model


def ways_to_settle(gap: Gap, subject: Subject) -> tuple[Change, ...]:
    """Return what a gap may turn out to be, its ends among it; none where no build hangs on it.

    Parameters
    ----------
    gap : Gap
        From the intake.
    subject : Subject
        The request with its gaps filled.
    """
    key = gap.field.rpartition(".")[2]
    if key in UNREAD:
        return ()
    if key in _SPECIAL:
        return _SPECIAL[key](gap.field, subject)
    estimate = _at(subject.filled.material, gap.field)
    if isinstance(estimate, Quantity):
        return _ends(gap.field, estimate.kind, estimate.low, estimate.high)
    if key not in WIDEST:
        return ()
    return _ends(gap.field, *WIDEST[key], words=", as far as is believable")


def _ends(path: str, kind: Kind, low: float, high: float, words: str = "") -> tuple[Change, ...]:
    ends = dict.fromkeys((low, high))
    return tuple(
        Change(
            show_interval(Interval.exact(end), kind) + words,
            {path: quantity_from(Interval.exact(end), kind, Basis.MEASURED)},
        )
        for end in ends
    )


def _amounts(path: str, subject: Subject) -> tuple[Change, ...]:
    """From nothing of a constituent to all that the others leave."""
    component = _at(subject.filled.material, path.partition(".")[0])
    others = sum(
        share.mass_fraction.low
        for share in getattr(component, "constituents", ())
        if share.mass_fraction is not None
    )
    return _ends(path, FRACTION, 0.0, max(0.0, 1.0 - others))


def _shapes(path: str, subject: Subject) -> tuple[Change, ...]:
    taken = _at(subject.filled.material, path)
    # The shape that the intake has put in already changes nothing.
    return tuple(Change(shape, {} if shape == taken else {path: shape}) for shape in SHAPES)


def _definitions(path: str, _subject: Subject) -> tuple[Change, ...]:
    return tuple(Change(words, {path: words}) for words in DEFINITIONS)


def _whole(path: str, subject: Subject) -> tuple[Change, ...]:
    return (Change("nothing else is in it", {path: True}), _attacked(path, subject))


def _unharmed(path: str, subject: Subject) -> tuple[Change, ...]:
    every = _soaks(subject, path, _codes(subject, None), "satisfactory")
    return (
        Change("every wetted part stands a soak in it", records=every),
        _attacked(path, subject),
    )


def _mixed_viscosities(path: str, subject: Subject) -> tuple[Change, ...]:
    """A mixture lies between its components."""
    ends = [fluid.viscosity()[1] for fluid in subject.fluids]
    return _ends(path, VISCOSITY, min(ends), max(ends))


def _attacked(path: str, subject: Subject) -> Change:
    codes = _codes(subject, SOAKED_SLOTS)
    records = _soaks(subject, path, codes, "not satisfactory")
    return Change("what is not named attacks stator and seal", records=records)


def _codes(subject: Subject, slots: Iterable[str] | None) -> tuple[str, ...]:
    """Wetted codes of the catalog's parts in some slots, or in all."""
    wanted = subject.catalog.parts if slots is None else slots
    return tuple(
        dict.fromkeys(
            code
            for slot in wanted
            for part in subject.catalog.slot(slot)
            for _, code in wetted_codes(part)
        )
    )


def _soaks(
    subject: Subject, path: str, codes: Iterable[str], grade: Grade
) -> tuple[EvidenceRecord, ...]:
    return tuple(supposed_soak(subject, path.partition(".")[0], code, grade) for code in codes)


def supposed_soak(subject: Subject, component: str, code: str, grade: Grade) -> EvidenceRecord:
    """Return the soak of a wetted material in a whole component, as if it had been made.

    Parameters
    ----------
    subject : Subject
        The request: its highest temperature is that of the soak.
    component : str
        `component`, `a` or `b`.
    code : str
        The wetted material.
    grade : str
        How it ended.
    """
    nudge = -_NUDGE if grade == "not satisfactory" else _NUDGE
    return EvidenceRecord(
        date=_SUPPOSED_ON,
        material=code,
        substance=product_name(subject.request.material, component.removeprefix("component")),
        temperature_c=subject.duty.temperature.high - 273.15 + nudge,
        hours=168.0,
        grade=grade,
    )


def components_of(material: Material) -> Iterator[tuple[str, str]]:
    """Slot prefix and file key of each component: `("", "component")`, or `("a.", "a")` and b."""
    for prefix, _ in material.components:
        yield prefix, prefix.rstrip(".") or "component"


_SPECIAL: dict[str, Callable[[str, Subject], tuple[Change, ...]]] = {
    "shape": _shapes,
    "definition": _definitions,
    "complete": _whole,
    "constituents": _unharmed,
    "mass_fraction": _amounts,
    "mixed_viscosity": _mixed_viscosities,
}
"""Gaps that are no number between two ends."""
