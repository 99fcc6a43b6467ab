"""Shortlists against every combination: what each head is best for, and which of those alike it is."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from every_combination import SETTINGS, Product, hard_worlds, least_margins
from hypothesis import given, settings
from hypothesis import strategies as st
from random_worlds import two_part_worlds, worlds
from shipped import shipped_answer
from small_catalog import SMALL
from two_part_world import TWO_PART

from configurator.errors import HeadwrightError
from configurator.report.shortlist import shortlist_json, shortlist_text
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.outcome import Grades
from configurator.rules.rulebook import RULEBOOK
from configurator.units.display import round3
from configurator.workshop.answering import parts_of
from configurator.workshop.figures import FIGURES
from configurator.workshop.heads import is_exchanged
from configurator.workshop.margins import LEAST_MARGIN
from configurator.workshop.shortlist import PURPOSES, shortlist_of


def as_well_kept_as_first(case: Case, rows: int) -> np.ndarray:
    """Which rows keep every rule as the first does: a number may be one step deeper."""
    kept = np.ones(rows, dtype=bool)
    for applied in apply_rules(case, RULEBOOK):
        steps = np.broadcast_to(applied.outcome.whole.steps, (rows,))
        more = 0 if isinstance(applied.outcome, Grades) else 1
        kept &= steps <= steps[0] + more
    return kept


def first_alike(worth: np.ndarray, first_rows: dict, heads: list[tuple[int, ...]]) -> int:
    """The row that a purpose takes: that of a head that is listed already if it shows the same."""
    best = round3(float(worth.max()))
    for head, row in first_rows.items():
        of_it = np.array([each == head for each in heads])
        there = float(worth[of_it].max())
        if round3(float(worth[row])) == best:
            return row
        if np.isfinite(there) and round3(there) == best:
            return int(np.flatnonzero(of_it & (worth >= there - 2e-6 * max(1.0, abs(there))))[0])
    return int(np.flatnonzero(worth >= worth.max() - 2e-6 * max(1.0, abs(worth.max())))[0])


def check(world) -> None:
    answer = world.answer
    oracle = Product(world)
    listed = oracle.listed
    found = shortlist_of(answer)
    if not len(listed):
        assert found is None
        return
    state = oracle.worst[listed[0]]
    in_state = listed[oracle.worst[listed] == state]
    parts = parts_of(replace(world.question, without={}), world.catalog)
    every = Case(answer.subject, Frame(parts, oracle.rows[in_state]))
    rows = in_state[as_well_kept_as_first(every, len(in_state))]
    assert found is not None
    assert found.state is State(int(state))
    case = Case(answer.subject, Frame(parts, oracle.rows[rows]))
    read = {figure.name: figure for figure in FIGURES}
    served = {each.name: each for head in found.heads for each in head.purposes}
    of_head = [place for place, slot in enumerate(oracle.slots) if not is_exchanged(slot)]
    heads_of_rows = [tuple(row) for row in oracle.rows[rows][:, of_head].tolist()]
    first_rows: dict[tuple[int, ...], int] = {}
    assert {*served, *(each.name for each in found.unserved)} == set(PURPOSES)
    for name, figure in PURPOSES.items():
        if figure == LEAST_MARGIN:
            of_state = least_margins(every, len(in_state))[np.isin(in_state, rows)]
            values, sign = np.floor(of_state * 100.0 + 1e-6), 1.0
            values = np.where(np.isinf(values), np.nan, values)
        else:
            values = np.broadcast_to(read[figure].read(case), len(rows))
            sign = 1.0 if read[figure].highest_first else -1.0
        worth = np.where(np.isfinite(values), sign * values, -np.inf)
        if not np.isfinite(worth).any():
            assert name not in served
            continue
        best = worth.max()
        assert round3(served[name].value) == pytest.approx(round3(sign * best), rel=1e-6, abs=1e-6)
        at = first_alike(worth, first_rows, heads_of_rows)
        first_rows.setdefault(heads_of_rows[at], at)
        first = oracle.rows[rows[at]]
        chosen = served[name].build
        assert [part.name for part in chosen.parts.values()] == [
            oracle.names[slot][place] for slot, place in zip(oracle.slots, first, strict=True)
        ], name
    heads = {
        tuple(
            place for slot, place in zip(oracle.slots, row, strict=True) if not is_exchanged(slot)
        )
        for row in oracle.rows[in_state].tolist()
    }
    listed_heads = [
        tuple(part.name for slot, part in each.head.best.parts.items() if not is_exchanged(slot))
        for each in found.heads
    ]
    assert len(set(listed_heads)) == len(listed_heads)
    assert min(3, len(heads)) <= len(listed_heads) <= 6


@SETTINGS
@given(st.one_of(worlds(), hard_worlds()))
def test_each_head_is_the_first_of_all_that_no_other_beats(world):
    try:
        world.answer  # noqa: B018 - some worlds are beyond the formulas
    except HeadwrightError:
        return
    check(world)


@settings(SETTINGS, max_examples=8)
@given(two_part_worlds())
def test_so_it_is_where_two_sides_meet(world):
    check(world)


@pytest.mark.parametrize("world", [SMALL, TWO_PART], ids=["one part", "two parts"])
def test_known_worlds_have_a_shortlist(world):
    check(world)
    assert shortlist_of(world.answer)


@pytest.mark.parametrize(
    ("material", "process"), [("lid-sealant", "lid-bead"), ("hull-paste", "hull-seam")]
)
def test_no_purpose_is_won_by_what_could_have_been_avoided(material, process):
    """The cheapest of all builds passes limits, or is of parts that suffer, for a few pence."""
    answer = shipped_answer(material, process)
    found = shortlist_of(answer)
    cheapest = answer.with_question(replace(answer.question, sort="cost_index")).first
    before = {each.rule: each for each in found.first.findings}
    assert any(each.short > before[each.rule].short + 1 for each in cheapest.findings)
    for head in found.heads:
        for purpose in head.purposes:
            for each in purpose.build.findings:
                allowed = before[each.rule].short + (each.unit != "verdict")
                assert each.short <= allowed, (purpose.name, each.rule)


def test_what_has_no_data_is_told_and_never_dropped():
    answer = shipped_answer("lid-sealant", "lid-bead")
    found = shortlist_of(answer)
    assert [each.name for each in found.unserved] == ["least waste"]
    assert "least waste: no data" in shortlist_text(answer, found)
    told = json.loads(shortlist_json(answer, found))
    waste = next(each for each in told["purposes"] if each["purpose"] == "least waste")
    assert (waste["head"], waste["parts"]) == (None, None)
    assert "[production]" in waste["no_data"]


def test_picks_and_strictness_hold_in_a_shortlist():
    answer = shipped_answer("probe-grease", "plug-grease")
    picked = answer.with_question(
        replace(answer.question, picks={"outlet": "needle-14g-50"}, strict=True)
    )
    found = shortlist_of(picked)
    assert found.state is State.FITS
    for head in found.heads:
        assert head.head.best.parts["outlet"].name == "needle-14g-50"
        assert math.isfinite(head.head.best.figures[LEAST_MARGIN])
    assert (
        shortlist_of(answer.with_question(replace(answer.question, picks={"size": "h6"}))) is None
    )


def test_what_is_given_up_against_the_next_is_worse_there():
    answer = shipped_answer("hinge-grease", "hinge-dots")
    told = json.loads(shortlist_json(answer, shortlist_of(answer)))
    highest = {figure.name for figure in FIGURES if figure.highest_first}
    by_rank = {head["rank"]: head for head in told["heads"]}
    for head in told["heads"]:
        other = by_rank[head["gives_up"]["against"]]
        for name in PURPOSES.values():
            here, there = head["figures"][name], other["figures"][name]
            worse = here < there if name in highest else here > there
            if name in head["gives_up"]["figures"]:
                assert worse
            elif worse:
                assert here == pytest.approx(there, rel=5e-3)  # alike in three digits


@pytest.mark.parametrize(
    ("material", "process"),
    [
        ("bearing-oil", "pulley-drops"),
        ("cap-gel", "cap-dots"),
        ("hinge-grease", "hinge-dots"),
        ("bay-potting", "bay-potting-pour"),
    ],
)
def test_what_two_heads_show_alike_goes_to_the_one_that_is_listed_already(material, process):
    """A dearer head that is no better in any figure shown is best for nothing."""
    found = shortlist_of(shipped_answer(material, process))
    for place, head in enumerate(found.heads):
        for earlier in found.heads[:place]:
            for purpose in head.purposes:
                there = earlier.head.best.figures[purpose.figure]
                assert there is None or round3(there) != round3(purpose.value), purpose.name


def test_refills_are_told_where_they_are_what_one_gives_up():
    answer = shipped_answer("hinge-grease", "hinge-dots")
    found = shortlist_of(answer)
    told = json.loads(shortlist_json(answer, found))["heads"]
    refills = [head["figures"]["refills_per_shift"] for head in told]
    following = [*refills[1:], refills[0]]
    worse = [here > there * 1.005 for here, there in zip(refills, following, strict=True)]
    assert any(worse)
    assert ["refills_per_shift" in head["gives_up"]["figures"] for head in told] == worse
    assert "refills a shift" in shortlist_text(answer, found).partition("gives up")[2]
