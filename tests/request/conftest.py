"""The shipped examples, and ways to spoil a good file."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli

from configurator.errors import Fault, InputError
from configurator.request.load import material_from, process_from

EXAMPLES = Path(__file__).parents[2] / "catalogs" / "examples"

Spoil = Callable[[dict[str, Any]], None]
FaultsAfter = Callable[[Spoil], tuple[Fault, ...]]


@pytest.fixture
def examples() -> Path:
    return EXAMPLES


def tables(kind: str, name: str) -> dict[str, Any]:
    return tomli.loads((EXAMPLES / kind / f"{name}.toml").read_text("utf-8"))


@pytest.fixture
def sealant() -> dict[str, Any]:
    return tables("materials", "lid-sealant")


@pytest.fixture
def potting() -> dict[str, Any]:
    return tables("materials", "bay-potting")


@pytest.fixture
def bead() -> dict[str, Any]:
    return tables("processes", "lid-bead")


def _after(make: Callable[[dict[str, Any], str], object], good: dict[str, Any]) -> FaultsAfter:
    def faults(spoil: Spoil) -> tuple[Fault, ...]:
        spoiled = copy.deepcopy(good)
        spoil(spoiled)
        with pytest.raises(InputError) as caught:
            make(spoiled, "own.toml")
        return caught.value.faults

    return faults


@pytest.fixture
def sealant_faults(sealant: dict[str, Any]) -> FaultsAfter:
    """Return the faults of the sealant after something was done to it."""
    return _after(material_from, sealant)


@pytest.fixture
def potting_faults(potting: dict[str, Any]) -> FaultsAfter:
    """Return the faults of the two-part potting after something was done to it."""
    return _after(material_from, potting)


@pytest.fixture
def bead_faults(bead: dict[str, Any]) -> FaultsAfter:
    """Return the faults of the bead process after something was done to it."""
    return _after(process_from, bead)
