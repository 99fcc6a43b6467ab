"""Audit notes in three forms."""

from __future__ import annotations

import json

from configurator.catalog.audit import AuditNote
from configurator.report.audit import audit_csv, audit_json, audit_table

NOTES = (
    AuditNote("error", "figures are in range", "cavity h1", "stages", "0 is out of range"),
    AuditNote("warning", "every part fits something", "feed x", "", "fits nothing"),
)


def test_the_table_has_a_line_a_note_and_a_count(catalog):
    text = audit_table(catalog, NOTES, width=200)

    assert text.splitlines()[:2] == [note.line() for note in NOTES]
    assert text.endswith("1 error, 1 warning\n")


def test_a_clean_catalog_has_the_count_alone(catalog):
    text = audit_table(catalog, (), width=200)

    assert text.count("\n") == 1
    assert text.endswith("0 errors, 0 warnings\n")


def test_json_and_csv_have_every_field(catalog):
    data = json.loads(audit_json(catalog, NOTES))

    assert [tuple(note.values()) for note in data["notes"]] == [
        (note.severity, note.check, note.where, note.field, note.text) for note in NOTES
    ]
    assert audit_csv(NOTES).splitlines()[2] == (
        "warning,every part fits something,feed x,,fits nothing"
    )


def test_escapes_in_a_note_are_shown(catalog):
    note = AuditNote("error", "c", "size \x1b[31m", "f", "t")

    for text in (audit_table(catalog, (note,)), audit_json(catalog, (note,)), audit_csv((note,))):
        assert "\x1b" not in text
