"""Invented duties, with what a practitioner would take as the first head and what not."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from configurator.catalog.parts import Mixing, Outlet, Part, Rotor, Stator
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.units.interval import Basis
from configurator.workshop.told import RankedBuild
from configurator.workshop.workshop import Workshop
from tests.support.shipped import shipped_catalog

HERE = Path(__file__).parent
SAID = {"basis": Basis.DATASHEET}
FILLED = {
    "temperature": "19..26 degC",
    "feed_pressure": "2 bar",
    "longest_stop": "10 min",
    "mixing_quality": "5 %",
}
CERAMIC_FROM, HARD_FROM = 1200.0, 300.0
"""Vickers hardness of a rotor that counts as ceramic, and as hard (common practice, no source)."""


@dataclass(frozen=True)
class Duty:
    """One case."""

    name: str
    question: Question
    accept: Mapping[str, Any]
    refuse: Mapping[str, Any]
    because: str

    @property
    def first(self) -> RankedBuild | None:
        """The head that the list begins with."""
        return Workshop(shipped_catalog()).answer(self.question).first

    def objections(self, build: RankedBuild) -> list[str]:
        """What a practitioner has against a build."""
        found = []
        for key, wanted in self.accept.items():
            found += [
                f"{at} is {value}, not {wanted}"
                for at, value in _read(build, key)
                if not _within(value, wanted)
            ]
        for key, unwanted in self.refuse.items():
            found += [
                f"{at} is {value}" for at, value in _read(build, key) if _within(value, unwanted)
            ]
        return found


def _within(value: Any, wanted: Any) -> bool:
    if isinstance(wanted, list):
        return value in wanted
    low, high = (float(end) for end in wanted.split()[0].split(".."))
    return value is not None and low <= value <= high


def _rotor(part: Part) -> str:
    assert isinstance(part, Rotor)
    if part.material == "PEEK":
        return "plastic"
    hardness = part.hardness.interval.nominal
    return "ceramic" if hardness >= CERAMIC_FROM else "hard" if hardness >= HARD_FROM else "soft"


def _stator(part: Part) -> str:
    assert isinstance(part, Stator)
    return part.material


def _mixing(part: Part) -> str:
    assert isinstance(part, Mixing)
    return part.kind


def _elements(part: Part) -> float | None:
    assert isinstance(part, Mixing)
    return None if part.elements is None else part.elements.interval.nominal


def _bore(part: Part) -> float:
    assert isinstance(part, Outlet)
    return part.bore.interval.nominal * 1e3


OF_PART: dict[str, tuple[str, Callable[[Part], Any]]] = {
    "size": ("size", lambda part: part.name),
    "rotor": ("rotor", _rotor),
    "stator": ("stator", _stator),
    "mixing": ("mixing", _mixing),
    "elements": ("mixing", _elements),
    "bore": ("outlet", _bore),
}
OF_FIGURES = {"speed": ("speed_low_rpm", "speed_high_rpm"), "turns": ("shot_revolutions",)}


def _read(build: RankedBuild, key: str) -> Iterator[tuple[str, Any]]:
    if key in OF_FIGURES:
        yield from ((name, build.figures[name]) for name in OF_FIGURES[key])
        return
    head, _, plain = key.rpartition(".")
    slot, read = OF_PART[plain]
    for name, part in build.parts.items():
        prefix, _, its = name.rpartition(".")
        if its == slot and (not head or prefix == head):
            yield f"{name} {part.name}: {plain}", read(part)


@cache
def duties() -> dict[str, Duty]:
    """All of them by name."""
    materials = tomllib.loads((HERE / "materials.toml").read_text("utf-8"))
    rows = tomllib.loads((HERE / "duties.toml").read_text("utf-8"))["duty"]
    return {row["name"]: _duty(row, materials[row["material"]]) for row in rows}


def _duty(row: dict[str, Any], material: dict[str, Any]) -> Duty:
    common = {"schema": 1, "invented": True}
    asked = {
        key: row[key]
        for key in ("deposit", "tolerance", "production", "room_temperature", *FILLED)
        if key in row
    }
    made = Material.model_validate(
        {**common, "name": row["material"], "title": row["material"], **material}, context=SAID
    )
    filled = {key: value for key, value in FILLED.items() if made.two_part or key[0] != "m"}
    process = {**common, "name": "duty", "title": row["name"], **filled, **asked}
    question = Question(made, Process.model_validate(process, context=SAID))
    return Duty(row["name"], question, row["accept"], row["refuse"], row["because"])
