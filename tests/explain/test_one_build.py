"""One build under many requests at once, against each request by itself, put anew."""

from __future__ import annotations

import math

import numpy as np
import pytest
from draws import ALL
from shipped import shipped_answer
from two_part_world import TWO_PART

from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.chosen import rows_of
from configurator.explain.one_build import OneBuild
from configurator.explain.what_if import WhatIf
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answering import subject_of

PAIRS = [
    ("bracket-acrylate", "bracket-bead"),
    ("bay-potting", "bay-potting-pour"),
    ("hinge-grease", "hinge-dots"),
    ("mast-compound", "gland-fill"),
    ("window-silicone", "window-bead"),
    ("cap-gel", "cap-dots"),
]


def requests(answer):
    """A near, far or farthest setting of everything that a request can be moved in, in turns."""
    found = []
    for number, adjustment in enumerate(adjustments_of(answer.question)):
        last = len(adjustment.settings) - 1
        turns = (0, last // 2, last)
        for at in (turns if ALL else turns[number % 3 :][:1]) if adjustment.continuous else (0,):
            changed = with_adjustment(adjustment, answer.question, adjustment.settings[at])
            if changed is not None and not adjustment.field.startswith(("pick", "without")):
                found.append(changed)
    return found


def said_anew(parts, subject):
    """State, broken rules and excess of each rule with a fresh start."""
    frame, _ = rows_of([parts])
    states, excess = {}, {}
    for applied in apply_rules(Case(subject, frame), RULEBOOK):
        outcome = applied.outcome.whole
        states[applied.title] = State(int(outcome.states.max()))
        if isinstance(outcome, Comparison) and outcome.cap is State.RULED_OUT:
            need, allow = (float(side.reshape(-1)[0]) for side in outcome.sides(State.UNPROVEN))
            largest = max(abs(need), abs(allow))
            if 0.0 < largest < math.inf:
                excess[applied.title] = (need - allow) / largest
    return states, excess


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_many_requests_at_once_say_of_a_build_what_each_says_by_itself(pair):
    answer = shipped_answer(*pair)
    agree(answer, answer.first.parts, requests(answer))


def test_so_they_do_where_a_build_is_out_as_it_stands():
    answer = TWO_PART.answer
    parts = {slot: every[-1] for slot, every in answer.frame.parts.items()}
    agree(answer, parts, requests(answer))


def agree(answer, parts, changed):
    what_if = WhatIf(answer)
    build = OneBuild(parts, answer.subject)
    with np.errstate(all="ignore"):
        looks = build.under([what_if.subject(question) for question in changed])
        out = 0
        for question, look in zip(changed, looks, strict=True):
            subject = subject_of(question, what_if.catalog, what_if.evidence)
            states, excess = said_anew(parts, subject)
            broken = [title for title, state in states.items() if state is State.RULED_OUT]
            titles = [each.title for each in build.judgements]
            assert [titles[number] for number in look.broken] == broken
            assert look.is_out == bool(broken)
            assert look.state is max(states.values())
            for number, title in enumerate(titles):
                if title in excess:
                    assert look.excess([number]) == pytest.approx(excess[title], rel=1e-9, abs=1e-9)
            out += bool(broken)
            if broken:
                assert look.finding(look.broken[0]).rule == broken[0]
    assert out
