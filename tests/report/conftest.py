"""Answers of shipped examples, worked out once for all tests of the reports."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from shipped import shipped_answer, shipped_catalog

from configurator.catalog.catalog import Catalog
from configurator.workshop.answer import Answer

Ask = Callable[..., Answer]


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    return shipped_catalog()


@pytest.fixture(scope="session")
def ask() -> Ask:
    """The answer for a shipped material and process, with picks as keywords."""
    return shipped_answer


@pytest.fixture(scope="session")
def sealant(ask: Ask) -> Answer:
    """Builds, all of them unproven, with gaps and cautions."""
    return ask("lid-sealant", "lid-bead")


@pytest.fixture(scope="session")
def grease(ask: Ask) -> Answer:
    """Builds of which some fit."""
    return ask("probe-grease", "plug-grease")


@pytest.fixture
def golden() -> Path:
    return Path(__file__).resolve().parents[1] / "golden"
