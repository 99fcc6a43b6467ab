"""Columns of a table of parts: which field of a slot each header means, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.catalog.parts import PART_TYPES, Part
from configurator.errors import Fault, did_you_mean
from configurator.units.dimension import Kind
from configurator.units.validation import place_of

MODELS: Mapping[str, type[Part]] = {part.slot: part for part in PART_TYPES}

BASIS = "basis"
"""Header of the column that says what the figures of a row rest on."""

ALSO: Mapping[str, str] = {
    "name": "part, part name, item, item no, part no, part number, article, id no, artikel, artikelnummer, artikel nr, teil, teilenummer, bezeichnung",
    "title": "description, designation, text, beschreibung, benennung",
    "note": "remark, remarks, comment, comments, bemerkung, anmerkung",
    "cost_index": "cost, relative cost, kostenindex",
    "order_text": "order text, order number, order no, order code, bestelltext, bestellnummer",
    "delivery": "delivery time, lead time, lieferzeit",
    "stock": "in stock, on stock, quantity in stock, bestand, lagerbestand",
    "sizes": "fits, fits sizes, head sizes, größen, baugrößen",
    "size": "head size, größe, baugröße",
    "bore": "id, inner diameter, inside diameter, inner dia, innendurchmesser",
    "outside_diameter": "od, outer diameter, outer dia, outside dia, außendurchmesser",
    "length": "tip length, needle length, länge",
    "pressure_max": "max pressure, maximum pressure, pressure rating, pmax, max druck, maximaler druck",
    "speed_max": "max speed, maximum speed, max drehzahl, drehzahl max",
    "speed_min": "min speed, minimum speed, min drehzahl, drehzahl min",
    "temperature_low": "min temperature, temperature from, tmin, temperatur min, temperatur von",
    "temperature_high": "max temperature, temperature to, tmax, temperatur max, temperatur bis",
    "mass": "weight, gewicht, masse",
    "dry_mass": "dry weight",
    "torque_continuous": "rated torque, nominal torque, continuous torque, nennmoment",
    "torque_peak": "peak torque, maximum torque, spitzenmoment",
    "joint": "connection, fitting, anschluss",
    "capacity": "content, filling volume, inhalt, füllmenge",
    "price": "preis, stückpreis, unit price",
    "entry_bore": "eintrittsdurchmesser",
    "material": "werkstoff",
    "kind": "type, art, bauart",
    "passes_light": "clear, lichtdurchlässig",
    "materials": "wetted materials, werkstoffe",
}
"""What people head such columns with, in English or German, by field; letters and digits alone count."""

_UNIT = re.compile(r"(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\))\s*")
_BEHIND = re.compile(r"(.*?)(?:,| in )\s*(\S+)\s*")


def letters_of(text: str) -> str:
    """Letters and digits of a text, in lower case: what counts where people head columns."""
    return "".join(letter for letter in text.casefold() if letter.isalnum())


@dataclass(frozen=True, slots=True)
class PartColumn:
    """One field of a part, as a column of a table."""

    name: str
    """Its path in the part, as `bore` or `rated_rigid.pressure`."""
    kind: Kind | None = None
    """Of a quantity."""
    choices: tuple[str, ...] = ()
    """The only words, where there are few."""
    many: bool = False
    """True if a cell lists several words."""
    yes: bool = False
    """True if a cell says yes or no."""
    optional: bool = False
    """True if a part may leave it out, as it may a whole `rated_rigid`."""

    @property
    def accepted(self) -> str:
        """What stands there, in words."""
        words = " or ".join(self.choices) or ("true or false" if self.yes else "text")
        words = self.kind.a_name if self.kind is not None else words
        return words + (", several" if self.many else "") + (", optional" if self.optional else "")


@dataclass(frozen=True, slots=True)
class Mapped:
    """A header of a table, and what was understood by it."""

    header: str
    column: PartColumn | None
    """None for the basis of a row."""
    unit: str = ""
    """That cells without one are in."""

    def in_words(self) -> str:
        """What the header was taken for."""
        name = BASIS if self.column is None else self.column.name
        return f"'{self.header}' is {name}" + (f", in {self.unit}" if self.unit else "")


def columns_of(slot: str) -> tuple[PartColumn, ...]:
    """Every column that a table of a slot may have, in the order of its model."""
    return tuple(_columns(MODELS[slot], ""))


def _columns(model: type[BaseModel], front: str, *, optional: bool = False) -> Iterator[PartColumn]:
    for field, info in model.model_fields.items():
        free = optional or not info.is_required()
        place = place_of(info.annotation, info.metadata)
        entry = place.items or place
        if entry.models:
            yield from _columns(entry.models[0], f"{front}{field}.", optional=free)
            continue
        yield PartColumn(
            front + field,
            entry.kinds[0].kind if entry.kinds else None,
            tuple(filter(None, entry.choices)),
            many=place.items is not None,
            yes=bool in entry.types,
            optional=free,
        )


def read_headers(
    slot: str, headers: Sequence[str], *, where: str, named: Mapping[str, str]
) -> tuple[list[Mapped | None], list[Fault]]:
    """Say what each header of a table means: its column, or None where it is left out; and faults.

    Empty headers are passed over. `named` gives the field by header, where somebody says so; an
    empty field leaves the column out.
    """
    columns = {column.name: column for column in columns_of(slot)}
    spelt = {letters_of(name): name for name in columns}
    for name, words in ALSO.items():
        if name in columns:
            spelt |= {letters_of(word): name for word in words.split(", ")}
    faults: list[Fault] = []
    found: list[Mapped | None] = []
    for given in headers:
        header = " ".join(given.split())
        mapped, fault = _mapped(header, columns, spelt, named) if header else (None, None)
        if fault is not None:
            near = did_you_mean(header, (*columns, BASIS))
            skip = f"--column '{header}=FIELD' names its field, --column '{header}=' leaves it out"
            faults.append(
                Fault(where, header, fault, f"a field of the slot {slot}", f"{near} {skip}".strip())
            )
        before = [each for each in found if each is not None]
        if mapped and any(mapped.column == each.column for each in before):
            twin = next(each.header for each in before if each.column == mapped.column)
            faults.append(Fault(where, header, f"the same as '{twin}'", "each field in one column"))
        found.append(mapped)
    return found, faults


def _mapped(
    header: str,
    columns: Mapping[str, PartColumn],
    spelt: Mapping[str, str],
    named: Mapping[str, str],
) -> tuple[Mapped | None, str | None]:
    if header in named and not named[header]:
        return None, None
    for front, unit in _readings(header):
        name = named.get(header) or spelt.get(letters_of(front), "")
        if name in columns:
            return Mapped(header, columns[name], unit if columns[name].kind else ""), None
        if letters_of(front) == BASIS:
            return Mapped(header, None), None
    given = named.get(header)
    return None, f"the field {given}, which there is not" if given else header


def _readings(header: str) -> Iterator[tuple[str, str]]:
    """A header without and with a unit behind it, the likelier first."""
    if match := _UNIT.fullmatch(header):
        yield match[1], (match[2] or match[3] or "").strip()
    yield header, ""
    if match := _BEHIND.fullmatch(header):
        yield match[1], match[2].strip()


def titles_of(rows: Sequence[tuple[int, Sequence[str]]], slot: str) -> tuple[str, ...]:
    """Return what stands above the headers: rows of one cell that names no field, over wider ones."""
    found: list[str] = []
    for _, row in rows[:-1]:
        filled = [cell for cell in row if cell.strip()]
        if len(filled) > 1 or any(read_headers(slot, filled, where="", named={})[0]):
            return tuple(found)
        found += filled
    return ()
