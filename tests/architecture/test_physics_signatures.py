"""The docstrings of the physics are an executable specification: this holds them to the code."""

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import configurator.physics

# What the equations are written with; neither is an equation, and `array(value)` reads well.
PLUMBING = {"domain", "least_squares", "many_curves", "root"}

MODULES = [
    importlib.import_module(f"configurator.physics.{found.name}")
    for found in pkgutil.iter_modules(configurator.physics.__path__)
]

UNIT = re.compile(r"\[([^\[\]]+)\]$")
SYMBOL = re.compile(r"^(m|kg|s|h|K|Pa|N|J|mol|W|rad|MPa)(\^-?\d+(\.\d+)?)?$")


def short_name(module: ModuleType) -> str:
    return module.__name__.rsplit(".", 1)[-1]


def public_functions() -> Iterator[tuple[str, Callable[..., Any]]]:
    for module in MODULES:
        if short_name(module) in PLUMBING:
            continue
        for name, member in inspect.getmembers(module, inspect.isfunction):
            if not name.startswith("_") and member.__module__ == module.__name__:
                yield f"{short_name(module)}.{name}", member


FUNCTIONS = dict(public_functions())
EACH = pytest.mark.parametrize("name", list(FUNCTIONS))


def section(docstring: str, title: str) -> list[str]:
    """Return the lines of one numpydoc section, dedented."""
    lines = inspect.cleandoc(docstring).splitlines()
    start = next(
        (
            number
            for number, line in enumerate(lines)
            if line == title and lines[number + 1] == "-" * len(title)
        ),
        None,
    )
    if start is None:
        return []
    body = []
    for number in range(start + 2, len(lines)):
        following = lines[number + 1] if number + 1 < len(lines) else ""
        if following and set(following) == {"-"} and lines[number]:
            break
        body.append(lines[number])
    return body


def entries(lines: list[str]) -> dict[str, str]:
    """Return name and joined description of each entry of a section."""
    found: dict[str, str] = {}
    name = ""
    for line in lines:
        if line and not line.startswith(" "):
            name = line.split(" : ")[0]
            found[name] = ""
        elif line.strip():
            found[name] = f"{found[name]} {line.strip()}".strip()
    return found


def is_unit(text: str) -> bool:
    if text in {"-", "curve", "1/s", "1/Pa", "1/K"}:
        return True
    return all(
        SYMBOL.match(part) for part in re.split(r"[*/]", text.replace("(", "").replace(")", ""))
    )


def test_there_are_functions_to_hold() -> None:
    assert len(FUNCTIONS) > 60
    assert {"tube_flow.tube_pressure_drop", "slip.slit_leakage"} <= set(FUNCTIONS)


@EACH
def test_it_takes_its_arguments_by_name_only(name: str) -> None:
    kinds = {parameter.kind for parameter in inspect.signature(FUNCTIONS[name]).parameters.values()}

    # A sum of like parts (*parts) has no order to confuse.
    assert kinds <= {inspect.Parameter.KEYWORD_ONLY, inspect.Parameter.VAR_POSITIONAL}


@EACH
def test_its_docstring_names_the_arguments_of_the_signature_in_their_order(name: str) -> None:
    function = FUNCTIONS[name]

    documented = list(entries(section(function.__doc__ or "", "Parameters")))

    assert documented == list(inspect.signature(function).parameters)


@EACH
def test_each_figure_ends_with_its_unit(name: str) -> None:
    for title in ("Parameters", "Returns"):
        found = entries(section(FUNCTIONS[name].__doc__ or "", title))

        assert found
        for figure, description in found.items():
            unit = UNIT.search(description)
            assert unit, f"{figure} of {name} ends without a [unit]: {description}"
            assert is_unit(unit.group(1)), f"{figure} of {name} has the unit {unit.group(1)!r}"


@EACH
def test_it_names_a_source(name: str) -> None:
    notes = "\n".join(section(FUNCTIONS[name].__doc__ or "", "Notes"))

    assert re.search(r"^Source: \S", notes, flags=re.MULTILINE)


@EACH
def test_it_shows_an_example_or_is_the_same_as_one_that_does(name: str) -> None:
    docstring = FUNCTIONS[name].__doc__ or ""

    assert (
        ">>>" in docstring
        or re.search(r"Source: as `\w+`", docstring)
        or (name == "rabinowitsch.newtonian_rate_ratio")
    )


@pytest.mark.parametrize("module", MODULES, ids=short_name)
def test_the_module_depends_on_numpy_the_standard_library_and_this_package_alone(
    module: ModuleType,
) -> None:
    allowed = {"numpy", "abc", "collections", "copy", "dataclasses", "enum", "functools"}
    allowed |= {"math", "typing"}
    tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))

    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0
            origin = str(node.module)
            assert origin.startswith("configurator.physics.") or origin.split(".", 1)[0] in allowed
        elif isinstance(node, ast.Import):
            assert {name.name.split(".", 1)[0] for name in node.names} <= allowed


@pytest.mark.parametrize("module", MODULES, ids=short_name)
def test_the_module_is_ascii_and_short_enough_to_read(module: ModuleType) -> None:
    text = Path(str(module.__file__)).read_text(encoding="utf-8")

    assert text.isascii()
    assert len(text.splitlines()) <= 360
