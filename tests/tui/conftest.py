"""Makes the ways of this folder importable, and keeps every test away from the user's session."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

HERE = str(Path(__file__).parent)

if HERE not in sys.path:
    sys.path.insert(0, HERE)


@pytest.fixture(autouse=True)
def _own_session(tmp_path, monkeypatch):
    monkeypatch.setenv("HEADWRIGHT_SESSION", str(tmp_path / "session"))
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture(scope="session")
def shipped():
    from shipped import shipped_catalog

    return shipped_catalog()


@pytest.fixture(scope="session")
def examples(tmp_path_factory):
    from tui_worlds import write_examples

    return write_examples(tmp_path_factory.mktemp("examples"))


@pytest.fixture
def bench(examples):
    from tui_worlds import small_catalog

    from configurator.tui.review.rebuilt import Bench
    from configurator.workshop.workshop import Workshop

    return Bench(Workshop(small_catalog()), examples)
