"""From the errors of a pydantic model to faults that a reader of the file understands."""

from __future__ import annotations

import re
import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from enum import Enum
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from configurator.errors import Fault, described, did_you_mean
from configurator.units.grammar import UnitFault
from configurator.units.quantity import FAULT_TYPE, Of

_MOST_NAMES = 24

# Families of pydantic error types ("int_type", "int_parsing", ...) in plain words.
_WANTED = {
    "bool": "true or false",
    "int": "a whole number",
    "float": "a number",
    "decimal": "a number",
    "finite": "a finite number",
    "string": "text",
    "list": "a list",
    "tuple": "a list",
    "set": "a list",
    "frozen": "a list",
    "dict": "a table",
    "mapping": "a table",
    "model": "a table",
    "dataclass": "a table",
    "path": "a path",
    "date": "a date such as 2025-03-01",
    "datetime": "a date and time",
    "time": "a time of day",
}

_COMPARED = {
    "greater_than": ("gt", "a number above {}"),
    "greater_than_equal": ("ge", "a number of at least {}"),
    "less_than": ("lt", "a number below {}"),
    "less_than_equal": ("le", "a number of at most {}"),
    "multiple_of": ("multiple_of", "a multiple of {}"),
    "too_short": ("min_length", "at least {} entries"),
    "too_long": ("max_length", "at most {} entries"),
    "string_too_short": ("min_length", "text of at least {} characters"),
    "string_too_long": ("max_length", "text of at most {} characters"),
    "string_pattern_mismatch": ("pattern", "text of the form {}"),
}


_OPENING = re.compile(r"^(Value error, |Input (should be|is not) (a valid |valid )?)")


@dataclass(frozen=True, slots=True)
class Place:
    """What a model allows at one spot: plain annotations, unions taken apart."""

    types: tuple[Any, ...]
    kinds: tuple[Of, ...]

    @property
    def models(self) -> tuple[type[BaseModel], ...]:
        """Models of tables that may stand here."""
        return tuple(each for each in self.types if _is_model(each))

    @property
    def items(self) -> Place | None:
        """What each entry of a list may be; None where no list may stand here."""
        found = tuple(_items(self))
        return _merged(found) if found else None

    @property
    def names(self) -> tuple[str, ...]:
        """Keys that a table may have here."""
        names = (
            name
            for model in self.models
            for field, info in model.model_fields.items()
            for name in _keys(field, info)
        )
        return tuple(dict.fromkeys(names))

    @property
    def choices(self) -> tuple[str, ...]:
        """Words that may stand here."""
        return tuple(
            str(value.value if isinstance(value, Enum) else value)
            for each in self.types
            for value in _values(each)
        )


def faults_from_validation(
    error: ValidationError,
    where: str,
    *,
    model: type[BaseModel] | None = None,
    prefix: str = "",
    names: Iterable[str] = (),
) -> tuple[Fault, ...]:
    """Return every fault of a file in one go, in plain words.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    where : str
        File path as the user gave it.
    model : type of BaseModel, optional
        The model that refused: makes near names, examples and clean paths possible.
    prefix : str
        Put before each field, such as ``"practice."`` or ``"size s1: "``.
    names : iterable of str
        Further keys that are valid at the top of the file.

    Returns
    -------
    tuple of Fault
        One for each thing that is wrong, without repeats. Entries of lists count from 1.
    """
    root = Place((), ()) if model is None else place_of(model)
    extra_names = tuple(names)
    faults = (
        _fault(details, where, root, prefix, extra_names)
        for details in error.errors(include_url=False)
    )
    return tuple(dict.fromkeys(faults))


def _fault(
    details: ErrorDetails, where: str, root: Place, prefix: str, extra_names: tuple[str, ...]
) -> Fault:
    location, kind = details["loc"], details["type"]
    path, before, place = _walk(location, root)
    field = prefix + path if path else prefix.rstrip(". :") or "file"
    if kind.startswith("union_tag"):
        return _tag_fault(details, where, field, place)
    if kind == "extra_forbidden":
        key = str(location[-1])
        known = before.names + (extra_names if len(location) == 1 else ())
        accepted = _listed(known) if known else "no such key"
        return Fault(where, field, key, accepted, did_you_mean(key, known))
    if kind == "missing":
        return Fault(where, field, "nothing", f"required: {_wanted(place)}")
    return _value_fault(details, where, field, place)


def _tag_fault(details: ErrorDetails, where: str, field: str, place: Place) -> Fault:
    """Say what is wrong with the key that decides which table this is."""
    context = details["ctx"]
    key = str(context["discriminator"]).strip("'")
    field = key if field == "file" else f"{field}.{key}"
    tags = _tags(place, key)
    if "tag" not in context:
        return Fault(where, field, "nothing", f"required: {_listed(tags)}")
    tag = str(context["tag"])
    return Fault(where, field, tag, _listed(tags), did_you_mean(tag, tags))


