"""Remedies and break points, on random small catalogs and requests, against the full product."""

from __future__ import annotations

import math

import numpy as np
import pytest
from draws import draws
from every_combination import SETTINGS, Product, hard_worlds
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from random_worlds import worlds

from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.break_points import break_points_of
from configurator.explain.chosen import judged
from configurator.explain.remedy import remedies_for
from configurator.explain.what_if import WhatIf
from configurator.physics.domain import PhysicsDomainError
from configurator.rules.finding import State


@settings(SETTINGS, max_examples=draws(5, 9))
@given(hard_worlds())
def test_each_remedy_opens_a_build_and_a_slightly_smaller_change_opens_none(world):
    assume(not world.answer.count)
    found = remedies_for(WhatIf(world.answer), budget=2.0)

    for remedy in (*found.single, *found.pairs):
        assert Product(world, remedy.question).count == remedy.builds > 0
        last = remedy.moves[-1]
        if last.adjustment.continuous:
            assert Product(world, remedy.short_question).count == 0
            if last.adjustment.at_rest:
                assert abs(math.log(last.setting / last.short)) < 0.01


@settings(SETTINGS, max_examples=draws(5, 9))
@given(worlds(), st.data())
def test_each_flip_point_breaks_within_one_percent_and_not_before(world, data):
    assume(world.answer.count)
    build = world.answer.builds(limit=1)[0]
    every = sorted(
        {adjustment.field for adjustment in adjustments_of(world.question) if adjustment.continuous}
    )
    fields = data.draw(st.sets(st.sampled_from(every), min_size=1, max_size=2))

    found = break_points_of(world.answer, build.parts, fields=fields, budget=9.0, successors=False)

    what_if = WhatIf(world.answer)

    def out(question) -> bool:
        state = judged(world.answer, [build.parts], what_if.subject(question))[0].state
        return state is State.RULED_OUT

    with np.errstate(all="ignore"):
        for point in found.points:
            assert not out(point.requests[0])
            assert out(point.requests[1])
            adjustment = point.adjustment
            for share in (0.1, 0.4, 0.7, 0.9):
                part = (
                    point.held**share
                    if adjustment.at_rest
                    else adjustment.at_rest + share * (point.held - adjustment.at_rest)
                )
                between = with_adjustment(adjustment, world.question, part)
                assert between is None or not out(between)
            if adjustment.at_rest:
                assert abs(math.log(point.setting / point.held)) < 0.01


@SETTINGS
@given(hard_worlds(), st.data())
def test_keeping_what_a_change_cannot_move_changes_no_answer(world, data):
    """The quick way hears only rules that a field could move; all are heard here."""
    adjustment = data.draw(st.sampled_from(adjustments_of(world.question)))
    setting = data.draw(st.sampled_from(adjustment.settings))
    changed = with_adjustment(adjustment, world.question, setting)
    assume(changed is not None)
    what_if = WhatIf(world.answer)
    try:
        left = Product(world, changed).count
    except PhysicsDomainError:
        pytest.skip("beyond what a formula takes")

    assert what_if.exists(changed) == (left > 0)
