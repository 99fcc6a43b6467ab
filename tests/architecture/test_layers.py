"""The layers are what DEVELOPERS.md says, and its tables are what the code says."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
import tomllib
from collections import defaultdict

import pytest
from pages import ROOT, table

import configurator.physics

DEVELOPERS = ROOT / "DEVELOPERS.md"
REFERENCE = ROOT / "docs" / "reference"
PACKAGE = ROOT / "configurator"
LINTER = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
    "importlinter"
]
CONTRACT = next(contract for contract in LINTER["contracts"] if contract["type"] == "layers")
LAYERS = [set(layer.strip("()").split(" | ")) for layer in CONTRACT["layers"]]
OPTIONAL = {layer.strip("()") for layer in CONTRACT["layers"] if layer.startswith("(")}


def quoted(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def test_the_layers_are_those_of_the_pipeline_in_their_order() -> None:
    shown = [set(quoted(row[0])) for row in table("table: layers", DEVELOPERS)]

    assert shown == LAYERS


def test_every_module_of_the_package_has_a_layer() -> None:
    placed = set().union(*LAYERS)
    there = {
        path.stem for path in PACKAGE.iterdir() if path.name not in {"__pycache__", "_catalogs"}
    }

    assert CONTRACT["exhaustive"]
    assert placed - OPTIONAL <= there - {"__init__", "__main__"} <= placed


def test_every_folder_of_the_package_says_in_a_line_what_it_holds() -> None:
    folders = [path for path in PACKAGE.rglob("*") if path.is_dir() and any(path.glob("*.py"))]

    assert len(folders) > 8
    for folder in folders:
        tree = ast.parse((folder / "__init__.py").read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), folder


def documented_units() -> dict[str, set[str]]:
    """Unit of each documented name of the physics: the bracket at the end of its text."""
    units: dict[str, set[str]] = defaultdict(set)
    for found in pkgutil.iter_modules(configurator.physics.__path__):
        module = importlib.import_module(f"configurator.physics.{found.name}")
        for _, member in inspect.getmembers(module):
            if getattr(member, "__module__", "") == module.__name__:
                _collect(inspect.getdoc(member) or "", units)
    return units


def _collect(docstring: str, units: dict[str, set[str]]) -> None:
    names: list[str] = []
    for line in docstring.splitlines():
        if entry := re.match(r"([a-z_0-9, ]+) : ", line):
            names = entry[1].split(", ")
        elif line.startswith("    ") and (unit := re.search(r"\[([^\[\]]+)\]$", line)):
            for name in names:
                units[name].add(unit[1])
            names = []


def test_the_nomenclature_is_that_of_the_docstrings() -> None:
    units = documented_units()
    rows = table("table: nomenclature", REFERENCE / "nomenclature.md")

    assert len(rows) > 30
    for row in rows:
        for name in quoted(row[1]):
            assert units[name] == {row[2]}, name


@pytest.mark.parametrize(
    "oracle", ["fluids", "scipy", "rheopy-rheodata", "pint", "chemicals", "ortools"]
)
def test_every_oracle_that_is_named_is_used_by_a_test(oracle: str) -> None:
    module = {"rheopy-rheodata": "rheodata"}.get(oracle, oracle)
    imports = re.compile(rf"^\s*(from|import) {module}\b|importorskip\(\"{module}", re.MULTILINE)
    tests = [path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py")]

    assert any(oracle in row[1] for row in table("table: oracles", REFERENCE / "oracles.md"))
    assert any(imports.search(text) for text in tests)


def test_every_file_that_is_named_exists() -> None:
    text = re.sub(
        r"^```.*?^```$", "", DEVELOPERS.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL
    )
    named = {name for name in quoted(text) if re.fullmatch(r"[\w./-]+/[\w.-]+\.(py|toml|md)", name)}

    assert len(named) > 8
    for name in named:
        assert (ROOT / name).exists() or (PACKAGE / name).exists(), name