def _value_fault(details: ErrorDetails, where: str, field: str, place: Place) -> Fault:
    """Say what is wrong with a value whose key is right."""
    kind, context = details["type"], details.get("ctx", {})
    if kind == FAULT_TYPE:
        return Fault(where, field, context["given"], context["accepted"], context["hint"])
    reason = context.get("error")
    if isinstance(reason, UnitFault):
        return Fault(where, field, reason.given, reason.accepted, reason.hint)
    given = described(details["input"])
    if isinstance(reason, Exception):
        return Fault(where, field, given, str(reason))
    if kind in ("literal_error", "enum"):
        choices = place.choices
        accepted = _listed(choices) if choices else str(context["expected"]).replace("'", "")
        return Fault(where, field, given, accepted, did_you_mean(given, choices))
    return Fault(where, field, given, _accepted(details))


def _accepted(details: ErrorDetails) -> str:
    kind = details["type"]
    if kind in _COMPARED:
        key, sentence = _COMPARED[kind]
        return sentence.format(details.get("ctx", {}).get(key))
    family = kind.partition("_")[0]
    if family in _WANTED and not kind.startswith("time_delta"):
        return _WANTED[family]
    # Whatever is left has a sentence of its own, whose opening says nothing.
    return _OPENING.sub("", details["msg"])


def _walk(location: tuple[int | str, ...], root: Place) -> tuple[str, Place, Place]:
    """Follow a location; return its path in the file, and the places before and at its end.

    Pydantic puts the label of a union's member into the location, which is no key of the file.
    """
    path, before, here = "", root, root
    for part in location:
        if part == "[key]":
            continue
        if isinstance(part, int):
            path += f"[{part + 1}]"
            before, here = here, _merged(_items(here))
            continue
        if len(here.types) > 1 and (members := _labelled(here, part)):
            here = Place(members, here.kinds)
            continue
        path += f".{part}" if path else part
        before, here = here, _merged(_fields(here, part))
    return path, before, here


def _fields(place: Place, key: str) -> Iterator[Place]:
    for each in place.types:
        if _is_model(each):
            for field, info in each.model_fields.items():
                if key == field or key in _keys(field, info):
                    yield place_of(info.annotation, info.metadata)
        elif get_origin(each) in (dict, Mapping):
            yield from (place_of(value) for value in get_args(each)[1:])


def _items(place: Place) -> Iterator[Place]:
    for each in place.types:
        if get_origin(each) in (list, tuple, set, frozenset):
            yield from (place_of(item) for item in get_args(each) if item is not Ellipsis)


def _labelled(place: Place, label: str) -> tuple[Any, ...]:
    """Return the members of a union that a label may stand for.

    A label is the name of a type, the value of its tag, or a description that holds the name,
    such as "function-after[check(), Filler]".
    """
    names = set(re.findall(r"\w+", label)) if label.endswith("]") else {label}
    return tuple(
        each
        for each in place.types
        if getattr(each, "__name__", "") in names
        or (
            _is_model(each)
            and any(
                label in place_of(info.annotation).choices for info in each.model_fields.values()
            )
        )
    )


def place_of(annotation: Any, metadata: Iterable[Any] = ()) -> Place:
    """Take an annotation apart, with what annotates it."""
    kinds = tuple(each for each in metadata if isinstance(each, Of))
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *more = get_args(annotation)
        return _merged((Place((), kinds), place_of(inner, more)))
    if origin in (Union, types.UnionType):
        members = (each for each in get_args(annotation) if each is not type(None))
        return _merged((Place((), kinds), *(place_of(each) for each in members)))
    return Place((annotation,), kinds)


def _merged(places: Iterable[Place]) -> Place:
    found = tuple(places)
    return Place(
        tuple(each for place in found for each in place.types),
        tuple(each for place in found for each in place.kinds),
    )


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _keys(field: str, info: FieldInfo) -> tuple[str, ...]:
    return (info.alias or field,)


def _values(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        return tuple(annotation)
    return ()


def _tags(place: Place, key: str) -> tuple[str, ...]:
    return tuple(
        tag
        for model in place.models
        for field in _fields(place_of(model), key)
        for tag in field.choices
    )


def _wanted(place: Place) -> str:
    """Return what a spot accepts, with an example where there is one."""
    if place.kinds:
        return " or ".join(dict.fromkeys(of.kind.accepted for of in place.kinds))
    if place.choices:
        return _listed(place.choices)
    if place.models:
        return f"a table with {_listed(place.names)}"
    plain = {
        bool: "true or false",
        int: "a whole number",
        float: "a number",
        str: "text",
        date: "a date such as 2025-03-01",
        time: "a time of day",
    }
    words = [plain[each] for each in place.types if each in plain]
    if any(get_origin(each) in (list, tuple, set, frozenset) for each in place.types):
        words.append("a list")
    if any(get_origin(each) in (dict, Mapping) for each in place.types):
        words.append("a table")
    return " or ".join(words) or "a value"


def _listed(names: Iterable[str]) -> str:
    unique = tuple(dict.fromkeys(names))
    more = "" if len(unique) <= _MOST_NAMES else f", and {len(unique) - _MOST_NAMES} more"
    listed = ", ".join(unique[:_MOST_NAMES]) + more
    return listed if len(unique) == 1 else f"one of: {listed}"
