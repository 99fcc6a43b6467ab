"""Fixtures of the tests of runs, and the shipped catalog."""

from __future__ import annotations

import os

import pytest
from screened import QuickJudge
from shipped import shipped_catalog

from configurator.catalog.catalog import Catalog
from configurator.screen import chunk as chunk_module


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> QuickJudge:
    """A judge that makes its answers up at once, and a disk that is not waited for."""
    judge = QuickJudge()
    monkeypatch.setattr(chunk_module, "judge", judge)
    # Thousands of small files: what is asked of the disk counts here, not when it is done.
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    return judge


@pytest.fixture(scope="session")
def shipped() -> Catalog:
    """The catalog that people start with."""
    return shipped_catalog()
