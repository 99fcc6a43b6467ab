"""Counts of changed requests on the shipped catalog: the same numbers as a space gives."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from two_part_world import TWO_PART

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.again import Again
from configurator.explain.counts import Counts
from configurator.explain.recount import Recount
from configurator.physics.domain import PhysicsDomainError
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.workshop.workshop import Workshop

ADJUSTED = [
    ("hull-paste", "hull-seam", "a.flow", 1.3),
    ("hull-paste", "hull-seam", "mix.ratio_tolerance", 0.3),
    ("bracket-acrylate", "bracket-bead", "b.flow", 0.5),
    ("bay-potting", "bay-potting-pour", "process.deposit.volume", 1.5),
    ("void-filler", "void-pour", "a.filler.d99", 2.2),
    ("cable-cast", "cable-exit-cast", "process.back_pressure", 2e5),
    ("mast-compound", "gland-fill", "component.flow", 1.5),
    ("hinge-grease", "hinge-dots", "process.carrier.payload", 0.2),
]


@cache
def answer(material: str, process: str, picks: tuple[tuple[str, str], ...] = ()):
    shipped = shipped_folder()
    examples = shipped / "examples"
    catalog = load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")
    question = Question(
        load_material(material, folder=examples),
        load_process(process, folder=examples),
        picks=dict(picks),
    )
    return Workshop(catalog).answer(question)


def adjusted(question: Question, field: str, setting: float) -> Question:
    adjustment = next(
        each for each in adjustments_of(question) if each.field == field and each.continuous
    )
    changed = with_adjustment(adjustment, question, setting)
    assert changed is not None
    return changed


@pytest.mark.parametrize(("material", "process", "field", "setting"), ADJUSTED)
def test_a_changed_request_has_as_many_builds_as_a_space_of_its_own(
    material, process, field, setting
):
    again = Again(answer(material, process))
    changed = adjusted(again.question, field, setting)
    solved = again.answer(changed)
    assert solved is not None
    assert Counts.of(solved) != Counts.of(answer(material, process))
    assert Recount(again).counts(changed) == Counts.of(solved)


@pytest.mark.parametrize(("material", "process", "field", "setting"), ADJUSTED)
def test_the_best_build_is_the_first_of_the_whole_list(material, process, field, setting):
    again = Again(answer(material, process))
    changed = adjusted(again.question, field, setting)
    solved = again.answer(changed)
    assert solved is not None
    first = solved.builds(limit=1)[0] if solved.count else None
    best = Recount(again).best(changed)
    assert (best and best.parts) == (first and first.parts)
    assert (best and best.state) == (first and first.state)


def test_picks_and_exclusions_count_as_they_do_in_the_list():
    whole = answer("hinge-grease", "hinge-dots")
    stators = [c.part.name for c in whole.choices["stator"] if c.builds]
    sizes = [c.part.name for c in whole.choices["size"] if c.builds]
    asked = replace(
        whole.subject.question,
        picks={"size": sizes[0]},
        without={"stator": frozenset(stators[:1])},
    )
    narrowed = Workshop(whole.subject.catalog).answer(asked)
    assert 0 < narrowed.count < whole.count
    assert Recount(Again(narrowed)).counts(asked) == Counts.of(narrowed)


def test_a_request_that_no_formula_reaches_has_none(monkeypatch):
    again = Again(TWO_PART.answer)

    def beyond(_request: Question) -> None:
        raise PhysicsDomainError("flow_rate must be positive")

    monkeypatch.setattr(again, "board", beyond)
    assert Recount(again).counts(again.question) == Counts(0, 0, 0)


def test_only_what_moves_the_flow_is_worked_out_again():
    again = Again(answer("hull-paste", "hull-seam"))
    as_stated = again.subject(again.question)
    for field, alike in (
        ("process.tolerance", True),
        ("a.filler.d99", True),
        ("process.deposit.path_length", True),
        ("b.flow", False),
        ("process.back_pressure", False),
        ("mix.pot_life.value", False),
    ):
        setting = 2e5 if field == "process.back_pressure" else 1.3
        changed = again.subject(adjusted(again.question, field, setting))
        assert as_stated.flows_like(changed) is alike, field
