"""What a request states and who could move it: its fields, as typed, behind the rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.request.material import Share
from configurator.rules.case import Subject
from configurator.units.quantity import Quantity

CUSTOMER = "the customer"
MAKER = "the maker of the material"
US = "whoever picks the parts"

UNTOLD = frozenset({"schema_version", "name", "title", "note", "invented", "basis", "kind"})
"""Keys of a request that decide nothing."""


@dataclass(frozen=True, slots=True)
class Datum:
    """One value of a request.

    Attributes
    ----------
    field : str
        Its path, as `process.deposit.diameter` or `a.filler.d99`.
    text : str
        As typed, or the estimate that stands in its place.
    basis : str
        What it rests on; empty for words.
    grants : str
        Who could change it.
    """

    field: str
    text: str
    basis: str
    grants: str


def fields_asked(asks: Iterable[str], prefix: str) -> tuple[str, ...]:
    """Request fields that a rule reads, for the side with a prefix, as a file names them."""
    found = []
    for path in asks:
        root, _, rest = path.partition(".")
        if root == "component":
            root = prefix.rstrip(".") or "component"
        elif root == "material":
            root = ""
        found.append(".".join(filter(None, (root, rest))))
    return tuple(dict.fromkeys(found))


def grants(field: str) -> str:
    """Who could change a field."""
    return CUSTOMER if field.startswith("process") else MAKER


def stated(subject: Subject, fields: Iterable[str]) -> tuple[Datum, ...]:
    """Return every value behind some fields, estimates that fill gaps among them."""
    found: dict[str, Datum] = {}
    for field in fields:
        root, _, rest = field.partition(".")
        if root == "process":
            value = _follow(subject.request.process, rest)
        else:
            value = _follow(subject.filled.material, field)
        for datum in _leaves(field, value):
            found.setdefault(datum.field, datum)
    return tuple(found.values())


def _follow(value: object, path: str) -> object:
    for key in filter(None, path.split(".")):
        value = getattr(value, key, None) if value is not None else None
    return value


def _leaves(field: str, value: object) -> Iterator[Datum]:
    """Each quantity, word or yes below a field."""
    if isinstance(value, Share):
        amount = value.mass_fraction
        text = value.name if amount is None else f"{value.name} {amount.text}"
        yield Datum(field, text, "" if amount is None else amount.basis.value, grants(field))
    elif isinstance(value, BaseModel):
        for key in type(value).model_fields:
            if key not in UNTOLD:
                yield from _leaves(f"{field}.{key}", getattr(value, key))
    elif isinstance(value, tuple) and not all(isinstance(entry, str) for entry in value):
        for place, entry in enumerate(value, start=1):
            yield from _leaves(f"{field}[{place}]", entry)
    elif isinstance(value, Quantity):
        yield Datum(field, value.text, value.basis.value, grants(field))
    elif text := _word(value):
        yield Datum(field, text, "", grants(field))


def _word(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return value if isinstance(value, str) else ""


def could_read(asks: Iterable[str], field: str) -> bool:
    """Whether a change of a field could move a rule that names the fields it asks for.

    Generous on purpose: pressure and slip follow the material's flow, and with it temperature,
    back pressure, the other component, the mix and what fills a gap of the data sheet. A rule
    that is wrongly taken to read a field costs a solve; one that is wrongly left out would
    hide a remedy.
    """
    root, _, rest = field.partition(".")
    for ask in asks:
        asked_root, _, asked_rest = ask.partition(".")
        if root == "process":
            if asked_root == "process" and _one_in_other(asked_rest, rest):
                return True
            if asked_rest == "flow" and rest in ("temperature", "back_pressure"):
                return True
        elif root == "mix":
            if asked_root == "material" or asked_rest == "flow":
                return True
        elif asked_root == "component" and _of_material(asked_rest, rest):
            return True
    return False


def _one_in_other(first: str, second: str) -> bool:
    return f"{first}.".startswith(f"{second}.") or f"{second}.".startswith(f"{first}.")


def _of_material(asked: str, rest: str) -> bool:
    if rest.startswith("filler"):
        return asked.startswith(("filler", "constituents"))
    if rest.startswith("constituents"):
        return asked.startswith(("constituents", "flow", "density"))
    return _one_in_other(asked, rest)
