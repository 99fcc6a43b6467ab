"""The tables of shipped pairs and of a trial, word for word, so that a changed answer is read by someone."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent


@pytest.fixture(scope="module")
def texts():
    spec = importlib.util.spec_from_file_location("regenerate", FOLDER / "regenerate.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.texts()


@pytest.mark.parametrize(
    "name",
    [
        "lid-sealant.txt",
        "probe-grease.txt",
        "grip-mortar.txt",
        "lid-sealant-shortlist.txt",
        "hull-paste-shortlist.txt",
        "trial-evaluate.txt",
    ],
)
def test_a_table_reads_as_it_was_last_approved(texts, name):
    approved = (FOLDER / name).read_text(encoding="utf-8")

    assert texts[name] == approved, "if meant so, run tests/golden/regenerate.py"


def test_no_golden_text_is_without_a_pair(texts):
    assert {path.name for path in FOLDER.glob("*.txt")} == set(texts)
