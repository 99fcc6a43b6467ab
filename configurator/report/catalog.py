"""What can be chosen from, as table, JSON or CSV: parts of a catalog, examples, and an audit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from pydantic import BaseModel

from configurator.catalog.catalog import Catalog
from configurator.catalog.checking import AuditNote
from configurator.catalog.parts import Part
from configurator.catalog.records import records_by_basis
from configurator.report.heading import catalog_in_words, invented_in_words
from configurator.report.lines import WIDTH, columns, wrapped
from configurator.report.machine import answer_json, csv_text, data_of, number
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.units.display import plural
from configurator.units.path import leaves
from configurator.units.quantity import Quantity

_NAMED_ABOVE = ("name", "title", "note")
_NOTE = ("severity", "check", "where", "field", "text")


def parts_table(catalog: Catalog, slots: Sequence[str], *, width: int = WIDTH) -> str:
    """Return the parts of some slots as text: names and titles, figures for a single slot."""
    blocks = [
        [
            *wrapped(catalog_in_words(catalog), width),
            *wrapped(f"{invented_in_words(catalog)}.".capitalize(), width),
        ]
    ]
    for slot in slots:
        parts = catalog.slot(slot)
        head = f"{slot}: {plural(len(parts), 'part')}"
        if len(slots) == 1:
            blocks.append([head])
            blocks += [_in_full(part, width) for part in parts]
        else:
            blocks.append([head, *_titles(parts, width)])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _titles(entries: Sequence[Part | Material | Process], width: int) -> list[str]:
    laid_out = columns(("", ""), [(f"  {entry.name}", entry.title) for entry in entries], width)
    return [line for lines in laid_out[1:] for line in lines]


def _in_full(part: Part, width: int) -> list[str]:
    lines = wrapped(f"{part.name}: {part.title}", width, rest="    ")
    stated = "; ".join(f"{field} {text}" for field, text in stated_of(part))
    lines += wrapped(stated, width, first="    ", rest="    ")
    return lines + (wrapped(part.note, width, first="    ", rest="    ") if part.note else [])


def stated_of(part: Part) -> Iterator[tuple[str, str]]:
    """Yield each field that a part states, as people read it."""
    for path, value in leaves(part):
        if isinstance(value, Quantity):
            yield path, f"{value.text} ({value.basis.value})"
        elif isinstance(value, bool):
            yield path, "yes" if value else "no"
        elif isinstance(value, tuple):
            yield path, ", ".join(value)
        elif path not in _NAMED_ABOVE:
            yield path, str(value)


def parts_json(catalog: Catalog, slots: Sequence[str]) -> str:
    """Return the parts of some slots as JSON, each quantity with its text, basis and SI range."""
    return answer_json(
        catalog=data_of(catalog, "name", "sha256"),
        parts={slot: [_plain(part) for part in catalog.slot(slot)] for slot in slots},
    )


def _plain(value: object) -> Any:
    if isinstance(value, Quantity):
        return {key: _plain(entry) for key, entry in value.as_json().items()}
    if isinstance(value, BaseModel):
        return {field: _plain(getattr(value, field)) for field in type(value).model_fields}
    if isinstance(value, tuple):
        return [_plain(entry) for entry in value]
    return number(value) if isinstance(value, float) else value


def parts_csv(catalog: Catalog, slots: Sequence[str]) -> str:
    """Return the parts of some slots as CSV: slot, name, and each field that one of them has."""
    rows = [
        {"slot": slot, "name": part.name, "title": part.title, **dict(stated_of(part))}
        | ({"note": part.note} if part.note else {})
        for slot in slots
        for part in catalog.slot(slot)
    ]
    heads = list(dict.fromkeys(head for row in rows for head in row))
    return csv_text(heads, ([row.get(head) for head in heads] for row in rows))


def origins_in(catalog: Catalog, slot: str | None, *, form: str, width: int = WIDTH) -> str:
    """Return what layers added, replaced and withdrew, as text, JSON or CSV."""
    rows = [
        (*what.split(" ", 1), words)
        for what, words in catalog.origins.items()
        if slot in (None, what.partition(" ")[0])
    ]
    if form == "csv":
        return csv_text(("slot", "name", "origin"), rows)
    if form == "json":
        entries = [dict(zip(("slot", "name", "origin"), row, strict=True)) for row in rows]
        return answer_json(catalog=data_of(catalog, "name", "sha256"), origins=entries)
    laid_out = columns(("", ""), [(f"  {kind} {name}", words) for kind, name, words in rows], width)
    lines = [line for block in laid_out[1:] for line in block]
    told = lines or ["Nothing lies over another catalog: all parts are its own."]
    return "\n".join([*wrapped(catalog_in_words(catalog), width), "", *told]) + "\n"


def examples_table(
    materials: Sequence[Material], processes: Sequence[Process], *, width: int = WIDTH
) -> str:
    """Return the shipped examples as text."""
    blocks = []
    for head, entries in (("Materials", materials), ("Processes", processes)):
        blocks.append([head, *_titles(entries, width)])
    invented = all(entry.invented for entries in (materials, processes) for entry in entries)
    blocks.append(
        wrapped(
            ("All of them are invented. " if invented else "")
            + "To list the builds for one of each: headwright builds MATERIAL PROCESS",
            width,
        )
    )
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def examples_json(materials: Sequence[Material], processes: Sequence[Process]) -> str:
    """Return the shipped examples as JSON."""
    return answer_json(
        materials=[data_of(entry, "name", "title", "invented") for entry in materials],
        processes=[data_of(entry, "name", "title", "invented") for entry in processes],
    )


def examples_csv(materials: Sequence[Material], processes: Sequence[Process]) -> str:
    """Return the shipped examples as CSV."""
    rows = [("material", entry.name, entry.title) for entry in materials]
    rows += [("process", entry.name, entry.title) for entry in processes]
    return csv_text(("kind", "name", "title"), rows)


def audit_table(catalog: Catalog, notes: Sequence[AuditNote], *, width: int = WIDTH) -> str:
    """Return an audit as text: each note, then how many there are."""
    lines = [line for note in notes for line in wrapped(note.line(), width, rest="  ")]
    errors = sum(note.severity == "error" for note in notes)
    parts = sum(len(parts) for parts in catalog.parts.values())
    verdict = (
        f"{catalog_in_words(catalog)}: {plural(parts, 'part')}, {plural(errors, 'error')}, "
        f"{plural(len(notes) - errors, 'warning')}"
    )
    lines += [*wrapped(verdict, width), *wrapped(records_by_basis(catalog.substances), width)]
    return "\n".join(lines) + "\n"


def audit_json(catalog: Catalog, notes: Sequence[AuditNote]) -> str:
    """Return an audit as JSON."""
    return answer_json(
        catalog=data_of(catalog, "name", "sha256"),
        notes=[data_of(note, *_NOTE) for note in notes],
    )


def audit_csv(notes: Sequence[AuditNote]) -> str:
    """Return an audit as CSV, one row a note."""
    return csv_text(_NOTE, (list(data_of(note, *_NOTE).values()) for note in notes))
