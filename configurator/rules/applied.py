"""A rule applied to a frame: tables for the solver, findings for people, and what they rest on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import Part
from configurator.request.material import Component, Material
from configurator.request.process import Process
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Number
from configurator.rules.finding import Finding, State
from configurator.rules.outcome import Grades, Outcome, Total
from configurator.rules.rule import Build, Rule
from configurator.rules.side import Side
from configurator.units.display import show_value
from configurator.units.interval import Basis, weakest
from configurator.units.path import quantities, value_at


def basis_of(
    asks: Iterable[str],
    *,
    component: Component,
    material: Material,
    process: Process,
    practice: Practice,
    practice_fields: Iterable[str],
) -> Basis:
    """Weakest basis among request fields (dotted below their model) and practice of a rule."""
    roots: dict[str, object] = {
        "component": component,
        "material": material,
        "process": process,
        "practice": practice,
    }
    found: list[Basis] = []
    for path in (*asks, *(f"practice.{field}" for field in practice_fields)):
        root, _, rest = path.partition(".")
        found += (each.basis for _, each in quantities(value_at(roots[root], rest)))
    return weakest(*found) if found else Basis.DATASHEET


def basis_of_parts(paths: Iterable[str], build: Mapping[str, Part], prefix: str) -> Basis | None:
    """Weakest basis among the part figures that a rule reads, or None if it reads none."""
    found: list[Basis] = []
    for path in paths:
        slot, _, field = path.partition(".")
        part = build.get(slot) or build.get(prefix + slot)
        if part is not None:  # a finding on one part alone knows no others
            found += (each.basis for _, each in quantities(value_at(part, field)))
    return weakest(*found) if found else None


MOST_CELLS = 500_000
"""Combinations up to which margins are worked out for all at once."""


@dataclass(frozen=True, eq=False)
class Applied:
    """One rule, one side, and what came out over the frame of the case."""

    rule: Rule
    case: Case
    side: Side
    """The side it judges; the first one for a rule over the whole build."""
    outcome: Outcome
    """Arrays over the frame."""

    @cached_property
    def title(self) -> str:
        """Name of the rule with its side."""
        return self.rule.name if self.rule.whole else self.rule.title(self.side.prefix)

    @cached_property
    def scope(self) -> tuple[str, ...]:
        """Slots that it depends on, in the order of the frame."""
        return self.rule.scope(self.case.frame.slots, self.case.prefixes, self.side.prefix)

    @cached_property
    def states(self) -> NDArray[np.int8]:
        """State of each combination of the scope; one axis a slot of it (grid frames)."""
        return self.table(self.outcome.states)

    def table(self, values: NDArray[Number]) -> NDArray[Number]:
        """An array over the frame as a table over the scope alone."""
        shape = self.case.frame.shape(self.scope)
        spread = np.broadcast_to(values, shape)
        return spread.reshape([len(self.case.frame.parts[slot]) for slot in self.scope])

    @cached_property
    def is_wide(self) -> bool:
        """True if its combinations are so many that one looks at some of them at a time."""
        return math.prod(self.case.frame.shape(self.scope)) > MOST_CELLS

    def only(self, live: Mapping[str, NDArray[np.intp]]) -> Applied:
        """The same over fewer parts of a grid: by slot, their places."""
        slots = self.case.frame.slots
        outcome = self.outcome.cut({slots.index(slot): places for slot, places in live.items()})
        return Applied(self.rule, self.case.only(live), self.side, outcome)

    def finding(self, row: int, build: Build) -> Finding:
        """What the rule says of one build of a rows frame."""
        outcome = self.outcome.whole
        state = State(int(_at(outcome.states, row)))
        short = int(_at(outcome.steps, row))
        if isinstance(outcome, Grades):
            assert self.rule.words is not None  # a rule that grades also speaks
            words = self.rule.words(self.case, self.side, build)
            return Finding(
                rule=self.title,
                state=state,
                demand=words.demand,
                limit=words.limit,
                unit="verdict",
                at_least=False,
                margin=None,
                corner="",
                basis=words.basis,
                reason=words.reason,
                settle_with=words.settle_with,
                short=short,
            )
        demand, limit = _at(outcome.demand.hard, row), _at(outcome.limit.hard, row)
        outer = _at(outcome.limit.nominal, row)
        bound = math.isnan(demand) and state is State.RULED_OUT
        if bound:  # even the best of what is not known fails
            demand = _at(outcome.demand.kind, row)
        margin = _at(outcome.margins, row)
        if bound and limit:
            left = demand - limit if outcome.at_least else limit - demand
            margin = left / abs(limit)
        return Finding(
            rule=self.title,
            state=state,
            demand=_known(demand),
            limit=_known(limit),
            unit="" if outcome.kind.unit == "1" else outcome.kind.unit,
            at_least=outcome.at_least,
            margin=_known(margin),
            corner=outcome.demand.corner or outcome.limit.corner,
            basis=self._basis(build),
            reason=self._sentence(build, row, (demand, limit, outer), outcome, bound=bound),
            short=short,
            strained=int(_at(self.strained, row)),
        )

    @cached_property
    def strained(self) -> NDArray[np.int64]:
        """How many steps each combination is away from the middle of the rule's window."""
        outcome = self.outcome.whole
        if not self.rule.comfort or not isinstance(outcome, Comparison):
            return np.zeros(1, dtype=np.int64)
        return outcome.strained(self.rule.comfort)

    @cached_property
    def _asked(self) -> Basis:
        """What the weakest input from request and shop practice rests on."""
        return basis_of(
            self.rule.asks,
            component=self.side.component,
            material=self.case.material,
            process=self.case.process,
            practice=self.case.practice,
            practice_fields=self.rule.practice,
        )

    @cached_property
    def _weakest(self) -> dict[tuple[str, ...], Basis]:
        """Basis by the parts of the scope: builds of a page share most of them."""
        return {}

    def _basis(self, build: Build) -> Basis:
        key = tuple(build[slot].name for slot in self.scope if slot in build)
        if key not in self._weakest:
            of_parts = basis_of_parts(self.rule.parts, build, self.side.prefix)
            weakest_of_all = self._asked if of_parts is None else weakest(self._asked, of_parts)
            self._weakest[key] = weakest_of_all
        return self._weakest[key]

    def _sentence(
        self,
        build: Build,
        row: int,
        ends: tuple[float, float, float],
        outcome: Comparison,
        *,
        bound: bool,
    ) -> str:
        demand, limit, outer = ends
        kind = outcome.kind
        at_best = ("at most " if outcome.at_least else "at least ") if bound else ""
        names = {
            slot.rpartition(".")[2]: part.name
            for slot, part in build.items()
            if "." not in slot or slot.startswith(self.side.prefix)
        }
        if np.inf == (demand if outcome.at_least else limit):
            told = [name for slot, name in names.items() if f"{{{slot}}}" in self.rule.sentence]
            return f"it asks nothing of {', '.join(told)}"
        said = self.rule.sentence.format(
            demand=at_best + show_value(demand, kind),
            limit=show_value(limit, kind),
            outer=show_value(outer, kind),
            planned=show_value(limit * (1.0 - outcome.caution), kind),
            leading=_leading(outcome, row),
            **names,
        )
        return f"{said}; tell {outcome.untold}" if outcome.untold else said


