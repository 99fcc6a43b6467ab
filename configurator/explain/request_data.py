"""What a request states and who could move it: its fields, as typed, behind the rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.request.constituents import Share
from configurator.request.material import component_key
from configurator.request.movable import grants
from configurator.request.question import Question
from configurator.rules.rule import Rule
from configurator.rules.subject import Subject
from configurator.units.path import leaves, value_at
from configurator.units.quantity import Quantity

UNTOLD = frozenset({"schema_version", "name", "title", "note", "invented", "basis", "kind"})
"""Keys of a request that decide nothing, or nothing that a person could be asked to move."""

IDLE = frozenset({"schema_version", "title", "note", "invented"})
"""Keys of a request that no rule reads."""


@dataclass(frozen=True, slots=True)
class Datum:
    """One value of a request."""

    field: str
    """Its path, as `process.deposit.diameter` or `a.filler.d99`."""
    text: str
    """As typed, or the estimate that stands in its place."""
    basis: str
    """What it rests on; empty for words."""
    grants: str


def fields_asked(asks: Iterable[str], prefix: str) -> tuple[str, ...]:
    """Request fields that a rule reads, for the side with a prefix, as a file names them."""
    found = []
    for path in asks:
        root, _, rest = path.partition(".")
        if root == "component":
            root = component_key(prefix)
        elif root == "material":
            root = ""
        found.append(".".join(filter(None, (root, rest))))
    return tuple(dict.fromkeys(found))


def stated(subject: Subject, fields: Iterable[str]) -> tuple[Datum, ...]:
    """Return every value behind some fields, estimates that fill gaps among them."""
    found: dict[str, Datum] = {}
    for field in fields:
        root, _, rest = field.partition(".")
        if root == "process":
            value = value_at(subject.question.process, rest)
        else:
            value = value_at(subject.filled.material, field)
        for path, leaf in leaves(value, field, whole=(Share,)):
            text, basis = _in_words(leaf)
            if text and path.rpartition(".")[2] not in UNTOLD:
                found.setdefault(path, Datum(path, text, basis, grants(path)))
    return tuple(found.values())


def _in_words(value: object) -> tuple[str, str]:
    """A quantity, share, word or yes, and what it rests on; empty where nothing is told."""
    if isinstance(value, Share):
        amount, basis = _in_words(value.mass_fraction)
        return f"{value.name} {amount}".rstrip(), basis
    if isinstance(value, Quantity):
        return value.text, value.basis.value
    if isinstance(value, bool):
        return "yes" if value else "", ""
    if isinstance(value, tuple):
        return ", ".join(map(str, value)), ""
    return value if isinstance(value, str) else "", ""


def could_read(rule: Rule, field: str) -> bool:
    """Whether a change of a field could move a rule, also through what fills a gap.

    Generous on purpose: a rule that is wrongly taken to read a field costs a solve; one that is
    wrongly left out would hide a remedy.
    """
    return rule.reads(field) or any(
        _estimated_from(ask.partition(".")[2], field) for ask in rule.asks
    )


def _estimated_from(asked: str, field: str) -> bool:
    """Whether what fills a gap in one datum may follow from another."""
    rest = field.partition(".")[2]
    if rest.startswith("filler"):
        return asked.startswith(("filler", "constituents", "flow", "density"))
    if rest.startswith("constituents"):
        return asked.startswith(("constituents", "complete", "flow", "density"))
    return field == "trigger" and asked.startswith(("flow", "density"))


def fields_moved(old: Subject, new: Subject) -> frozenset[str]:
    """Fields in which two requests differ once their gaps are filled, as a file names them.

    Both are of one part, or both of two. A datum that stands behind an estimate moves that estimate
    as well, and so both are here.
    """
    return frozenset(
        (
            *_differing("", old.filled.material, new.filled.material),
            *_differing("process", old.question.process, new.question.process),
        )
    )


def moves_of(old: Question, new: Question) -> dict[str, object]:
    """What a changed request states otherwise: picks and exclusions by slot, the rest by field."""
    moves = {
        **_differing("", old.material, new.material),
        **_differing("process", old.process, new.process),
    }
    for kind in ("picks", "without"):
        before, after = getattr(old, kind), getattr(new, kind)
        for slot in before.keys() | after.keys() if before != after else ():
            if before.get(slot) != after.get(slot):
                moves[f"{kind.removesuffix('s')} {slot}"] = after.get(slot)
    return moves


def _differing(field: str, old: object, new: object) -> dict[str, object]:
    if old is new:
        return {}
    if isinstance(old, BaseModel) and type(old) is type(new):
        found: dict[str, object] = {}
        for key in type(old).model_fields:
            if key not in IDLE:
                inner = f"{field}.{key}" if field else key
                found |= _differing(inner, getattr(old, key), getattr(new, key))
        return found
    return {field: new} if old != new else {}
