"""The fields of a document in the order of its model, set or not, each with what it accepts."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from configurator.errors import Fault, described
from configurator.request.constituents import Share
from configurator.request.material import MODEL_KEYS, Flow, FlowPoint, Material
from configurator.request.process import Bead, Dots, PlainFlow, Potting, Process
from configurator.tui.document import Document
from configurator.units.dimension import Kind
from configurator.units.quantity import Quantity
from configurator.units.validation import place_of

DEPOSITS: Mapping[str, type[BaseModel]] = {
    "dots": Dots,
    "bead": Bead,
    "potting": Potting,
    "flow": PlainFlow,
}

LEVELS = ("what matters", "fields set", "all fields")
"""How much of the documents is shown, by what it is called."""

MATTERS = (
    *("deposit.", "tolerance", "temperature", "feed_pressure", "back_pressure"),
    *("longest_stop", "production.cycle_time", "production.shift"),
    *("flow.viscosity", "flow.yield_stress", "flow.consistency", "flow.index"),
    *("density", "filler.name", "filler.d99", "constituents[", "mix.ratio", "mix.pot_life.value"),
)
"""Beginnings of the fields, below their side, that a choice of parts hangs on most."""

_SKIPPED = ("schema", "note")
_MODEL_FIELDS = {key for keys in MODEL_KEYS.values() for key in keys}


@dataclass(frozen=True)
class Field:
    """One line of a form."""

    path: str
    """Where its value stands in the tables; of a heading, the table itself."""
    label: str
    text: str = ""
    """The value as typed; empty if it is not set."""
    accepts: str = ""
    """What may stand here, in words; empty for a heading."""
    choices: tuple[str, ...] = ()
    """The only values, where there are few."""
    kind: Kind | None = None
    many: bool = False
    """True if several choices may be set at once."""
    basis: str = ""
    """What a quantity says it rests on; empty if it leaves that to its file."""
    heading: bool = False
    fixed: bool = False
    """True if it is shown only."""


_laid_out: deque[tuple[Document, tuple[Field, ...]]] = deque(maxlen=4)
"""The newest forms: one screen asks for the same few again and again."""


def fields_of(document: Document) -> tuple[Field, ...]:
    """Every field that a document could hold, in the order of its model."""
    for known, fields in _laid_out:
        if known is document:
            return fields
    model = Material if document.kind == "material" else Process
    fields = tuple(_of_model(model, document, ""))
    _laid_out.append((document, fields))
    return fields


def faults_at(path: str, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """The faults that stand at a field itself, not at one inside it."""
    return tuple(fault for fault in faults if fault.field == path)


def value_of(field: Field, text: str) -> Any:
    """What goes into the tables for a text typed at a field; None empties it."""
    typed = text.strip()
    if not typed:
        return None
    if field.many:
        return [word.strip() for word in typed.split(",") if word.strip()]
    if field.choices == ("yes", "no") and typed in field.choices:
        return typed == "yes"
    if field.label == "ratio":
        return [part.strip() for part in typed.replace(":", ",").split(",")]
    return typed


def _of_model(model: type[BaseModel], document: Document, prefix: str) -> Iterator[Field]:
    """Its own fields first: what stands behind a table would seem to be of that."""
    tables: list[Field] = []
    for name, info in model.model_fields.items():
        key = info.alias or name
        if key in _SKIPPED or not _belongs(model, key, document, prefix):
            continue
        found = [*_of_field(f"{prefix}{key}", key.replace("_", " "), info, document)]
        if found[0].heading:
            tables += found
        else:
            yield from found
    yield from tables


def _belongs(model: type[BaseModel], key: str, document: Document, prefix: str) -> bool:
    """Whether a key makes sense beside what is set already."""
    if document.at(f"{prefix}{key}") is not None:
        return True
    if model is Material and key in ("component", "a", "b", "mix"):
        two_part = document.tables.get("trigger") == "two-part" or "a" in document.tables
        return two_part != (key == "component")
    if model is Flow and key in _MODEL_FIELDS:
        wanted = document.at(f"{prefix}model") or "newtonian"
        return key in MODEL_KEYS.get(wanted, ()) if isinstance(wanted, str) else False
    return key != "invented"


def _of_field(path: str, label: str, info: FieldInfo, document: Document) -> Iterator[Field]:
    value = document.at(path)
    place = place_of(info.annotation, info.metadata)
    bare = place.types[0] if len(place.types) == 1 else info.annotation
    if path == "deposit":
        yield from _deposit(document)
    elif bare is Quantity:
        kind = place.kinds[0].kind
        yield Field(path, label, _text(value), kind.accepted, kind=kind, basis=_basis(value))
    elif isinstance(bare, type) and issubclass(bare, BaseModel):
        yield Field(path, label, heading=True)
        yield from _of_model(bare, document, f"{path}.")
    elif get_origin(bare) is tuple:
        yield from _tuple(path, label, get_args(bare), document)
    else:
        yield _plain(path, label, bare, value)


def _plain(path: str, label: str, bare: Any, value: object) -> Field:
    choices: tuple[str, ...] = ()
    if get_origin(bare) is Literal:
        choices = tuple(map(str, get_args(bare)))
    elif bare is bool:
        choices = ("yes", "no")
    elif isinstance(bare, type) and issubclass(bare, Enum):
        choices = tuple(str(member.value) for member in bare)
    text = ("yes" if value else "no") if isinstance(value, bool) else _text(value)
    return Field(path, label, text, " or ".join(choices) or "a text of one line", choices)


def _tuple(path: str, label: str, inside: tuple[Any, ...], document: Document) -> Iterator[Field]:
    first, value = place_of(inside[0]).types[0], document.at(path)
    entries = value if isinstance(value, list) else []
    if first is Share:
        yield Field(path, label, heading=True)
        for number in range(len(entries) + 1):
            for key, info in Share.model_fields.items():
                words = f"{key.replace('_', ' ')} {number + 1}"
                yield from _of_field(f"{path}[{number}].{key}", words, info, document)
    elif first is FlowPoint:
        text = f"{len(entries)} points" if entries else ""
        yield Field(path, label, text, "a list of points, written in the file", fixed=True)
    elif get_origin(first) is Literal:
        choices = tuple(map(str, get_args(first)))
        accepts = f"any of {', '.join(choices)}; commas between them"
        yield Field(path, label, ", ".join(map(_text, entries)), accepts, choices, many=True)
    else:
        text = " : ".join(map(_text, entries))
        yield Field(path, label, text, "parts of A and parts of B, as 10 : 1")


def _deposit(document: Document) -> Iterator[Field]:
    kind = document.at("deposit.kind")
    model = DEPOSITS.get(kind) if isinstance(kind, str) else None
    yield Field("deposit", "deposit", heading=True)
    choices = tuple(DEPOSITS)
    yield Field("deposit.kind", "kind", _text(kind), " or ".join(choices), choices)
    if model is None:
        return
    for name, info in model.model_fields.items():
        if name != "kind":
            label = name.replace("_", " ")
            yield from _of_field(f"deposit.{name}", label, info, document)


def _text(value: object) -> str:
    if isinstance(value, Mapping) and "value" in value:
        value = value["value"]
    return "" if value is None else described(value)


def _basis(value: object) -> str:
    basis = value.get("basis", "") if isinstance(value, Mapping) else ""
    return basis if isinstance(basis, str) else ""