def _leading(outcome: Comparison, row: int) -> str:
    """What makes most of a demand, with its amount; what is unknown may be any."""
    parts = {name: _at(values, row) for name, values in outcome.made_of.items()}
    most = max(parts, key=lambda name: np.nan_to_num(parts[name], nan=np.inf), default="")
    return f"{most} ({show_value(parts[most], outcome.kind)})" if most else ""


def _at(values: NDArray[np.generic], row: int) -> float:
    """The value of one row; a value that no part moves is the same on every row."""
    flat = np.asarray(values)
    return float(flat.reshape(-1)[row if flat.size > 1 else 0])


def _known(value: float) -> float | None:
    return value if np.isfinite(value) else None


def judgements(case: Case, rules: Iterable[Rule]) -> Iterator[tuple[Rule, Side]]:
    """Each rule with each side that it judges."""
    for rule in rules:
        for side in case.sides[:1] if rule.whole else case.sides:
            yield rule, side


def apply_rule(case: Case, rule: Rule, side: Side) -> Applied | None:
    """Apply one rule to one side; None if the request does not ask for it."""
    outcome = rule.check(case, side)
    return None if outcome is None else Applied(rule, case, side, outcome)


def apply_rules(case: Case, rules: Iterable[Rule]) -> tuple[Applied, ...]:
    """Apply each rule to each side it judges, leaving out what the request does not ask."""
    applied = (apply_rule(case, rule, side) for rule, side in judgements(case, rules))
    return tuple(entry for entry in applied if entry is not None)


def best_states(applied: Applied, slot: str) -> NDArray[np.int8]:
    """Best state that each part of a slot can reach in a rule, whatever its partners."""
    if isinstance(applied.outcome, Total):
        return applied.outcome.least_with(applied.case.frame.slots.index(slot)).states
    axis = applied.scope.index(slot)
    others = tuple(place for place in range(len(applied.scope)) if place != axis)
    return np.asarray(applied.states.min(axis=others, initial=State.RULED_OUT), dtype=np.int8)
