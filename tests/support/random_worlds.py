"""Random small catalogs and requests: a few parts a slot, figures near the limits of the rules.

Figures are drawn from short lists around the base world's, so that rules are often just met or
just missed, and so that parts differ in what a rule reads.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from small_world import RATED, WORLD, Table, World

MOST_BUILDS = 1500
"""Combinations up to which brute force stays quick."""

FIGURES: dict[str, dict[str, list[Any]]] = {
    "size": {
        "dry_mass": ["0.4 kg", "1 kg", "2 kg"],
        "pressure_max": ["2 bar", "40 bar"],
        "joints": [["luer lock"], ["threaded"], ["luer lock", "threaded"]],
    },
    "cavity": {
        "eccentricity": ["1 mm", "0.5 mm"],
        "rotor_diameter": ["10 mm", "6 mm"],
        "displacement": ["1 mL/rev", "0.3 mL/rev", "3 mL/rev"],
        "stages": [1, 2, 4],
        "stage_pressure": ["12 bar", "1.5 bar"],
        "stage_pressure_abrasive": ["6 bar", "1 bar"],
        "opening_pressure": ["10 bar", "0.5 bar", "0.05 bar"],
        "rated_rigid": [RATED, None, {**RATED, "efficiency": "60 %"}],
        "rated_elastomer": [
            RATED,
            {**RATED, "pressure": "80 bar"},
            {**RATED, "pressure": "80 bar", "fluid": "own material", "efficiency": "70 %"},
        ],
    },
    "body": {
        "material": ["GOOD", "GOOD", "FAIR", "BAD", "UNSEEN", "BRASS"],
        "pressure_max": ["40 bar", "2.5 bar"],
        "mass_share": [1, 0.5],
    },
    "rotor": {"surface": ["GOOD", "STEEL", "BAD"], "hardness": ["1000 HV", "150 HV"]},
    "stator": {
        "material": ["GOOD", "FAIR", "UNSEEN", "BAD"],
        "kind": ["elastomer", "rigid"],
        "pressure_factor": [1, 0.5],
        "friction_factor": [1, 2],
        "temperature_high": ["100 degC", "30 degC", "24 degC"],
    },
    "seal": {
        "materials": [["GOOD"], ["GOOD", "FAIR"], ["BAD", "GOOD"]],
        "pressure_max": ["40 bar", "2.9 bar"],
        "speed_max": ["300 rpm", "65 rpm"],
        "filler_max": ["clean", "mild", "hard", "very hard"],
        "keeps_moisture_out": [True, False],
    },
    "drive": {
        "torque_continuous": ["2 N*m", "0.15 N*m", "0.3 N*m"],
        "torque_peak": ["4 N*m", "0.2 N*m"],
        "speed_min": ["1 rpm", "30 rpm"],
        "speed_max": ["200 rpm", "61 rpm"],
        "counts_per_turn": [1000, 40],
        "mass": ["500 g", "1.3 kg"],
        "control": [["0-10 V"], ["fieldbus"], ["fieldbus", "0-10 V"]],
        "explosive_atmosphere": [True, False, None],
    },
    "outlet": {
        "bore": ["2 mm", "0.8 mm", "1.2 mm", "4 mm"],
        "entry_bore": ["4 mm", "6 mm"],
        "length": ["10 mm", "25 mm"],
        "outside_diameter": ["5 mm", "7 mm"],
        "material": ["GOOD", "FAIR"],
        "joint": ["luer lock", "threaded"],
        "pressure_max": ["40 bar", "5 bar"],
        "passes_light": [False, True],
    },
    "feed": {
        "materials": [["GOOD"], ["FAIR"], ["UNSEEN"]],
        "pressure_max": ["10 bar", "0.5 bar"],
        "viscosity_max": ["100 Pa*s", "12 Pa*s"],
        "line_length": ["0.1 m", "5 m"],
        "carried_mass": ["300 g", "20 g"],
        "keeps_moisture_out": [True, False],
        "stirred": [True, False],
        "air_over_material": [True, False],
    },
}

FLOWS: list[Table] = [
    {"model": "newtonian", "viscosity": "10 Pa*s"},
    {"model": "newtonian", "viscosity": "10 Pa*s +/- 30 %"},
    {"model": "newtonian", "viscosity": "50 mPa*s"},
    {"model": "power law", "consistency": "20 Pa*s^n", "index": 0.5},
    {"model": "herschel-bulkley", "yield_stress": "50 Pa", "consistency": "5 Pa*s^n", "index": 0.6},
    {"viscosity": "10 Pa*s"},
    {"viscosity": "3 Pa*s", "shear_rate": "10 1/s"},
]

ENERGIES = ["0 kJ/mol", "40 kJ/mol", "30..60 kJ/mol", None]

FILLERS: list[Table | None] = [
    None,
    None,
    {"name": "mystery", "d99": "100 um"},
    {"name": "mystery", "d99": "0.3 mm", "mohs": "7 Mohs", "shape": "sphere"},
    {"name": "mystery", "d50": "60 um", "mohs": "3 Mohs", "volume_fraction": "20 %"},
    {"name": "glass bubbles", "hollow": True, "d99": "80 um", "crush_pressure": "20 bar"},
]

DEPOSITS: list[Table] = [
    {"kind": "flow", "flow": "60 mL/min"},
    {"kind": "flow", "flow": "30..60 mL/min", "shot": "0.5..1 mL"},
    {"kind": "dots", "volume": "1 mL", "dispense_time": "1 s"},
    {"kind": "dots", "diameter": "6 mm", "height": "2 mm", "dispense_time": "0.1 s"},
    {"kind": "bead", "width": "3 mm", "contact_angle": "60 deg", "path_speed": "100 mm/s"},
    {
        "kind": "potting",
        "volume": "60 mL",
        "fill_time": "50..60 s",
        "free_area": "10 cm^2",
        "rise_rate_max": "1.1 mm/s",
    },
]

CARRIERS: list[Table] = [
    {},
    {"payload": "2.5 kg"},
    {"payload": "2 kg", "moment": "1.7 N*m", "lever": "80 mm"},
]


def part_tables(slot: str, size_names: list[str]) -> st.SearchStrategy[Table]:
    """A part that differs from the base one in some of its figures."""
    figures: dict[str, st.SearchStrategy[Any]] = {
        name: st.sampled_from(values) for name, values in FIGURES[slot].items()
    }
    figures["cost_index"] = st.integers(1, 4)
    if slot == "cavity":
        figures["size"] = st.sampled_from(size_names)
    elif slot not in ("size", "outlet"):
        figures["sizes"] = st.sampled_from([size_names, size_names, size_names[:1]])
    return st.fixed_dictionaries({}, optional=figures)


def named(slot: str, tables: list[Table]) -> list[Table]:
    """Names that do not stand in the order of the list, so that sorting has something to do."""
    letters = "cabed"
    return [{**table, "name": f"{letters[at]}-{slot}"} for at, table in enumerate(tables)]


@st.composite
def worlds(draw: st.DrawFn, *, picking: bool = True) -> World:
    """A small catalog and a request of it, some data missing, some parts picked or excluded."""
    parts: dict[str, list[Table]] = {}
    left = MOST_BUILDS
    sizes: list[str] = []
    for slot in FIGURES:
        most = min(3, left)
        tables = draw(
            st.lists(part_tables(slot, sizes or ["c-size"]), min_size=1, max_size=most)
        )
        parts[slot] = named(slot, tables)
        left = max(left // len(tables), 1)
        if slot == "size":
            sizes = [table["name"] for table in parts[slot]]
    for slot in FIGURES:
        for table in parts[slot]:
            if slot == "cavity":
                table.setdefault("size", sizes[0])
            elif slot not in ("size", "outlet"):
                table.setdefault("sizes", sizes)
    world = WORLD.with_parts(parts)
    world = world.having(draw(request_changes()))
    if not picking:
        return world
    return world.asking(*draw(choices(world)))


@st.composite
def request_changes(draw: st.DrawFn) -> dict[str, Any]:
    """Changes of the base material and process."""
    flow = {**draw(st.sampled_from(FLOWS)), "at": "20 degC"}
    energy = draw(st.sampled_from(ENERGIES))
    if energy is not None:
        flow["activation_energy"] = energy
    changes: dict[str, Any] = {
        "component.flow": flow,
        "component.filler": draw(st.sampled_from(FILLERS)),
        "component.density": draw(st.sampled_from(["1000 kg/m^3", "1.2 g/cm^3", None])),
        "component.constituents": [{"name": "plainol"}],
        "component.complete": draw(st.sampled_from([True, True, True, False])),
        "component.sensitive_to": draw(
            st.sampled_from([[], [], ["moisture"], ["sedimentation"], ["shear"]])
        ),
        "component.shear_rate_max": draw(st.sampled_from([None, "150 1/s"])),
        "material.trigger": draw(
            st.sampled_from(["none", "none", "none", "moisture", "anaerobic", "light"])
        ),
        "process.deposit": draw(st.sampled_from(DEPOSITS)),
        "process.tolerance": draw(st.sampled_from(["1 %", "5 %", "0.2 %", "20 %"])),
        "process.temperature": draw(
            st.sampled_from(["20 degC", "15..25 degC", "20..30 degC", "0..40 degC"])
        ),
        "process.feed_pressure": draw(st.sampled_from(["3 bar", "0 bar", "0.4 bar"])),
        "process.back_pressure": draw(st.sampled_from([None, None, "1 bar", "0..2 bar"])),
        "process.control": draw(st.sampled_from([[], ["0-10 V"]])),
        "process.carrier": draw(st.sampled_from(CARRIERS)),
        "process.reach": draw(st.sampled_from([None, "10 mm"])),
        "process.tip_outside_diameter_max": draw(st.sampled_from([None, "5 mm"])),
        "process.explosive_atmosphere": draw(st.sampled_from([False, False, True])),
    }
    return changes


@st.composite
def choices(
    draw: st.DrawFn, world: World
) -> tuple[dict[str, str], dict[str, frozenset[str]]]:
    """Picks and exclusions among a world's parts; a pick may be excluded at once."""
    picks: dict[str, str] = {}
    without: dict[str, frozenset[str]] = {}
    for slot in draw(st.lists(st.sampled_from(list(FIGURES)), max_size=2, unique=True)):
        names = [table["name"] for table in world.parts[slot]]
        name = draw(st.sampled_from(names))
        if draw(st.booleans()):
            picks[slot] = name
        else:
            without[slot] = frozenset({name})
    return picks, without
