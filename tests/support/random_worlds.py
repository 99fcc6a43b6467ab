"""Random small catalogs and requests: a few parts a slot, figures near the limits of the rules.

Figures are drawn from short lists around the base world's, so that rules are often just met or
just missed, and so that parts differ in what a rule reads.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from small_tables import RATED, Table
from small_world import WORLD, World

MOST_BUILDS = 600
"""Combinations up to which brute force stays quick."""

SENSOR: Table = {
    "range": "40 bar",
    "error": "0.3 bar",
    "volume": "3 mL",
    "materials": ["GOOD"],
    "joints": ["luer lock", "threaded"],
}


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
            {**RATED, "viscosity": "0.1 Pa*s"},
            {**RATED, "fluid": "own material", "efficiency": "70 %"},
        ],
    },
    "body": {
        "material": ["GOOD", "GOOD", "FAIR", "BAD", "UNSEEN", "BRASS"],
        "pressure_max": ["40 bar", "2.5 bar"],
        "mass_share": [1, 0.5],
        "sensor": [None, None, SENSOR, {**SENSOR, "range": "4 bar", "joints": ["threaded"]}],
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
        "filler_max": ["very hard", "clean", "mild", "hard"],
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
        "shut_off_pressure": [None, None, "20 bar", "0.2 bar"],
    },
    "feed": {
        "materials": [["GOOD"], ["FAIR"], ["UNSEEN"]],
        "pressure_max": ["10 bar", "0.5 bar"],
        "viscosity_max": ["100 Pa*s", "12 Pa*s"],
        "viscosity_min": [None, None, "5 Pa*s"],
        "line_length": ["0.1 m", "5 m"],
        "regulator_drop": [None, None, "0.3 bar"],
        "carried_mass": ["300 g", "20 g"],
        "keeps_moisture_out": [True, False],
        "stirred": [True, False],
        "heated": [None, True, False],
        "air_over_material": [True, False],
        "capacity": ["150 mL", "300 mL", "2 L"],
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
    {"name": "mystery", "d99": "90 um", "mohs": "7 Mohs", "shape": "sphere"},
    {"name": "mystery", "d50": "60 um", "mohs": "3 Mohs", "volume_fraction": "20 %"},
    {"name": "glass bubbles", "hollow": True, "d99": "80 um", "crush_pressure": "20 bar"},
]

DEPOSITS: list[Table] = [
    {"kind": "flow", "flow": "60 mL/min"},
    {"kind": "flow", "flow": "20 mL/min"},
    {"kind": "flow", "flow": "30..60 mL/min", "shot": "1..2 mL"},
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

PRODUCTIONS: list[Table] = [
    {},
    {"cycle_time": "2 min"},
    {"cycle_time": "2..3 min", "parts_per_shift": "100..120", "waste_max": "4.5 %"},
    {"shift": "8 h", "waste_max": "3.5 %"},
]

CARRIERS: list[Table] = [
    {},
    {"payload": "3.1 kg"},
    {"payload": "8 kg", "moment": "2.5 N*m", "lever": "80 mm"},
    {"payload": "4 kg", "moment": "2.5 N*m"},
]


MIXERS: list[Table] = [
    {},
    {"elements": 32, "bore": "6 mm"},
    {"elements": 8, "pressure_max": "3 bar", "tip_joint": "threaded"},
    {"mixing_rate": None, "void_share": None, "joint": None},
    {"kind": "chamber", "volume": "20 mL", "speed_max": "300 rpm", "material": "FAIR"},
    {"kind": "chamber", "volume": "2 mL", "speed_max": "60 rpm", "pressure_max": None},
    {"joint": "threaded", "tip_joint": None},
]

MIXES: list[Table] = [
    {"ratio": [1, 1], "by": "volume", "ratio_tolerance": "5 %"},
    {"ratio": [10, 1], "by": "volume", "ratio_tolerance": "2 %", "mixed_viscosity": "10 Pa*s"},
    {"ratio": [2, 1], "by": "mass", "ratio_tolerance": "20 %", "mixed_viscosity": "4..9 Pa*s"},
]

POT_LIVES: list[Table] = [
    {"value": "60 min", "at": "20 degC", "definition": "gel time"},
    {"value": "90 s", "at": "25 degC", "definition": "viscosity doubles"},
]


def often(usual: Any, others: list[Any]) -> st.SearchStrategy[Any]:
    """The usual value most of the time, so that a world of many parts still has builds."""
    return st.sampled_from([*[usual] * (5 * len(others)), *others])


def part_tables(slot: str, sizes: list[str]) -> st.SearchStrategy[Table]:
    """A part that differs from the base one in some of its figures."""
    figures: dict[str, st.SearchStrategy[Any]] = {
        name: often(values[0], values) for name, values in FIGURES[slot].items()
    }
    figures["cost_index"] = st.integers(1, 4)
    if slot == "cavity":
        figures["size"] = often(sizes[0], sizes)
    elif slot not in ("size", "outlet"):
        figures["sizes"] = often(sizes, [sizes[:1], sizes[-1:]])
    return st.fixed_dictionaries(figures)


def named(slot: str, tables: list[Table]) -> list[Table]:
    """Names that do not stand in the order of the list, so that sorting has something to do."""
    letters = "cabed"
    return [{**table, "name": f"{letters[at]}-{slot}"} for at, table in enumerate(tables)]


@st.composite
def catalogs(draw: st.DrawFn, *, most_builds: int, sides: int = 1) -> dict[str, list[Table]]:
    """Tables of one to three parts a slot, few enough for a bounded product."""
    parts: dict[str, list[Table]] = {}
    left = most_builds
    sizes = ["c-size"]
    for slot in draw(st.permutations([*FIGURES][1:])):
        power = 1 if slot == "outlet" else sides
        most = max(count for count in (1, 2, 3) if count**power <= left)
        parts[slot] = [{}] * draw(st.integers(1, most))
        left //= len(parts[slot]) ** power
    parts["size"] = [{}] * (2 if left >= 2**sides else 1)
    for slot in FIGURES:
        tables = [draw(part_tables(slot, sizes)) for _ in parts[slot]]
        parts[slot] = named(slot, tables)
        if slot == "feed" and sides > 1:
            dual = {"kind": "dual cartridge", "second_capacity": "100 mL"}
            two = draw(st.lists(st.booleans(), min_size=len(tables), max_size=len(tables)))
            parts[slot] = [
                table | (dual if d else {}) for table, d in zip(parts[slot], two, strict=True)
            ]
        if slot == "size":
            sizes = [table["name"] for table in parts[slot]]
    return parts


@st.composite
def worlds(draw: st.DrawFn, *, picking: bool = True) -> World:
    """A small catalog and a request of it, some data missing, some parts picked or excluded."""
    world = WORLD.with_parts(draw(catalogs(most_builds=MOST_BUILDS)))
    world = world.having(draw(request_changes()))
    return world.asking(*draw(choices(world))) if picking else world


@st.composite
def two_part_worlds(draw: st.DrawFn) -> World:
    """The same for two components, with mixers."""
    mixers = draw(st.lists(st.sampled_from(MIXERS), min_size=1, max_size=3, unique_by=str))
    tube = WORLD.parts["mixing"][1]
    mixing = [{"name": "none", "title": "none", "cost_index": 0, "kind": "none"}]
    mixing += [
        {key: value for key, value in {**tube, **table}.items() if value is not None}
        for table in named("mixing", mixers)
    ]
    world = WORLD.with_parts(draw(catalogs(most_builds=MOST_BUILDS // len(mixing), sides=2)))
    world = World(parts={**world.parts, "mixing": mixing})
    changes = draw(request_changes())
    first = {
        key.partition(".")[2]: changes.pop(key)
        for key in list(changes)
        if key.startswith("component.")
    }
    second = {**first, "flow": draw(flows()), "filler": draw(st.sampled_from(FILLERS))}
    mix = {**draw(st.sampled_from(MIXES)), "pot_life": draw(st.sampled_from(POT_LIVES))}
    changes |= {
        "material.component": None,
        "material.trigger": "two-part",
        "material.mix": mix,
        "process.mixing_quality": draw(st.sampled_from([None, "5 %", "1 %"])),
        "process.longest_stop": draw(st.sampled_from([None, "10 s", "20 min"])),
        "process.production.cycle_time": draw(st.sampled_from([None, "2 min", "2..9 min", "1 h"])),
    }
    for side, component in (("a", first), ("b", second)):
        known = {key: value for key, value in component.items() if value is not None}
        changes[f"material.{side}"] = known
    world = world.having(changes)
    return world.asking(*draw(choices(world, ("a.", "b."))))


@st.composite
def flows(draw: st.DrawFn) -> Table:
    """A flow at 20 degC, its change with temperature stated or not."""
    flow = {**draw(st.sampled_from(FLOWS)), "at": "20 degC"}
    flow["thixotropic"] = draw(st.booleans())
    energy = draw(st.sampled_from(ENERGIES))
    return flow if energy is None else {**flow, "activation_energy": energy}


@st.composite
def request_changes(draw: st.DrawFn) -> dict[str, Any]:
    """Changes of the base material and process."""
    return {
        "component.flow": draw(flows()),
        "component.filler": draw(st.sampled_from(FILLERS)),
        "component.density": draw(often("1000 kg/m^3", ["1.2 g/cm^3", None])),
        "component.constituents": [{"name": "plainol"}],
        "component.complete": draw(often(True, [False])),
        "component.sensitive_to": draw(often([], [["moisture"], ["sedimentation"], ["shear"]])),
        "component.shear_rate_max": draw(often(None, ["150 1/s"])),
        "component.open_time": draw(often(None, ["30 min"])),
        "material.trigger": draw(often("none", ["moisture", "anaerobic", "light"])),
        "process.deposit": draw(st.sampled_from(DEPOSITS)),
        "process.tolerance": draw(st.sampled_from(["2 %", "1 %", "5 %", "20 %"])),
        "process.temperature": draw(
            st.sampled_from(["20 degC", "15..25 degC", "20..30 degC", "0..40 degC"])
        ),
        "process.feed_pressure": draw(often("3 bar", ["0 bar", "0.4 bar"])),
        "process.back_pressure": draw(often(None, ["1 bar", "0..2 bar"])),
        "process.control": draw(often([], [["0-10 V"]])),
        "process.production": draw(st.sampled_from(PRODUCTIONS)),
        "process.carrier": draw(st.sampled_from(CARRIERS)),
        "process.reach": draw(often(None, ["10 mm"])),
        "process.tip_outside_diameter_max": draw(often(None, ["5 mm"])),
        "process.explosive_atmosphere": draw(often(False, [True])),
        "process.notice_blocked_tip": draw(often(False, [True])),
        "process.notice_air": draw(often(False, [True])),
    }


@st.composite
def choices(
    draw: st.DrawFn, world: World, prefixes: tuple[str, ...] = ("",)
) -> tuple[dict[str, str], dict[str, frozenset[str]]]:
    """Picks and exclusions among a world's parts; a part of few may be the only one."""
    picks: dict[str, str] = {}
    without: dict[str, frozenset[str]] = {}
    slots = draw(st.lists(st.sampled_from(list(FIGURES)), max_size=2, unique=True))
    for slot in slots:
        name = draw(st.sampled_from([table["name"] for table in world.parts[slot]]))
        place = slot if slot == "outlet" else draw(st.sampled_from(prefixes)) + slot
        if draw(st.booleans()):
            picks[place] = name
        elif len(world.parts[slot]) > 1:
            without[place] = frozenset({name})
    return picks, without
