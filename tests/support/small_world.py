"""A hand-made catalog, material and process with easy numbers, and one way to change any field.

One turn of the base cavity moves 1 mL and the base flow is 1 mL/s, so that the rotor turns once
a second. The base liquid is Newtonian, 10 Pa*s at any temperature, and nothing slips: the seal
lines open only above a pressure that the base tip never asks for. Everything is invented.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, TypeVar

import numpy as np

from configurator.answer import Answer
from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.parts import PART_TYPES, SLOTS, Part
from configurator.catalog.practice import Practice
from configurator.catalog.substances import Constituent, VerdictGroup, WettedMaterial
from configurator.configure import configure
from configurator.request.load import material_from, process_from
from configurator.request.request import Request
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case, slots_of
from configurator.rules.finding import Finding
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.units.frozen import Frozen
from configurator.units.interval import Basis

Table = dict[str, Any]

CONTEXT = {"basis": Basis.INVENTED}

RATED: Table = {
    "viscosity": "10 Pa*s",
    "density": "1000 kg/m^3",
    "speed": "60 rpm",
    "pressure": "80 bar",
    "efficiency": "90 %",
    "fluid": "oil",
}

PARTS: dict[str, list[Table]] = {
    "size": [
        {
            "name": "small",
            "dry_mass": "1 kg",
            "pressure_max": "40 bar",
            "joints": ["luer lock"],
        },
        {
            "name": "tall",
            "dry_mass": "2 kg",
            "pressure_max": "60 bar",
            "joints": ["luer lock", "threaded"],
        },
    ],
    "cavity": [
        {
            "name": "one-ml",
            "size": "small",
            "eccentricity": "1 mm",
            "rotor_diameter": "10 mm",
            "pitch": "25 mm",
            "displacement": "1 mL/rev",
            "stages": 2,
            "stage_pressure": "12 bar",
            "stage_pressure_abrasive": "6 bar",
            "stage_pressure_thin": "3 bar",
            "friction_torque": "0.1 N*m",
            "breakaway_factor": 2,
            "seal_width": "40 mm",
            "seal_land": "2 mm",
            "opening_pressure": "10 bar",
            "rated_elastomer": RATED,
            "rated_rigid": RATED,
        },
    ],
    "body": [{"name": "plain", "material": "GOOD", "pressure_max": "40 bar", "mass_share": 1}],
    "rotor": [{"name": "plain", "material": "GOOD", "surface": "GOOD", "hardness": "1000 HV"}],
    "stator": [
        {
            "name": "soft",
            "material": "GOOD",
            "kind": "elastomer",
            "pressure_factor": 1,
            "friction_factor": 1,
            "temperature_low": "0 degC",
            "temperature_high": "100 degC",
        },
    ],
    "seal": [
        {
            "name": "lip",
            "materials": ["GOOD"],
            "pressure_max": "40 bar",
            "speed_max": "300 rpm",
            "temperature_low": "0 degC",
            "temperature_high": "100 degC",
            "filler_max": "hard",
            "keeps_moisture_out": True,
        },
    ],
    "drive": [
        {
            "name": "motor",
            "torque_continuous": "2 N*m",
            "torque_peak": "4 N*m",
            "speed_min": "1 rpm",
            "speed_max": "200 rpm",
            "counts_per_turn": 1000,
            "backlash": "0.1 deg",
            "mass": "500 g",
            "control": ["0-10 V"],
            "temperature_low": "0 degC",
            "temperature_high": "50 degC",
            "explosive_atmosphere": True,
        },
    ],
    "mixing": [
        {"name": "none", "kind": "none"},
        {
            "name": "tube",
            "kind": "static",
            "material": "GOOD",
            "pressure_max": "40 bar",
            "mass": "30 g",
            "bore": "10 mm",
            "elements": 16,
            "element_aspect": 1,
            "void_share": "80 %",
            "loss_factor": 5,
            "mixing_rate": 0.8,
        },
    ],
    "outlet": [
        {
            "name": "tip",
            "kind": "needle",
            "bore": "2 mm",
            "entry_bore": "2 mm",
            "length": "10 mm",
            "outside_diameter": "3 mm",
            "material": "GOOD",
            "joint": "luer lock",
            "pressure_max": "40 bar",
            "mass": "20 g",
            "passes_light": False,
        },
    ],
    "feed": [
        {
            "name": "cartridge",
            "kind": "cartridge",
            "materials": ["GOOD"],
            "pressure_max": "10 bar",
            "viscosity_max": "100 Pa*s",
            "line_bore": "10 mm",
            "line_length": "0.1 m",
            "capacity": "300 mL",
            "carried_mass": "300 g",
            "keeps_moisture_out": True,
            "stirred": True,
            "passes_light": False,
            "air_over_material": True,
        },
    ],
}
"""Tables as a catalog file would hold them, the base part of each slot first."""

FITTED = ("body", "rotor", "stator", "seal", "drive", "feed")

PRACTICE: Table = {
    "rubbing_speed": {
        "clean": "0.5 m/s",
        "mild": "0.4 m/s",
        "hard": "0.3 m/s",
        "very_hard": "0.2 m/s",
        "hollow": "0.1 m/s",
    },
    "speed_caps": [
        {"viscosity_up_to": "10 Pa*s", "speed": "100 rpm"},
        {"viscosity_up_to": "1000 Pa*s", "speed": "50 rpm"},
    ],
    "speed_cap_very_hard": "60 rpm",
    "bore_ratio": {
        "floor": 3,
        "smooth_low_load": 5,
        "irregular_or_loaded": 10,
        "flake_fibre_or_hollow": 15,
        "loaded_from": "30 %",
    },
    "particle_to_eccentricity_soft": 0.2,
    "particle_to_eccentricity_hard": 0.1,
    "shot_turns_tight": 1,
    "shot_turns": 0.25,
    "tight_tolerance": "1 %",
    "dot_to_bore_low": 1.5,
    "dot_to_bore_high": 3,
    "bead_to_bore_low": 1,
    "bead_to_bore_high": 3,
    "hollow_pressure_share": 0.25,
    "rest_pressure_share": 0.5,
    "thin_below": "0.1 Pa*s",
    "slip_factor_own": 1.2,
    "slip_factor_other": 2,
    "slip_factor_untested": 5,
    "filler_to_surface_hardness": 0.8,
    "temperature_rise_refit": "20 K",
    "carried_margin": "20 %",
    "trapped_air": "0.1 %",
    "caution_margin": "10 %",
    "pot_life_stop_share": "30 %",
    "pot_life_run_share": "10 %",
    "mixing_reserve_above_10": "25 %",
    "mixing_reserve_above_100": "50 %",
    "viscosity_ratio_static": 1000,
    "chamber_turns": 20,
    "mixer_wall_rate_filled": "100 1/s",
    "purge_volumes": 3,
}

WETTED: tuple[Table, ...] = (
    {"code": "GOOD"},
    {"code": "FAIR"},
    {"code": "BAD"},
    {"code": "UNSEEN"},
    {"code": "WARM"},
    {"code": "BRASS", "tags": ["copper"]},
    {"code": "STEEL", "tags": ["iron"]},
)
"""Codes that say by their name how they stand the base liquid; brass and steel stand it well."""

CONSTITUENTS: tuple[Table, ...] = (
    {"name": "plainol"},
    {"name": "anaerol", "tags": ["anaerobic monomer"], "counts_from": "1 %"},
    {"name": "dampol", "tags": ["moisture cure"], "counts_from": "1 %"},
)

VERDICT: Table = {
    "basis": "from memory",
    "source": "invented",
    "confidence": "high",
}

MATERIAL: Table = {
    "schema": 1,
    "name": "plain",
    "title": "An invented liquid",
    "trigger": "none",
    "component": {
        "flow": {
            "model": "newtonian",
            "viscosity": "10 Pa*s",
            "at": "20 degC",
            "activation_energy": "0 kJ/mol",
        },
        "density": "1000 kg/m^3",
        "constituents": [{"name": "plainol", "mass_fraction": "100 %"}],
        "complete": True,
    },
}

PROCESS: Table = {
    "schema": 1,
    "name": "plain",
    "title": "An invented flow",
    "deposit": {"kind": "flow", "flow": "60 mL/min", "shot": "5 mL"},
    "tolerance": "1 %",
    "temperature": "20 degC",
    "feed_pressure": "3 bar",
}


def _whole_catalog() -> dict[str, list[Table]]:
    tables = copy.deepcopy(PARTS)
    for slot, entries in tables.items():
        for entry in entries:
            entry.setdefault("title", f"{slot} {entry['name']}")
            entry.setdefault("cost_index", 1)
            if slot in FITTED:
                entry.setdefault("sizes", ["small", "tall"])
    return tables


@dataclass(frozen=True, repr=False)
class World:
    """Tables of a catalog and a request; nothing in it changes, `having` gives another.

    Attributes
    ----------
    parts : dict
        Tables of parts by slot.
    practice, material, process : dict
        Tables as the files hold them.
    picks, without : mapping
        As of a request.
    """

    parts: dict[str, list[Table]] = field(default_factory=_whole_catalog)
    practice: Table = field(default_factory=lambda: PRACTICE)
    material: Table = field(default_factory=lambda: MATERIAL)
    process: Table = field(default_factory=lambda: PROCESS)
    picks: Mapping[str, str] = field(default_factory=dict)
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def __repr__(self) -> str:
        """What differs from the base world, as a failing example is read."""
        told = {
            slot: [
                {key: value for key, value in table.items() if self._base(slot).get(key) != value}
                for table in entries
            ]
            for slot, entries in self.parts.items()
        }
        return (
            f"World(parts={told}, material={self.material}, process={self.process}, "
            f"picks={dict(self.picks)}, without={dict(self.without)})"
        )

    def _repr_pretty_(self, printer: Any, _cycle: bool) -> None:  # noqa: FBT001 - hypothesis asks so
        printer.text(repr(self))

    @staticmethod
    def _base(slot: str) -> Table:
        return PARTS[slot][0]

    def having(self, changes: Mapping[str, Any]) -> World:
        """The same with some fields changed.

        Parameters
        ----------
        changes : mapping
            Dotted paths to values: `outlet.bore` of the base part of a slot,
            `practice.shot_turns`, `process.tolerance`, `component.flow.viscosity`,
            `material.trigger`. None takes a field away.
        """
        roots: Table = {
            "practice": copy.deepcopy(self.practice),
            "material": copy.deepcopy(self.material),
            "process": copy.deepcopy(self.process),
            "parts": copy.deepcopy(self.parts),
        }
        for path, value in changes.items():
            head, *rest = path.split(".")
            if head in SLOTS:
                # The first mixing entry is the empty one, of which nothing can be changed.
                target, keys = roots["parts"][head][head == "mixing"], rest
            elif head in ("component", "a", "b", "mix"):
                target, keys = roots["material"], [head, *rest]
            else:
                target, keys = roots[head], rest
            for key in keys[:-1]:
                target = target.setdefault(key, {})
            if value is None:
                target.pop(keys[-1], None)
            else:
                target[keys[-1]] = copy.deepcopy(value)
        return replace(self, **roots)

    def with_parts(self, parts: Mapping[str, Iterable[Table]]) -> World:
        """The same with other tables in some slots; a table may state its changes only."""
        tables = copy.deepcopy(self.parts)
        for slot, entries in parts.items():
            tables[slot] = [{**self.parts[slot][0], **entry} for entry in entries]
        return replace(self, parts=tables)

    def asking(
        self,
        picks: Mapping[str, str] | None = None,
        without: Mapping[str, frozenset[str]] | None = None,
    ) -> World:
        """The same with picks and exclusions."""
        return replace(self, picks=picks or {}, without=without or {})

    @cached_property
    def catalog(self) -> Catalog:
        """The tables as a catalog."""
        return Catalog(
            name="small",
            title="A small invented catalog",
            sha256="0" * 64,
            where="tests",
            parts={
                model.slot: tuple(_made(model, table) for table in self.parts[model.slot])
                for model in PART_TYPES
            },
            practice=_made(Practice, self.practice),
            substances=SUBSTANCES,
        )

    @cached_property
    def request(self) -> Request:
        """The tables as a request."""
        return Request(
            material=material_from(self.material, "material"),
            process=process_from(self.process, "process"),
            picks=self.picks,
            without=self.without,
        )

    @cached_property
    def answer(self) -> Answer:
        """What the one path answers."""
        return configure(self.request, self.catalog)

    @cached_property
    def slots(self) -> tuple[str, ...]:
        """Slots of a build."""
        return slots_of(two_part=self.request.material.two_part)

    @cached_property
    def base_build(self) -> dict[str, Part]:
        """The first part of each slot, the first mixing device if there is something to mix."""
        mixing = 1 if self.request.material.two_part else 0
        return {
            slot: self.catalog.slot(slot)[mixing if slot == "mixing" else 0]
            for slot in self.slots
        }

    @cached_property
    def only_base(self) -> World:
        """The same with nothing but the base part in each slot."""
        tables = {slot: entries[:1] for slot, entries in self.parts.items()}
        if self.request.material.two_part:
            tables["mixing"] = self.parts["mixing"][1:2]
        return replace(self, parts=tables)

    @cached_property
    def applied(self) -> tuple[Applied, ...]:
        """Every rule on the base build alone, as rows."""
        frame = Frame(
            {slot: (part,) for slot, part in self.base_build.items()},
            np.zeros((1, len(self.slots)), dtype=np.intp),
        )
        return apply_rules(Case(self.only_base.answer.subject, frame), RULEBOOK)

    def findings(self, rule: str) -> tuple[Finding, ...]:
        """What one rule says of the base build, once a side; none where it is not asked."""
        return tuple(
            applied.finding(0, self.base_build)
            for applied in self.applied
            if applied.rule.name == rule
        )

    def finding(self, rule: str) -> Finding:
        """The same for a rule that speaks once.

        Raises
        ------
        LookupError
            If the rule is not asked, or speaks of each side.
        """
        found = self.findings(rule)
        if len(found) != 1:
            raise LookupError(f"{rule}: {len(found)} findings")
        return found[0]


Model = TypeVar("Model", bound=Frozen)

_MADE: dict[tuple[type[Frozen], str], Frozen] = {}


def _made(model: type[Model], table: Table) -> Model:
    """A model of a table; worlds differ in a field or two, so the rest is made once."""
    key = (model, repr(table))
    if key not in _MADE:
        _MADE[key] = model.model_validate(table, context=CONTEXT)
    made = _MADE[key]
    assert isinstance(made, model)
    return made


def _substances() -> Substances:
    def wetted(table: Table) -> WettedMaterial:
        whole = {
            "title": table["code"].lower(),
            "family": "metal",
            "temperature_low": "-50 degC",
            "temperature_high": "300 degC",
            **table,
        }
        return WettedMaterial.model_validate(whole, context=CONTEXT)

    def constituent(table: Table) -> Constituent:
        whole = {"title": table["name"], "counts_from": "0.1 %", **table}
        return Constituent.model_validate(whole, context=CONTEXT)

    def verdict(name: str, **grades: object) -> VerdictGroup:
        whole = {"constituent": name, **VERDICT, **grades}
        return VerdictGroup.model_validate(whole, context=CONTEXT)

    groups = [
        group
        for table in CONSTITUENTS
        for group in (
            verdict(
                table["name"],
                satisfactory=["GOOD", "BRASS", "STEEL"],
                limited=["FAIR"],
                not_satisfactory=["BAD"],
            ),
            verdict(table["name"], satisfactory=["WARM"], temperature_to="60 degC"),
        )
    ]
    return Substances(
        constituents={table["name"]: constituent(table) for table in CONSTITUENTS},
        wetted={table["code"]: wetted(table) for table in WETTED},
        verdicts=tuple(groups),
    )


SUBSTANCES = _substances()

WORLD = World()
"""The base: one build, of which every rule says that it fits."""
