"""What is imported when: quick commands stay quick because heavy libraries come late."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import configurator

ROOT = Path(__file__).resolve().parents[2]

HEAVY = {"numpy", "pydantic", "pint", "textual", "scipy", "rich", "matplotlib", "constraint"}
NEVER_TO_LIST_BUILDS = {"pint", "textual", "scipy", "rich", "matplotlib", "dask", "jinja2"} | {
    "distributed",
    "pyarrow",
}


def loaded_after(code: str) -> set[str]:
    """Top-level modules in a fresh interpreter after some code, which must not fail."""
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint(*sys.modules, file=sys.stderr)"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    return {name.partition(".")[0] for name in done.stderr.splitlines()[-1].split()}


def test_the_way_of_looking_sees_a_heavy_module():
    assert "numpy" in loaded_after("import numpy")


LIGHT = [
    ["--help"],
    ["builds", "--help"],
    ["catalog", "--help"],
    ["catalog", "check", "--help"],
    ["catalog", "show", "--help"],
    ["examples", "--help"],
    ["screen", "--help"],
    ["--version"],
    ["buildz"],
    ["builds", "a"],
]


@pytest.fixture(scope="module")
def loaded_in_turn() -> list[set[str]]:
    """What one interpreter has loaded after each of the light commands: the sets only grow."""
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            f"""
import sys
from configurator.cli.main import run
for arguments in {LIGHT!r}:
    run(arguments)
    print("loaded:", *sys.modules, flush=True)
""",
        ],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        check=True,
        timeout=120,
    )
    lines = [line.split()[1:] for line in done.stdout.splitlines() if line.startswith("loaded:")]
    return [{name.partition(".")[0] for name in names} for names in lines]


@pytest.mark.parametrize("place", range(len(LIGHT)), ids=[" ".join(each) for each in LIGHT])
def test_help_and_refusals_import_nothing_heavy(loaded_in_turn, place):
    assert "click" in loaded_in_turn[place]
    assert not loaded_in_turn[place] & HEAVY


def test_listing_builds_imports_only_what_it_needs():
    modules = loaded_after(
        "from configurator.cli.main import run\n"
        "assert run(['builds', 'probe-grease', 'plug-grease', '--limit', '1']) == 0"
    )

    assert {"numpy", "pydantic"} <= modules
    assert not modules & NEVER_TO_LIST_BUILDS


def test_configure_loads_no_terminal_library():
    assert not loaded_after("import configurator.workshop.answering") & {
        "textual",
        "rich",
        "click",
        "pint",
    }


def test_the_package_alone_loads_nothing_of_itself():
    modules = loaded_after("import configurator\nassert len(dir(configurator)) > 10")

    assert not modules & HEAVY


def test_every_public_name_is_there():
    assert configurator.Request is configurator.Question
    for name in set(configurator.__all__) - {"Request"}:
        assert getattr(configurator, name).__name__ == name
    assert set(configurator.__all__) <= set(dir(configurator))


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'nonsense'"):
        _ = configurator.nonsense


@pytest.mark.parametrize(
    "first", ["", "import configurator.workshop.answering\n", "from configurator import Answer\n"]
)
def test_configure_is_the_function_whatever_was_imported_before(first):
    loaded_after(f"{first}from configurator import configure\nassert callable(configure)")
