"""A hand-made catalog and request with easy numbers, and one way to change any field of them."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from small_tables import (
    CONSTITUENTS,
    FITTED,
    MATERIAL,
    PARTS,
    PRACTICE,
    PROCESS,
    SHIPPED_PRACTICE,
    VERDICT,
    WETTED,
    Table,
)

from configurator.catalog.catalog import Catalog, Practice, Substances
from configurator.catalog.parts import PART_TYPES, SLOTS, Part
from configurator.catalog.substances import Constituent, SwellGroup, VerdictGroup, WettedMaterial
from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.request.load import material_from, process_from
from configurator.request.question import Question
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case, slots_of
from configurator.rules.finding import Finding
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.units.fields import Frozen
from configurator.units.interval import Basis
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

CONTEXT = {"basis": Basis.INVENTED}


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
    evidence : dict
        What the shop has measured, as a list of tables under `records`.
    """

    parts: dict[str, list[Table]] = field(default_factory=_whole_catalog)
    practice: Table = field(default_factory=lambda: {**SHIPPED_PRACTICE, **PRACTICE})
    material: Table = field(default_factory=lambda: MATERIAL)
    process: Table = field(default_factory=lambda: PROCESS)
    picks: Mapping[str, str] = field(default_factory=dict)
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)
    evidence: Table = field(default_factory=dict)

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
            "evidence": copy.deepcopy(self.evidence),
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
            stock_counts=any("stock" in each for tables in self.parts.values() for each in tables),
        )

    @cached_property
    def question(self) -> Question:
        """The tables as a request."""
        return Question(
            material=material_from(self.material, "material"),
            process=process_from(self.process, "process"),
            picks=self.picks,
            without=self.without,
        )

    @cached_property
    def workshop(self) -> Workshop:
        """A shop with the catalog and the findings."""
        records = [EvidenceRecord.model_validate(each) for each in self.evidence.get("records", ())]
        return Workshop(self.catalog, Evidence(tuple(records)))

    @cached_property
    def answer(self) -> Answer:
        """What the one door answers."""
        return self.workshop.answer(self.question)

    @cached_property
    def slots(self) -> tuple[str, ...]:
        """Slots of a build."""
        return slots_of(two_part=self.question.material.two_part)

    @cached_property
    def base_build(self) -> dict[str, Part]:
        """The first part of each slot, the first mixing device if there is something to mix."""
        mixing = 1 if self.question.material.two_part else 0
        return {
            slot: self.catalog.slot(slot)[mixing if slot == "mixing" else 0] for slot in self.slots
        }

    @cached_property
    def only_base(self) -> World:
        """The same with nothing but the base part in each slot."""
        tables = {slot: entries[:1] for slot, entries in self.parts.items()}
        if self.question.material.two_part:
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


SWELL: Table = {
    "basis": "measured",
    "source": "invented for the tests",
    "seen": "whole",
    "temperature": "300 degC",
    "confidence": "high",
    "rows": [
        {"constituent": table["name"], "code": "RUBBER", "change": "0..3 %"}
        for table in CONSTITUENTS
    ],
}


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
                satisfactory=["GOOD", "BRASS", "STEEL", "RUBBER"],
                limited=["FAIR", "SOFT RUBBER"],
                not_satisfactory=["BAD", "BAD RUBBER"],
            ),
            verdict(table["name"], satisfactory=["WARM"], temperature_to="60 degC"),
        )
    ]
    return Substances(
        constituents={table["name"]: constituent(table) for table in CONSTITUENTS},
        wetted={table["code"]: wetted(table) for table in WETTED},
        verdicts=tuple(groups),
        # A grade without a number would leave a stator marginal.
        swell=(SwellGroup.model_validate(SWELL, context=CONTEXT),),
    )


SUBSTANCES = _substances()

WORLD = World()
"""The base: one build, of which every rule says that it fits."""
