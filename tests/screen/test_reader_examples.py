"""The examples in the docstrings of the readers are true."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest


@pytest.mark.parametrize(
    "name", ["cells", "changes_text", "csv_rows", "header", "results", "row_material"]
)
def test_the_examples_of_a_module_are_true(name: str) -> None:
    found = doctest.testmod(import_module(f"configurator.screen.{name}"))

    assert found.attempted
    assert not found.failed
