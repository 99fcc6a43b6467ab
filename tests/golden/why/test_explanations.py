"""Explanations of shipped examples, word for word, so that a changed one is read by someone."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

import pytest

FOLDER = Path(__file__).resolve().parent


def _situations():
    spec = importlib.util.spec_from_file_location("regenerate_why", FOLDER / "regenerate_why.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.SITUATIONS


SITUATIONS = _situations()
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.txt"))}


@pytest.mark.parametrize("name", SITUATIONS)
def test_an_explanation_reads_as_it_was_last_approved(name):
    assert SITUATIONS[name]() == TEXTS[name], "if meant so, run tests/golden/why/regenerate_why.py"


def test_at_least_twelve_situations_are_explained_and_none_is_left_over():
    assert set(SITUATIONS) == set(TEXTS)
    assert sum(name.startswith("why_") for name in TEXTS) >= 12


@pytest.mark.parametrize("name", TEXTS)
def test_no_text_promises_what_nobody_can(name):
    assert not re.search(r"\bsafe\b", TEXTS[name], re.IGNORECASE)
    assert "incompatible" not in TEXTS[name]
    assert max(map(len, TEXTS[name].splitlines())) <= 100
    assert TEXTS[name].isascii()


@pytest.mark.parametrize("name", [name for name in TEXTS if name.startswith("why_")])
def test_every_reason_has_a_number_or_a_verdict_with_its_basis(name):
    text = " ".join(TEXTS[name].split())
    for reason in re.findall(r"\d\. '[^']+' (?:takes out|lets no|shuts out).*?\)\.", text):
        assert re.search(
            r"basis (measured|published|datasheet|common|from memory|invented|est)", reason
        )
        assert re.search(r"\d", reason) or "not satisfactory" in reason
