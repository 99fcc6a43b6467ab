"""A small catalog cut out of the shipped one, and the real command in a process of its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

KEPT = {
    "size": {"h2"},
    "cavity": {"h2-0.02-2s", "h2-0.02-4s", "h2-0.04-2s", "h2-0.04-4s"},
    "body": {"hard-al", "316l"},
    "rotor": {"316l-s", "alumina-s"},
    "stator": {"nbr-s", "epdm-s", "fkm-s"},
    "seal": {"packed-barrier", "lip-nbr"},
    "drive": {"stepper-0.3", "servo24-0.5"},
    "mixing": {"none"},
    "outlet": {"needle-14g-50", "needle-16g-50", "taper-14g", "taper-14g-black"},
    "feed": {"syringe-10", "syringe-10-black"},
}

Run = Callable[..., subprocess.CompletedProcess[str]]


def cut_catalog(source: Path, target: Path, kept: Mapping[str, set[str]]) -> None:
    """Copy a catalog with the named parts only; text blocks, so that nothing else changes."""
    target.mkdir()
    for path in sorted(source.glob("*.toml")):
        head, *blocks = re.split(r"(?m)^(?=\[\[|\[practice)", path.read_text(encoding="utf-8"))
        for block in blocks:
            named = re.match(r'\[\[(\w+)\]\]\nname = "([^"]+)"', block)
            if named is None or named[2] in kept[named[1]]:
                head += block
        (target / path.name).write_text(head, encoding="utf-8")


@pytest.fixture(scope="session")
def small_catalog(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("catalogs") / "small"
    cut_catalog(ROOT / "catalogs" / "generic", folder, KEPT)
    return folder


@pytest.fixture(autouse=True)
def no_settings_of_the_machine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("HEADWRIGHT_CATALOG", "HEADWRIGHT_DEBUG", "NO_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def headwright() -> Run:
    """The command as people run it: `headwright(*arguments, **environment)`."""

    def run(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "configurator", *map(str, arguments)],
            cwd=ROOT,
            env={**os.environ, **environment},
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
            timeout=120,
        )

    return run
