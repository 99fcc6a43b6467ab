"""Every check number of the physics, held to its last printed digit."""

import importlib
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from bases import BASES

from configurator.physics import rheology

CHECKS = tomllib.loads((Path(__file__).parent / "physics_checks.toml").read_text(encoding="utf-8"))[
    "check"
]


def worked_out(value: Any) -> Any:
    """Return a number, or what a nested table of curve or function stands for."""
    if not isinstance(value, dict):
        return value
    if "model" in value:
        parameters = {name: given for name, given in value.items() if name != "model"}
        return getattr(rheology, value["model"])(**parameters)
    module, name = value["function"].split(".")
    function = getattr(importlib.import_module(f"configurator.physics.{module}"), name)
    return function(**{key: worked_out(given) for key, given in value["given"].items()})


def last_digit(text: str) -> float:
    """Return the worth of the last printed digit."""
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return float(Decimal(1).scaleb(exponent))


@pytest.mark.parametrize("check", CHECKS, ids=[check["name"] for check in CHECKS])
def test_the_number_agrees_to_its_last_printed_digit(check: dict[str, Any]) -> None:
    result = worked_out(check) * check.get("scale", 1.0)

    if check.get("exact"):
        assert result == float(check["expect"])
    else:
        # Half a digit, and a hair for numbers printed right on the edge of rounding.
        assert abs(result - float(check["expect"])) <= 0.5001 * last_digit(check["expect"])


def test_every_number_names_its_source_and_basis() -> None:
    assert {check["basis"] for check in CHECKS} <= set(BASES)
    assert all(check["source"].strip() for check in CHECKS)
    assert len({check["name"] for check in CHECKS}) == len(CHECKS)
