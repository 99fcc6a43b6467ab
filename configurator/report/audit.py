"""What an audit found in a catalog, as table, JSON or CSV."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.catalog.audit import AuditNote
from configurator.catalog.catalog import Catalog
from configurator.report.heading import catalog_in_words
from configurator.report.lines import wrapped
from configurator.report.machine import csv_text, json_text
from configurator.report.table import WIDTH
from configurator.units.display import plural

SCHEMA = 1


def audit_table(catalog: Catalog, notes: Sequence[AuditNote], *, width: int = WIDTH) -> str:
    """Return an audit as text: each note, then how many there are."""
    lines = [line for note in notes for line in wrapped(note.line(), width, rest="  ")]
    errors = sum(note.severity == "error" for note in notes)
    parts = sum(len(parts) for parts in catalog.parts.values())
    verdict = (
        f"{catalog_in_words(catalog)}: {plural(parts, 'part')}, {plural(errors, 'error')}, "
        f"{plural(len(notes) - errors, 'warning')}"
    )
    return "\n".join([*lines, *wrapped(verdict, width)]) + "\n"


def audit_json(catalog: Catalog, notes: Sequence[AuditNote]) -> str:
    """Return an audit as JSON."""
    return json_text(
        {
            "schema": SCHEMA,
            "catalog": {"name": catalog.name, "sha256": catalog.sha256},
            "notes": [
                {
                    "severity": note.severity,
                    "check": note.check,
                    "where": note.where,
                    "field": note.field,
                    "text": note.text,
                }
                for note in notes
            ],
        }
    )


def audit_csv(notes: Sequence[AuditNote]) -> str:
    """Return an audit as CSV, one row a note."""
    heads = ("severity", "check", "where", "field", "text")
    return csv_text(heads, ([getattr(note, head) for head in heads] for note in notes))
