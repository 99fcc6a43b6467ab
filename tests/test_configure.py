"""The one path: what it refuses, what it does not depend on, and a second solver's count."""

import random
from dataclasses import replace

import numpy as np
import pytest
from small_catalog import SMALL
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.engine import BuildSpace
from configurator.errors import CatalogError, InputError
from configurator.explain.why_none import emptying
from configurator.physics.domain import PhysicsDomainError
from configurator.rules.finding import LISTED, State
from configurator.workshop import answering
from configurator.workshop.workshop import Workshop


def told(answer):
    """All that a face could show, as plain data in its order."""
    return (
        list(answer.counts.items()),
        [
            (slot, [(c.part.name, c.state, c.builds, c.blocked) for c in choices])
            for slot, choices in answer.choices.items()
        ],
        [
            (ranked.rank, {slot: part.name for slot, part in ranked.parts.items()},
             ranked.state, ranked.figures, ranked.findings)
            for ranked in answer.builds(limit=30)
        ],
        [(each.rule, each.parts) for each in emptying(answer.left, answer.losses, ())],
    )  # fmt: skip


def test_the_small_catalog_has_builds_in_all_three_states():
    assert all(SMALL.answer.counts.values())


def test_the_order_of_a_catalog_file_moves_nothing():
    dice = random.Random(7)
    shuffled = {
        slot: tuple(dice.sample(parts, len(parts))) for slot, parts in SMALL.catalog.parts.items()
    }
    assert shuffled != SMALL.catalog.parts
    other = Workshop(replace(SMALL.catalog, parts=shuffled)).answer(SMALL.question)
    assert told(other) == told(SMALL.answer)


