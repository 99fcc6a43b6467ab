"""A catalog over another: what has been read of the layers, and how one lies over those below."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from configurator.catalog.catalog import TWO_PART_PRACTICE, Practice
from configurator.catalog.parts import PART_TYPES, Cavity, FittedPart, Name, Note, Part, Title
from configurator.catalog.substances import Constituent, SwellGroup, VerdictGroup, WettedMaterial
from configurator.errors import Fault, did_you_mean
from configurator.units.fields import Frozen, SchemaVersion
from configurator.units.interval import Basis


class CatalogHead(Frozen):
    """The keys of a catalog file beside its arrays of parts."""

    schema_version: SchemaVersion
    name: Name | None = None
    title: Title | None = None
    invented: bool = False
    basis: Basis | None = None
    source: Note = ""
    note: Note = ""
    extends: str | None = None
    """Catalog below this one: `shipped`, or a folder beside it."""
    withdraw: Mapping[str, tuple[Name, ...]] = {}
    """Parts of the catalog below that are not taken over, by slot."""


def no_parts() -> dict[str, list[Part]]:
    """Return an empty list a slot."""
    return {part.slot: [] for part in PART_TYPES}


@dataclass
class Layers:
    """What has been gathered from the files so far."""

    digest: Any = field(default_factory=hashlib.sha256)
    one_part_digest: Any = field(default_factory=hashlib.sha256)
    """Of all that the head of a one-part material can hang on."""
    faults: list[Fault] = field(default_factory=list)
    stated: set[str] = field(default_factory=set)
    """Slots, and `practice`, of which some file states something, readable or not."""
    name: str | None = None
    title: str = ""
    practice: Practice | None = None
    parts: dict[str, list[Part]] = field(default_factory=no_parts)
    """Of this layer and those below."""
    own: dict[str, list[Part]] = field(default_factory=no_parts)
    """Of the layer that is being read."""
    origins: dict[str, str] = field(default_factory=dict)
    """Layer of each part and rule of thumb that a layer above the lowest states or withdraws."""
    constituents: dict[str, Constituent] = field(default_factory=dict)
    wetted: dict[str, WettedMaterial] = field(default_factory=dict)
    verdicts: list[VerdictGroup] = field(default_factory=list)
    swell: list[SwellGroup] = field(default_factory=list)
    stand_ins: list[str] = field(default_factory=list)
    """Rules of thumb that no file states; the shipped ones stand in."""


def lay(label: str, reading: Layers, *, layered: bool) -> None:
    """Put the parts of a layer over those below: of a name that is there they take its place."""
    for slot, own in reading.own.items():
        below = {part.name: place for place, part in enumerate(reading.parts[slot])}
        seen: set[str] = set()
        for part in own:
            if part.name in seen:
                reading.faults.append(
                    Fault(label, f"{slot} {part.name}", "the name twice", "each name once a slot")
                )
            elif part.name in below:
                reading.parts[slot][below[part.name]] = part
            else:
                reading.parts[slot].append(part)
            if layered:
                told = "replaced by" if part.name in below else "added by"
                reading.origins[f"{slot} {part.name}"] = f"{told} {label}"
            seen.add(part.name)
    reading.own = no_parts()


def withdraw(path: Path, head: CatalogHead, reading: Layers) -> None:
    """Take parts of the layers below away, as a file asks."""
    for slot, names in head.withdraw.items():
        there = [part.name for part in reading.parts.get(slot, ())]
        if slot not in reading.parts:
            slots = tuple(reading.parts)
            fault = Fault(str(path), "withdraw", slot, ", ".join(slots), did_you_mean(slot, slots))
            reading.faults.append(fault)
            continue
        for name in names:
            if name not in there:
                accepted, hint = f"a {slot} of the catalog below", did_you_mean(name, there)
                reading.faults.append(Fault(str(path), f"withdraw.{slot}", name, accepted, hint))
            reading.origins[f"{slot} {name}"] = f"withdrawn by {path.parent.name}"
        reading.parts[slot] = [part for part in reading.parts[slot] if part.name not in names]
        if slot == "size":
            _without_sizes(frozenset(names), reading, path.parent.name)
        if not reading.parts[slot] and not reading.own[slot]:
            reading.stated.discard(slot)


def _without_sizes(gone: frozenset[str], reading: Layers, layer: str) -> None:
    """What fits only sizes that are withdrawn goes with them; the rest fits those that are left."""
    for slot, parts in reading.parts.items():
        kept: list[Part] = []
        for part in parts:
            match part:
                case Cavity():
                    left = {part.size} - gone
                case FittedPart():
                    left = set(part.sizes) - gone
                case _:
                    left = {""}
            if not left:
                reading.origins[f"{slot} {part.name}"] = f"withdrawn by {layer} with its size"
            elif isinstance(part, FittedPart) and len(left) < len(part.sizes):
                sizes = tuple(size for size in part.sizes if size in left)
                kept.append(part.model_copy(update={"sizes": sizes}))
            else:
                kept.append(part)
        reading.parts[slot] = kept


def practice_over(given: object, below: Practice | None) -> object:
    """A layer may state some rules of thumb: those below stand in for the others."""
    if below is None or not isinstance(given, dict):
        return given
    filled: dict[str, Any] = {field: getattr(below, field) for field in type(below).model_fields}
    for key, value in given.items():
        inner = filled.get(key)
        if isinstance(inner, BaseModel) and isinstance(value, dict):
            filled[key] = {each: getattr(inner, each) for each in type(inner).model_fields} | value
        else:
            filled[key] = value
    return filled


def without_mixing(tables: Mapping[str, Any], raw: bytes) -> bytes:
    """What a catalog file says of heads for one-part materials: no mixer, no rule of thumb on one."""
    mixers, practice = tables.get("mixing"), tables.get("practice")
    if mixers is None and practice is None:
        return raw
    left = dict(tables)
    if isinstance(mixers, list):
        left["mixing"] = [each for each in mixers if not _mixes(each)]
    if isinstance(practice, dict):
        left["practice"] = {k: v for k, v in practice.items() if k not in TWO_PART_PRACTICE}
    try:
        return json.dumps(left, sort_keys=True, default=str).encode()
    except RecursionError:
        return raw


def _mixes(given: object) -> bool:
    return not isinstance(given, dict) or given.get("kind") != "none"


def unstated(given: object) -> list[str]:
    """Rules of thumb that a table of shop practice leaves out, as dotted names."""
    if not isinstance(given, dict):
        return []
    missing = [name for name in Practice.model_fields if name not in given]
    for name, about in Practice.model_fields.items():
        own, inner = given.get(name), about.annotation
        if not isinstance(own, dict) or "value" in own:
            continue
        if isinstance(inner, type) and issubclass(inner, BaseModel):
            missing += [f"{name}.{each}" for each in inner.model_fields if each not in own]
    return missing
