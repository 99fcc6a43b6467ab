"""A small catalog with examples on disk, and the states in which screens are compared: invented."""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

from small_tables import MATERIAL, PROCESS
from small_world import World

from configurator.catalog.catalog import Catalog
from configurator.tui.document import FOLDERS
from configurator.tui.session import Session
from configurator.units.toml_text import toml_text
from configurator.workshop.workshop import Workshop

HOSTILE = "[bold red]\x1b[31mtip[/] {x} $y"
"""A title that a careless screen would run: markup and an escape sequence."""


def _changed(base: dict[str, Any], **changes: Any) -> dict[str, Any]:
    tables = copy.deepcopy(base)
    for path, value in changes.items():
        node = tables
        *steps, last = path.split("__")
        for step in steps:
            node = node.setdefault(step, {})
        if value is None:
            node.pop(last, None)
        else:
            node[last] = value
    return tables


ONE = MATERIAL["component"]

TWO_PART = {
    **{key: MATERIAL[key] for key in ("schema",)},
    "name": "pair",
    "title": "An invented pair",
    "trigger": "two-part",
    "a": ONE,
    "b": ONE,
    "mix": {
        "ratio": ["1", "1"],
        "by": "volume",
        "ratio_tolerance": "5 %",
        "pot_life": {"value": "60 min", "at": "23 degC", "definition": "viscosity doubles"},
    },
}

MATERIALS = {
    "plain": _changed(MATERIAL),
    "gritty": _changed(
        MATERIAL,
        name="gritty",
        title="An invented liquid with coarse grit",
        component__filler={
            "name": "quartz",
            "volume_fraction": "30 %",
            "d99": "1.5 mm",
            "mohs": "7 Mohs",
            "shape": "irregular",
        },
        component__constituents=[{"name": "plainol", "mass_fraction": "20 %"}],
        component__complete=False,
    ),
    "unseen": _changed(
        MATERIAL,
        name="unseen",
        title="An invented liquid of which little is known",
        component__constituents=[{"name": "mysterol", "mass_fraction": "100 %"}],
    ),
    "pair": TWO_PART,
}

PROCESSES = {
    "flow": _changed(PROCESS, name="flow", deposit__flow="48..60 mL/min", tolerance="2 %"),
    "mixed": _changed(
        PROCESS, name="mixed", deposit__flow="60 mL/min", tolerance="5 %", mixing_quality="10 %"
    ),
}

PARTS: dict[str, list[dict[str, Any]]] = {
    "cavity": [
        {},
        {"name": "two-ml", "displacement": "2 mL/rev", "stages": 4, "cost_index": 3},
        {"name": "tall-two-ml", "size": "tall", "displacement": "2 mL/rev", "stages": 4},
    ],
    "body": [{}, {"name": "brass", "material": "BRASS", "pressure_max": "60 bar"}],
    "stator": [{}, {"name": "stiff", "pressure_factor": 1.5, "cost_index": 2}],
    "seal": [{}, {"name": "weak", "pressure_max": "2 bar"}],
    "drive": [
        {},
        {"name": "slow", "speed_max": "62 rpm", "cost_index": 0.5},
        {"name": "bus", "control": ["fieldbus"], "cost_index": 2},
    ],
    "outlet": [
        {},
        {"name": "wide", "bore": "4 mm", "entry_bore": "4 mm", "cost_index": 2},
        {"name": "odd", "title": HOSTILE, "length": "12 mm"},
    ],
}


@cache
def small_catalog() -> Catalog:
    """A catalog with a few parts a slot, one of them with a hostile title."""
    return World().with_parts(PARTS).catalog


def write_examples(folder: Path) -> Path:
    """Write the materials and processes where a session looks for examples."""
    for kind, tables in (("material", MATERIALS), ("process", PROCESSES)):
        place = folder / FOLDERS[kind]  # type: ignore[index]
        place.mkdir(parents=True, exist_ok=True)
        for name, table in tables.items():
            (place / f"{name}.toml").write_text(toml_text(table), encoding="utf-8")
    return folder


def asked(examples: Path, material: str = "", process: str = "") -> Session:
    """A session with a question put to it."""
    session = Session(Workshop(small_catalog()), examples)
    if material:
        session.open("material", material)
        session.open("process", process)
    return session
