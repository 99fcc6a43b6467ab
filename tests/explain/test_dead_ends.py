"""What is kept of changes that open nothing."""

from __future__ import annotations

from two_part_world import TWO_PART

from configurator.explain.what_if import DeadEnds, WhatIf
from configurator.rules.existence import EmptySlot

JUDGEMENTS = WhatIf(TWO_PART.answer).evaluation.rules.judgements
RULE = next(each for each in JUDGEMENTS if each.rule.name == "pressure in the body")


def after(empty: EmptySlot, moves: dict[str, object]) -> DeadEnds:
    known = DeadEnds(JUDGEMENTS)
    known.add(empty, moves)
    return known


def test_a_wish_that_took_parts_out_has_to_stay():
    known = after(EmptySlot(frozenset(), frozenset({"a.cavity"})), {"pick a.cavity": "one"})

    assert known.hold({"pick a.cavity": "one"})
    assert known.hold({"pick a.cavity": "one", "pick outlet": "fine"})  # no matter to that slot
    assert not known.hold({"pick a.cavity": "two"})
    assert not known.hold({})


def test_so_has_an_exclusion():
    known = after(EmptySlot(frozenset(), frozenset({"outlet"})), {"without outlet": ("fine",)})

    assert known.hold({"without outlet": ("fine",)})
    assert not known.hold({"without outlet": ()})
    assert not known.hold({})


def test_what_a_rule_reads_has_to_stay_as_it_is_and_no_more():
    field = "process.back_pressure"
    known = after(EmptySlot(frozenset({RULE.number}), frozenset({"outlet"})), {field: 2e5})

    assert known.reads(RULE.number, field)
    assert known.hold({field: 2e5})
    assert known.hold({field: 2e5, "process.carrier.payload": 3.0})
    assert not known.hold({field: 1e5})
    assert not known.hold({field: 2e5, "a.flow": "thicker"})
