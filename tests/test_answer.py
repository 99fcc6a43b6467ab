"""What an answer holds: pages, orders, and findings of which every figure can be traced."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from shipped import shipped_answer
from small_catalog import SMALL
from small_world import WORLD
from two_part_world import TWO_PART
from ways import SPREAD

from configurator.chemistry.cautions import HEAVY_HEAD
from configurator.errors import UsageError
from configurator.explain.why_none import emptying
from configurator.report.builds import heads_page
from configurator.report.heads import heads_table
from configurator.rules.finding import Finding, State
from configurator.rules.prices import DIGITS
from configurator.rules.rulebook import RULEBOOK
from configurator.units.interval import Basis
from configurator.workshop.figures import FIGURES, figure_named

EVERY = 10_000

WORLDS = {
    "one part": SMALL,
    "wide and estimated": SMALL.having(SPREAD),
    "density unknown": SMALL.having({"component.density": None}),
    "two parts": TWO_PART,
}


def names(ranked):
    return tuple(part.name for part in ranked.parts.values())


@pytest.fixture(scope="module")
def every():
    return SMALL.answer.builds(limit=EVERY)


def test_ranks_run_from_one_and_builds_are_distinct(every):
    assert [ranked.rank for ranked in every] == list(range(1, SMALL.answer.count + 1))
    assert len({names(ranked) for ranked in every}) == len(every)


def test_a_builds_state_is_the_worst_of_its_findings(every):
    for ranked in every:
        assert ranked.state is max(finding.state for finding in ranked.findings)


def test_pages_put_together_are_the_list(every):
    answer = SMALL.answer
    for size in (1, 7, 50):
        starts = range(0, min(len(every), 8 * size) + size, size)
        pages = [answer.builds(offset=start, limit=size) for start in starts]
        joined = [ranked for page in pages for ranked in page]
        assert joined == list(every[: len(joined)])
    assert answer.builds(offset=len(every), limit=5) == ()
    assert answer.builds(offset=len(every) - 1, limit=5) == every[-1:]
    assert answer.builds(limit=0) == ()


def asked(**order):
    return SMALL.answer.with_question(replace(SMALL.question, **order))


def test_strict_keeps_the_builds_that_fit_and_no_others(every):
    strict = asked(strict=True).builds(limit=EVERY)
    assert strict == every[: SMALL.answer.counts[State.FITS]]
    assert {ranked.state for ranked in strict} == {State.FITS}


SORTABLE = [figure for figure in FIGURES if figure.sorts]


@pytest.mark.parametrize("figure", SORTABLE, ids=lambda figure: figure.name)
def test_lists_are_in_order_of_state_then_figure_then_the_usual_order(figure, every):
    found = asked(sort=figure.name).builds(limit=EVERY)
    assert {names(ranked) for ranked in found} == {names(ranked) for ranked in every}
    states = [ranked.state for ranked in found]
    assert states == sorted(states)
    sign = -1.0 if figure.highest_first else 1.0

    def value(ranked):
        number = ranked.figures[figure.name]
        return math.inf if number is None else sign * number

    # A sum is sorted in whole steps of its span, one rounding for each summand.
    finite = [abs(value(ranked)) for ranked in found if math.isfinite(value(ranked))]
    slack = 0.0 if figure.terms is None else 40 * max(finite, default=0.0) * 10.0**-DIGITS
    rank = {names(ranked): ranked.rank for ranked in every}
    for before, after in pairwise(found):
        if before.state is not after.state:
            continue
        assert value(before) <= value(after) + slack
        if slack == 0.0 and value(before) == value(after):
            assert rank[names(before)] < rank[names(after)]


def test_a_figure_that_lists_cannot_be_sorted_by_is_refused():
    with pytest.raises(UsageError, match="pressure_allowed_bar"):
        figure_named("pressure_allowed_bar")
    with pytest.raises(UsageError, match="did you mean torque_nm"):
        figure_named("torque_mn")


@pytest.mark.parametrize("world", WORLDS.values(), ids=WORLDS.keys())
def test_every_figure_of_every_finding_can_be_traced(world):
    rules = {rule.name: rule for rule in RULEBOOK}
    answer = world.answer
    builds = answer.builds(limit=60)
    assert builds
    for ranked in builds:
        for finding in ranked.findings:
            check(finding)
            assert finding.rule.removeprefix("a: ").removeprefix("b: ") in rules
        for name, figure in ranked.figures.items():
            assert name in {entry.name for entry in FIGURES}
            assert figure is None or math.isfinite(figure)
    for choices in answer.choices.values():
        for choice in choices:
            for finding in choice.reasons:
                check(finding)
                assert finding.state is State.RULED_OUT


def check(finding: Finding) -> None:
    assert isinstance(finding.state, State)
    assert isinstance(finding.basis, Basis)
    assert isinstance(finding.corner, str)
    assert isinstance(finding.at_least, bool)
    assert finding.reason
    assert not set("{}") & set(finding.reason)
    assert finding.reason.isprintable()
    assert " nan" not in finding.reason
    assert "  " not in finding.reason
    if finding.unit == "verdict":
        assert isinstance(finding.demand, str)
        assert finding.demand
        assert isinstance(finding.limit, str)
        assert finding.limit
        assert finding.margin is None
        return
    for number in (finding.demand, finding.limit, finding.margin):
        assert number is None or (isinstance(number, float) and math.isfinite(number))
    if finding.demand is not None and finding.limit is not None:
        assert finding.margin is not None or finding.limit == 0.0
    if finding.state is State.UNPROVEN and finding.demand is None:
        assert "unknown" in finding.reason


def test_an_unknown_demand_is_told_as_unknown():
    finding = WORLD.having({"component.density": None}).finding("volume error")
    assert finding.demand is None
    assert finding.margin is None
    assert finding.limit == pytest.approx(0.01)
    assert "unknown" in finding.reason


def test_the_tightest_finding_has_the_least_margin(every):
    for ranked in every[:20]:
        tightest = ranked.tightest
        assert tightest is not None
        margins = [finding.margin for finding in ranked.findings if finding.margin is not None]
        assert tightest.margin == min(margins)


def test_causes_name_the_rule_that_takes_most_parts_first():
    causes = emptying(SMALL.answer.left, SMALL.answer.losses, ())
    assert "chemistry of the stator" in {cause.rule for cause in causes}
    parts = [cause.parts for cause in causes]
    assert parts == sorted(parts, reverse=True)
    for cause in causes:
        assert cause.parts > 0
        assert cause.nearest.state is State.RULED_OUT


def test_the_mass_of_a_build_is_among_what_to_mind():
    answer = shipped_answer("hull-paste", "hull-seam")
    (first,) = answer.builds(limit=1)
    assert first.figures["head_mass_kg"] > HEAVY_HEAD
    assert [each.topic for each in answer.cautions_of(first)][-1] == "heavy lift"
    assert "heavy lift" in heads_table(heads_page(answer, limit=1))
    light = shipped_answer("hinge-grease", "hinge-dots")
    assert light.cautions_of(*light.builds(limit=1)) == light.cautions
