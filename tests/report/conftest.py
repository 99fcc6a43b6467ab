"""Answers of shipped examples, worked out once for all tests of the reports."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

EXAMPLES = shipped_folder() / "examples"

Ask = Callable[..., Answer]


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    shipped = shipped_folder()
    return load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")


@pytest.fixture(scope="session")
def ask(catalog: Catalog) -> Ask:
    """The answer for a shipped material and process, with picks as keywords."""

    @cache
    def answer(material: str, process: str, **picks: str) -> Answer:
        question = Question(
            material=load_material(material, folder=EXAMPLES),
            process=load_process(process, folder=EXAMPLES),
            picks=picks,
        )
        return Workshop(catalog).answer(question)

    return answer


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
