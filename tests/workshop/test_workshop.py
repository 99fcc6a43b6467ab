"""The one door: what a shop holds, and that nothing else makes an answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_catalog import SMALL
from two_part_world import TWO_PART

from configurator.errors import InputError, NoBuildError, UsageError
from configurator.screen.judge import judge
from configurator.screen.verdict import verdict_on

PACKAGE = Path(__file__).resolve().parents[2] / "configurator"


def names(build):
    return {slot: part.name for slot, part in build.parts.items()}


def test_nothing_but_the_workshop_makes_an_answer():
    makes = {
        path.relative_to(PACKAGE).as_posix()
        for path in PACKAGE.rglob("*.py")
        if "answer_to" in path.read_text(encoding="utf-8")
    }

    assert makes == {"workshop/answering.py", "workshop/workshop.py"}


@pytest.mark.parametrize("slot", SMALL.slots)
def test_parts_kept_for_a_list_are_as_picks_and_exclusions_of_each_question(slot):
    material, process = SMALL.question.material, SMALL.question.process
    parts = SMALL.catalog.slot(slot)
    for picks, without in (
        ({slot: parts[0].name}, {}),
        ({}, {slot: frozenset({parts[-1].name})}),
    ):
        if without and len(parts) == 1:
            with pytest.raises(InputError, match="a slot with a part left"):
                SMALL.workshop.keeping(picks, without)
            continue
        asked = SMALL.workshop.answer(replace(SMALL.question, picks=picks, without=without))
        kept = SMALL.workshop.keeping(picks, without)
        found = kept.answer(SMALL.question)

        assert found.counts == asked.counts
        assert (found.first is None) == (asked.first is None)
        if found.first is not None:
            assert names(found.first) == names(asked.first)
        assert judge([material], process, kept) == [verdict_on(material, process, kept)]


def test_parts_kept_hold_for_both_sides():
    size = next(iter(TWO_PART.catalog.slot("stator"))).name
    kept = TWO_PART.workshop.keeping({"stator": size}, {})
    both = {"a.stator": size, "b.stator": size}

    asked = TWO_PART.workshop.answer(replace(TWO_PART.question, picks=both))
    assert kept.answer(TWO_PART.question).counts == asked.counts


def test_a_shop_that_keeps_other_parts_has_another_digest():
    part = SMALL.catalog.slot("stator")[0].name
    picked = SMALL.workshop.keeping({"stator": part}, {}).catalog
    without = SMALL.workshop.keeping({}, {"stator": frozenset({part})}).catalog

    assert len({SMALL.catalog.sha256, picked.sha256, without.sha256}) == 3
    assert f"stator={part}" in picked.where
    assert SMALL.workshop.keeping({}, {"stator": frozenset()}) is SMALL.workshop


@pytest.mark.parametrize(("slot", "name"), [("statr", "x"), ("a.stator", "x"), ("stator", "none")])
def test_parts_that_there_are_not_are_refused(slot, name):
    with pytest.raises(InputError, match="--without"):
        SMALL.workshop.keeping({}, {slot: frozenset({name})})


def test_a_build_by_its_number_is_there_or_it_is_said_why_not():
    answer = SMALL.answer
    assert names(answer.build(2)) == names(answer.builds(limit=2)[1])
    for rank in (0, answer.count + 1):
        with pytest.raises(UsageError, match=f"accepted: 1 to {answer.count}"):
            answer.build(rank)
    none = answer.with_question(replace(SMALL.question, picks={"stator": "no such"}))
    with pytest.raises(NoBuildError, match="no build exists"):
        none.build(1)


def test_the_first_build_is_there_whether_or_not_the_list_is_strict():
    strict = SMALL.answer.with_question(replace(SMALL.question, strict=True))

    assert strict.first == SMALL.answer.first
    assert strict.listed < SMALL.answer.listed == SMALL.answer.count
