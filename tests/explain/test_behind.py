"""Why a build stands where it does: the first element of the key that tells it from the first build."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped import shipped_answer
from small_catalog import SMALL

from configurator.explain.behind import why_behind

KEY = ("shortfall_steps", "comfort_steps", "cost_index")


@pytest.mark.parametrize("sort", ["shortfall_steps", "cost_index", "torque_nm"])
def test_what_is_named_is_the_first_of_the_key_that_differs(sort):
    answer = SMALL.answer.with_question(replace(SMALL.question, sort=sort))
    first, *others = answer.builds(limit=10_000)
    assert others
    assert why_behind(answer, first) == ""
    for build in others:
        said = why_behind(answer, build)
        if build.state is not first.state:
            assert said.endswith(f" {first.state.words}.")
            continue
        names = list(dict.fromkeys((sort, *KEY)))
        differing = [n for n in names if build.figures[n] != first.figures[n]]
        titles = {
            "shortfall_steps": "by steps short of what rules ask,",
            "comfort_steps": "by steps away from the middle",
            "cost_index": "by cost index,",
            "torque_nm": "by running torque,",
        }
        assert (titles[differing[0]] if differing else "by names alone") in said


def test_the_rule_that_a_part_keeps_less_well_is_named():
    answer = shipped_answer("lid-sealant", "lid-bead", rotor="316l-l")
    build = answer.first
    free = shipped_answer("lid-sealant", "lid-bead")
    deeper = {each.rule: each.short for each in build.findings}
    before = {each.rule: each.short for each in free.first.findings}
    said = why_behind(free, build)
    named = [rule for rule in deeper if deeper[rule] > before.get(rule, 0)]
    assert named == ["rotor surface against filler hardness"]
    assert f"'{named[0]}' 2 steps more" in said
