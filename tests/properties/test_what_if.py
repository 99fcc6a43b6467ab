"""A changed request by the engine, against every combination of all parts, and against CP-SAT.

The oracle asks every rule of every row and shares with the engine only the rules themselves.
"""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from draws import draws
from every_combination import SETTINGS, Product, hard_worlds
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from random_worlds import two_part_worlds, worlds

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.explain import what_if
from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.counts import Counts
from configurator.explain.what_if import WhatIf
from configurator.physics.domain import PhysicsDomainError
from configurator.rules import existence, ruleset
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import LISTED, State
from configurator.rules.rulebook import RULEBOOK

cp_model = pytest.importorskip("ortools.sat.python.cp_model")

WIDTHS = pytest.mark.parametrize(
    "most", [20_000, 1], ids=["rules over few slots", "rules over many slots"]
)
"""Up to how many combinations a rule is heard before the wide ones."""

grades = st.sampled_from(["satisfactory", "limited", "not satisfactory"])


@st.composite
def findings(draw, product: str) -> Evidence:
    """What the shop may have measured: soaks in the product or in its one constituent."""
    codes = draw(st.lists(st.sampled_from(["UNSEEN", "FAIR", "GOOD"]), unique=True, max_size=2))
    records = [
        EvidenceRecord(
            date=dt.date(2026, 3, 4),
            material=code,
            substance=draw(st.sampled_from([product, f"{product} a", "plainol"])),
            temperature_c=draw(st.sampled_from([5.0, 20.0, 60.0])),
            hours=168.0,
            grade=draw(grades),
        )
        for code in codes
    ]
    return Evidence(tuple(records))


def expected(world, question, evidence=None):
    """Counts, and state and names of the first build, by looking at every row."""
    try:
        oracle = Product(world, question, evidence)
    except PhysicsDomainError:
        return Counts(0, 0, 0), None
    rows = oracle.listed
    counts = Counts(*(int((oracle.worst[rows] == level).sum()) for level in LISTED))
    if not len(rows):
        return counts, None
    first = oracle.rows[rows[0]]
    names = [oracle.names[slot][place] for slot, place in zip(oracle.slots, first, strict=True)]
    return counts, (State(int(oracle.worst[rows[0]])), names)


def agree(world, question, asked, evidence=None):
    counts, first = expected(world, question, evidence)
    assert asked.counts(question, evidence) == counts
    if evidence is None:
        assert asked.exists(question) == (counts.total > 0)
        best = asked.best(question)
        assert (best and (best[0], [part.name for part in best[1].values()])) == first


def agree_after_changes(world, data, most):
    """Whether both say the same as it stands, after two changes, and with other findings."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ruleset, "NARROW_UP_TO", most)
        asked = WhatIf(world.answer)
        agree(world, world.question, asked)
        for _ in range(2):
            every = adjustments_of(world.question)
            adjustment = data.draw(st.sampled_from(every))
            setting = data.draw(st.sampled_from(adjustment.settings))
            changed = with_adjustment(adjustment, world.question, setting)
            if changed is not None:
                agree(world, changed, asked)
        agree(world, world.question, asked, data.draw(findings(world.question.material.name)))


@WIDTHS
@SETTINGS
@given(st.one_of(worlds(), hard_worlds()), st.data())
def test_what_the_engine_says_of_a_change_is_so_of_every_combination(most, world, data):
    agree_after_changes(world, data, most)


@WIDTHS
@settings(SETTINGS, max_examples=draws(6, 25))
@given(two_part_worlds(), st.data())
def test_so_it_is_where_two_sides_meet(most, world, data):
    agree_after_changes(world, data, most)


@settings(SETTINGS, max_examples=draws(5, 12))
@given(two_part_worlds(), st.data())
def test_what_is_too_wide_for_the_engine_is_solved_whole(world, data):
    class TooWide:
        def __init__(self, *_: object) -> None:
            raise what_if.TooWideError

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(what_if, "Count", TooWide)
        patch.setattr(existence, "Count", TooWide)
        agree_after_changes(world, data, 20_000)


def by_cp_sat(world, level) -> int:
    """Builds that pass every rule up to a level, each rule as allowed tuples."""
    answer = world.answer
    grid = Case(answer.subject, answer.frame)
    model = cp_model.CpModel()
    slots = {
        slot: model.new_int_var(0, len(parts) - 1, slot)
        for slot, parts in answer.frame.parts.items()
    }
    for applied in apply_rules(grid, RULEBOOK):
        outcome = applied.outcome
        whole = outcome.whole
        passes = applied.table(whole.states) <= level
        if applied.scope:
            scope = [slots[slot] for slot in applied.scope]
            model.add_allowed_assignments(scope, np.argwhere(passes).tolist())
        elif not passes.all():
            return 0
    for slot, name in answer.subject.question.picks.items():
        names = [part.name for part in answer.frame.parts[slot]]
        model.add(slots[slot] == names.index(name))
    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1

    class Counter(cp_model.CpSolverSolutionCallback):
        found = 0

        def on_solution_callback(self) -> None:
            self.found += 1

    counter = Counter()
    solver.solve(model, counter)
    return counter.found


@settings(SETTINGS, max_examples=draws(6, 15))
@given(st.one_of(worlds(), two_part_worlds()))
def test_cp_sat_counts_the_same(world):
    assume(all(world.answer.frame.parts.values()))
    counts = WhatIf(world.answer).counts(world.question)
    with np.errstate(all="ignore"):
        found = [by_cp_sat(world, level) for level in LISTED]
    assert [counts.fits, counts.fits + counts.marginal, counts.total] == found


@SETTINGS
@given(st.one_of(worlds(), hard_worlds(), two_part_worlds()), st.data())
def test_what_was_found_to_open_nothing_is_told_of_no_change_that_opens_something(world, data):
    """One that has been asked much, against one that is asked for the first time."""
    asked = WhatIf(world.answer)
    every = adjustments_of(world.question)
    for _ in range(draws(6, 12)):
        question = world.question
        for adjustment in data.draw(st.lists(st.sampled_from(every), min_size=1, max_size=2)):
            setting = data.draw(st.sampled_from(adjustment.settings))
            question = question and with_adjustment(adjustment, question, setting)
        assert asked.exists(question) == WhatIf(world.answer).exists(question)
