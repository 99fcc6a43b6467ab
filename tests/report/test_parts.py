"""A catalog's parts in three forms."""

from __future__ import annotations

import csv
import io
import json

import pytest

from configurator.catalog.parts import SLOTS
from configurator.report.lines import cells
from configurator.report.parts import parts_csv, parts_json, parts_table


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