def cp_sat_count(domains, relations):
    """Solutions of table constraints, enumerated by OR-tools CP-SAT (`ortools`)."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")

    class Counter(cp_model.CpSolverSolutionCallback):
        found = 0

        def on_solution_callback(self):
            self.found += 1

    model = cp_model.CpModel()
    slots = {slot: model.new_int_var(0, size - 1, slot) for slot, size in domains.items()}
    for each in relations:
        allowed = np.argwhere(each.allowed).tolist()
        model.add_allowed_assignments([slots[slot] for slot in each.scope], allowed)
    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    counter = Counter()
    solver.solve(model, counter)
    return counter.found


@pytest.mark.parametrize("world", [SMALL, TWO_PART], ids=["one part", "two parts"])
def test_cp_sat_counts_the_same_builds(world):
    """From the relations that the solver of the path is given, at each of the three levels."""
    answer = world.answer
    for level in LISTED:
        space = answer.spaces[level]
        assert not space.thresholds  # all of so small a catalog is tables
        expected = sum(answer.counts[each] for each in LISTED if each <= level)
        assert cp_sat_count(space.domains, space.relations) == expected


def test_spaces_are_nested():
    spaces = SMALL.answer.spaces
    counts = [spaces[level].count() for level in LISTED]
    assert counts == sorted(counts)
    assert all(isinstance(space, BuildSpace) for space in spaces.values())


@pytest.mark.parametrize(
    ("picks", "without", "field", "hint"),
    [
        ({"statr": "soft"}, {}, "slot", "stator"),
        ({"stator": "soff"}, {}, "stator", "soft"),
        ({}, {"outlet": frozenset({"tipp"})}, "outlet", "tip"),
        ({"a.stator": "soft"}, {}, "slot", "stator"),
    ],
)
def test_a_slip_in_a_pick_or_an_exclusion_is_refused_with_the_nearest_name(
    picks, without, field, hint
):
    with pytest.raises(InputError) as caught:
        _ = SMALL.asking(picks, without).answer
    (fault,) = caught.value.faults
    assert fault.field == field
    assert hint in fault.line()


def test_all_slips_are_told_at_once():
    with pytest.raises(InputError) as caught:
        _ = SMALL.asking({"statr": "x", "drive": "y"}, {"feed": frozenset({"z", "w"})}).answer
    assert len(caught.value.faults) == 4


def test_a_pick_that_is_ruled_out_leaves_nothing_and_says_why():
    answer = SMALL.asking({"stator": "bad"}).answer
    assert answer.count == 0
    assert answer.builds() == ()
    (choice,) = [choice for choice in answer.choices["stator"] if choice.part.name == "bad"]
    assert choice.picked
    assert choice.state is State.RULED_OUT
    assert [finding.rule for finding in choice.reasons] == ["chemistry of the stator"]


def test_a_pick_that_is_excluded_too_leaves_nothing():
    answer = SMALL.asking({"drive": "big"}, {"drive": frozenset({"big"})}).answer
    assert answer.count == 0
    assert "big" not in {choice.part.name for choice in answer.choices["drive"]}


def test_a_part_ruled_out_by_its_partners_names_them():
    answer = SMALL.asking({"size": "small"}).answer
    (choice,) = [choice for choice in answer.choices["outlet"] if choice.part.name == "thread"]
    assert choice.builds == 0
    assert choice.reasons == ()
    assert set(choice.blocked) == {"tip joint on the head", "pick size=small"}


def test_a_rule_that_no_part_moves_shuts_out_every_build():
    potting = {
        "kind": "potting",
        "volume": "60 mL",
        "fill_time": "60 s",
        "free_area": "10 cm^2",
        "rise_rate_max": "0.9 mm/s",
    }
    answer = SMALL.having({"process.deposit": potting}).answer
    assert answer.count == 0
    assert all(choice.builds == 0 for choices in answer.choices.values() for choice in choices)


def test_an_unproven_moment_beside_a_payload_shuts_out_no_more_than_the_payload():
    """The moment is unknown without its lever; the payload still rules out what is too heavy."""
    heavy = SMALL.having({"process.carrier.payload": "2.5 kg"})
    both = heavy.having({"process.carrier.moment": "9 N*m"})
    assert 0 < heavy.answer.count < SMALL.answer.count
    assert both.answer.count == heavy.answer.count
    assert both.answer.counts[State.UNPROVEN] == both.answer.count


def test_a_ratio_of_which_one_side_is_an_estimate_is_counted_as_its_builds_say():
    world = TWO_PART.having(
        {
            "cavity.opening_pressure": "0.05 bar",
            "process.back_pressure": "2 bar",
            "process.temperature": "0..40 degC",
            "process.tolerance": "40 %",
            "a.flow.activation_energy": None,
            "b.flow.activation_energy": "10..70 kJ/mol",
            "a.flow.viscosity": "1 Pa*s",
            "b.flow.viscosity": "1 Pa*s",
            "mix.mixed_viscosity": "1 Pa*s",
        }
    )
    demand = world.finding("ratio of the two sides").demand
    assert isinstance(demand, float)
    tight = world.having({"mix.ratio_tolerance": f"{99 * demand!r} %"})
    assert tight.finding("ratio of the two sides").state is State.UNPROVEN
    assert tight.only_base.answer.counts[State.UNPROVEN] == 1


def test_the_base_world_considers_one_combination():
    assert WORLD.only_base.answer.considered == 1


def test_figures_that_no_head_can_have_are_a_fault_of_the_catalog():
    closed = WORLD.having({"cavity.opening_pressure": "400 bar"})

    with pytest.raises(CatalogError, match="catalog check"):
        _ = closed.answer


STEEP = {
    "component.flow.model": "power law",
    "component.flow.viscosity": None,
    "component.flow.consistency": "1e-9 Pa*s^n",
    "component.flow.index": "0.01",
}
"""A stress that moves this hundredfold changes its rate by the hundredth power: no float holds it."""


@pytest.mark.parametrize("pressure", ["1 bar", "5 bar", "8 bar"])
def test_a_rate_that_no_float_holds_is_no_fault_where_nothing_leaks(pressure):
    counts = SMALL.having(STEEP | {"process.back_pressure": pressure}).answer.counts

    assert counts[State.FITS] == counts[State.MARGINAL] == 0


def test_a_request_beyond_the_formulas_is_not_blamed_on_the_catalog(monkeypatch):
    world = SMALL.having(STEEP)
    real = answering._answer

    def beyond(question, *shop):
        if question.material == world.question.material:
            raise PhysicsDomainError("rate must be zero or positive, and finite, got array([inf])")
        return real(question, *shop)

    monkeypatch.setattr(answering, "_answer", beyond)
    with pytest.raises(InputError) as caught:
        _ = world.answer
    (fault,) = caught.value.faults
    assert fault.where == f"material {world.question.material.name}"
    assert "must be" in fault.given
    assert "array" not in fault.given
    assert "reach of the formulas" in fault.accepted


def test_a_pick_under_another_word_for_its_slot_gets_the_slot():
    with pytest.raises(InputError, match=r"did you mean outlet\?"):
        Workshop(WORLD.catalog).answer(replace(WORLD.question, picks={"tip": "needle"}))
    with pytest.raises(InputError, match=r"did you mean a\.drive or b\.drive\?"):
        Workshop(TWO_PART.catalog).answer(replace(TWO_PART.question, picks={"motor": "m"}))
