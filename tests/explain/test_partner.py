"""Which shipped process a shipped material is obviously meant for."""

from __future__ import annotations

from pathlib import Path

import pytest

from configurator.explain.material_check import partner_of
from configurator.request.load import load_process, process_files

EXAMPLES = Path(__file__).resolve().parents[2] / "catalogs" / "examples"
PROCESSES = [load_process(name, folder=EXAMPLES) for name in process_files(EXAMPLES)]


@pytest.mark.parametrize(
    ("material", "process"),
    [
        ("lid-sealant", "lid-bead"),
        ("bay-potting", "bay-potting-pour"),
        ("bay-epoxy", "bay-pour"),
        ("bracket-acrylate", "bracket-bead"),
        ("thread-retainer", None),
        ("no-such-thing", None),
    ],
)
def test_a_partner_is_named_by_a_note_or_begins_alike(material, process):
    found = partner_of(material, PROCESSES)

    assert (None if found is None else found.name) == process


def test_two_that_begin_alike_are_not_obvious():
    lid = next(process for process in PROCESSES if process.name == "lid-bead")
    other = lid.model_copy(update={"name": "lid-dots"})

    assert partner_of("lid-sealant", [lid, other]) is None
