"""The shipped examples in three forms."""

from __future__ import annotations

import csv
import io
import json

import pytest

from configurator.catalog.load import shipped_folder
from configurator.report.examples import examples_csv, examples_json, examples_table
from configurator.request.load import load_material, load_process, material_files, process_files

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
