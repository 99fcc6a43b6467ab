"""A catalog's parts, the shipped examples and an audit, each in three forms."""

from __future__ import annotations

import csv
import io
import json

import pytest

from configurator.catalog.checking import AuditNote
from configurator.catalog.load import shipped_folder
from configurator.catalog.parts import SLOTS
from configurator.report.catalog import (
    audit_csv,
    audit_json,
    audit_table,
    examples_csv,
    examples_json,
    examples_table,
    parts_csv,
    parts_json,
    parts_table,
)
from configurator.report.lines import cells
from configurator.request.load import load_material, load_process, material_files, process_files


@pytest.mark.parametrize("slots", [SLOTS, *((slot,) for slot in SLOTS)], ids=len)
def test_the_table_names_every_part_within_its_width(catalog, slots):
    text = parts_table(catalog, slots, width=80)

    assert max(cells(line) for line in text.splitlines()) <= 80
    for slot in slots:
        assert all(part.name in text for part in catalog.parts[slot])


def test_one_slot_shows_all_that_its_parts_state(catalog):
    text = " ".join(parts_table(catalog, ("drive",)).split())

    for part in catalog.parts["drive"]:
        assert f"torque_peak {part.torque_peak.text} ({part.torque_peak.basis.value})" in text


def test_json_has_text_basis_and_bounds_of_each_quantity(catalog):
    data = json.loads(parts_json(catalog, ("cavity",)))
    first = catalog.parts["cavity"][0]

    assert list(data) == ["schema", "catalog", "parts"]
    shown = data["parts"]["cavity"][0]
    assert shown["name"] == first.name
    assert shown["displacement"]["value"] == first.displacement.text
    assert shown["displacement"]["basis"] == first.displacement.basis.value
    assert shown["displacement"]["low"] == pytest.approx(first.displacement.low, rel=1e-5)
    assert shown["rated_elastomer"]["fluid"] == first.rated_elastomer.fluid


def test_json_says_null_for_what_a_part_does_not_state(catalog):
    (shown,) = json.loads(parts_json(catalog, ("mixing",)))["parts"]["mixing"][:1]

    assert catalog.parts["mixing"][0].bore is None
    assert shown["bore"] is None


def test_csv_is_a_row_a_part(catalog):
    rows = list(csv.DictReader(io.StringIO(parts_csv(catalog, SLOTS))))

    assert [(row["slot"], row["name"]) for row in rows] == [
        (slot, part.name) for slot in SLOTS for part in catalog.parts[slot]
    ]


FOLDER = shipped_folder() / "examples"


@pytest.fixture(scope="module")
def materials():
    return [load_material(name, folder=FOLDER) for name in material_files(FOLDER)]


@pytest.fixture(scope="module")
def processes():
    return [load_process(name, folder=FOLDER) for name in process_files(FOLDER)]


def test_the_table_has_every_name_and_title(materials, processes):
    text = examples_table(materials, processes)

    for entry in (*materials, *processes):
        assert entry.name in text
        assert entry.title in text
    assert "All of them are invented." in text


def test_a_real_entry_is_not_called_invented(materials, processes):
    real = materials[0].model_copy(update={"invented": False})

    assert "invented" not in examples_table([real], [])
    assert "invented" in examples_table(materials, processes)


def test_json_and_csv_list_the_same(materials, processes):
    data = json.loads(examples_json(materials, processes))
    rows = list(csv.DictReader(io.StringIO(examples_csv(materials, processes))))

    names = [entry["name"] for entry in (*data["materials"], *data["processes"])]
    assert [row["name"] for row in rows] == names
    assert len(names) == len(materials) + len(processes) >= 16


NOTES = (
    AuditNote("error", "figures are in range", "cavity h1", "stages", "0 is out of range"),
    AuditNote("warning", "every part fits something", "feed x", "", "fits nothing"),
)


def test_the_table_has_a_line_a_note_and_a_count(catalog):
    text = audit_table(catalog, NOTES, width=200)

    assert text.splitlines()[:2] == [note.line() for note in NOTES]
    assert text.splitlines()[2].endswith("1 error, 1 warning")
    assert text.splitlines()[3].startswith("elastomers: changes of volume ")


def test_a_clean_catalog_has_the_count_alone(catalog):
    text = audit_table(catalog, (), width=200)

    assert text.count("\n") == 2
    assert text.splitlines()[0].endswith("0 errors, 0 warnings")


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
