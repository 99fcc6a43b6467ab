"""The full product of all parts as an oracle, and requests that few random catalogs meet.

It lays out every combination as rows and asks every rule of every row. It knows no narrowing,
no relation and no solver; it shares the rules with what it checks.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
from draws import draws
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from random_worlds import worlds
from small_world import World

from configurator.chemistry.evidence import Evidence
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.outcome import Total
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answering import parts_of, subject_of

SETTINGS = settings(
    max_examples=draws(10, 25),
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],  # a world says what is odd in it; shrinking takes long
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)

HARD = [
    {"process.reach": "20 mm"},
    {"process.tip_outside_diameter_max": "4 mm"},
    {"process.tolerance": "0.02 %"},
    {"process.carrier": {"payload": "900 g"}},
    {"component.filler": {"name": "mystery", "d99": "600 um", "mohs": "7 Mohs"}},
    {"process.deposit": {"kind": "flow", "flow": "900 mL/min"}},
    {"process.deposit": {"kind": "dots", "volume": "100 uL", "dispense_time": "1 s"}},
    {"process.control": ["step and direction"]},
    {"process.feed_pressure": "0 bar", "component.flow.viscosity": None},
    {"process.temperature": "20..60 degC"},
]
"""Wishes that few of the random parts meet."""


@st.composite
def hard_worlds(draw: st.DrawFn) -> World:
    world = draw(worlds())
    for change in draw(st.lists(st.sampled_from(HARD), min_size=1, max_size=2, unique_by=str)):
        if "component.flow.viscosity" not in change:
            world = world.having(change).asking(world.picks, world.without)
    return world


def _cost(part) -> float:
    """A dual cartridge stands in two slots and is bought once."""
    return part.cost_index.nominal / (2.0 if getattr(part, "both_sides", "") else 1.0)


class Product:
    """Every combination of all parts, excluded ones as well, and which rules each passes."""

    def __init__(self, world: World, question=None, evidence=None) -> None:
        self.question = question or world.question
        parts = parts_of(replace(self.question, without={}), world.catalog)
        self.slots = tuple(parts)
        self.names = {slot: [part.name for part in each] for slot, each in parts.items()}
        rows = list(product(*(range(len(each)) for each in parts.values())))
        self.rows = np.array(rows, dtype=np.intp).reshape(-1, len(parts))
        subject = subject_of(self.question, world.catalog, evidence or Evidence())
        self.costs = sum(
            np.array([_cost(part) for part in each])[self.rows[:, axis]]
            for axis, each in enumerate(parts.values())
        )
        self.steps = np.zeros(len(self.rows), dtype=np.int64)
        self.strain = np.zeros(len(self.rows), dtype=np.int64)
        self.passes = {}
        self.worst = np.zeros(len(self.rows), dtype=np.int8)
        self.background = []
        with np.errstate(all="ignore"):
            for applied in apply_rules(Case(subject, Frame(parts, self.rows)), RULEBOOK):
                outcome = applied.outcome
                states = outcome.whole.states
                self.worst = np.maximum(self.worst, states)
                self.steps = self.steps + outcome.whole.steps
                self.strain = self.strain + applied.strained
                passed = np.broadcast_to(states < State.RULED_OUT, (len(self.rows),))
                self.passes[applied.title] = passed
                if not applied.rule.asks:
                    self.background.append(applied.title)

    def picked(self, slot: str, names) -> np.ndarray:
        held = np.array([name in names for name in self.names[slot]])
        return held[self.rows[:, self.slots.index(slot)]]

    def meets(self, members, given=None) -> np.ndarray:
        """Which rows meet the background and some members of a conflict."""
        found = np.ones(len(self.rows), dtype=bool)
        for title in self.background:
            found &= self.passes[title]
        for slot, name in (given or {}).items():
            found &= self.picked(slot, (name,))
        for kind, name in members:
            if kind == "rule":
                found &= self.passes.get(name, np.ones(len(self.rows), dtype=bool))
            elif kind == "pick":
                found &= self.picked(name, (self.question.picks[name],))
            else:
                found &= ~self.picked(name, self.question.without[name])
        return found

    def every_member(self):
        return [
            *(("rule", title) for title in self.passes),
            *(("pick", slot) for slot in self.question.picks),
            *(("without", slot) for slot, names in self.question.without.items() if names),
        ]

    @property
    def listed(self) -> np.ndarray:
        """Rows that no rule rules out and no pick or exclusion forbids, in the order of a list."""
        wishes = [member for member in self.every_member() if member[0] != "rule"]
        (fit,) = np.nonzero(self.meets(wishes) & (self.worst < State.RULED_OUT))
        places = self.rows[fit].T[::-1]
        costs = self.costs[fit].round(9)
        return fit[np.lexsort([*places, costs, self.strain[fit], self.steps[fit], self.worst[fit]])]

    @property
    def count(self) -> int:
        return int(self.meets(self.every_member()).sum())


def least_margins(case: Case, rows: int) -> np.ndarray:
    """Least margin of each row [-]; -inf where one is unknown that another row knows."""
    least = np.full(rows, np.inf)
    for applied in apply_rules(case, RULEBOOK):
        outcome = applied.outcome
        if not isinstance(outcome, Comparison | Total) or not applied.scope:
            continue
        whole = outcome.whole
        bounds = outcome.bounds if isinstance(outcome, Comparison) else whole.bounds
        known = np.all([np.broadcast_to(each.known, rows) for each in bounds], axis=0)
        if known.any():
            margin = np.broadcast_to(whole.margins, rows)
            nothing = np.isnan(margin)  # nothing is asked of a limit of nothing
            least = np.minimum(least, np.where(known, np.where(nothing, np.inf, margin), -np.inf))
    return least
