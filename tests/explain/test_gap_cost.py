"""What each gap costs, against the same question asked with the gap closed by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped import shipped_answer, shipped_catalog
from small_world import WORLD

from configurator.chemistry.evidence import Evidence
from configurator.explain.counts import Counts
from configurator.explain.ends import supposed_soak
from configurator.explain.gap_cost import gap_costs, open_contacts
from configurator.request.movable import movables
from configurator.workshop.workshop import Workshop

TWO_OF_A_KIND = WORLD.with_parts(
    {
        "body": [{"name": "plain"}, {"name": "odd", "material": "UNSEEN"}],
        "stator": [
            {"name": "soft", "material": "RUBBER"},
            {"name": "new", "material": "NEW RUBBER"},
            {"name": "fair", "material": "SOFT RUBBER"},
            {"name": "bad", "material": "BAD RUBBER"},
        ],
        "seal": [
            {"name": "lip"},
            {"name": "new", "materials": ["NEW RUBBER"]},
            {"name": "both", "materials": ["NEW RUBBER", "UNSEEN"]},
        ],
    }
)

UNNAMED = {
    "component.complete": False,
    "component.constituents": [{"name": "plainol", "mass_fraction": "50 %"}],
}

FILLER = {
    "component.filler": {
        "name": "mystery",
        "d50": "100 um",
        "mohs": "3 Mohs",
        "shape": "sphere",
        "volume_fraction": "10 %",
    }
}


def counted(world, *records):
    return Counts.of(Workshop(world.catalog, Evidence(records)).answer(world.question))


def cost(costs, field):
    return next(each for each in (*costs.gaps, *costs.contacts) if each.field == field)


@pytest.mark.parametrize("changes", [{}, UNNAMED], ids=["named", "unnamed"])
@pytest.mark.parametrize("picks", [{}, {"stator": "new"}, {"stator": "bad"}], ids=str)
def test_a_soak_counts_as_if_it_had_been_made_and_everything_asked_again(changes, picks):
    world = TWO_OF_A_KIND.having(changes).asking(picks)
    answer = world.answer
    costs = gap_costs(answer)

    opened = open_contacts(answer)
    assert {contact.material for _, contact in opened} == {"UNSEEN", "NEW RUBBER"}
    for component, contact in opened:
        found = cost(costs, contact.material)
        for end, grade in ((found.good, "satisfactory"), (found.bad, "not satisfactory")):
            soak = supposed_soak(answer.subject, component, contact.material, grade)
            assert end is not None
            if end.text.startswith(grade):
                assert end.counts == counted(world, soak)
            else:
                assert found.good.counts == found.bad.counts


def test_a_datum_is_settled_at_both_ends_of_its_estimate():
    world = WORLD.having(FILLER)
    found = cost(gap_costs(world.answer), "component.filler.d99")
    by_hand = {
        size: counted(world.having({"component.filler.d99": size})) for size in ("200 um", "300 um")
    }

    assert by_hand["200 um"].total == 1
    assert by_hand["300 um"].total == 0
    assert (found.good.text, found.good.counts) == ("0.2 mm", by_hand["200 um"])
    assert (found.bad.text, found.bad.counts) == ("0.3 mm", by_hand["300 um"])


@pytest.mark.parametrize("key", ["flash_point"])
def test_no_build_hangs_on_what_is_said_to_be_read_by_no_rule(key):
    declared = movables(WORLD.question.material.component, "component")
    unread = {field.split(".")[-1]: each.unread for field, each, _ in declared if each.unread}
    assert set(unread) == {"flash_point"}
    texts = {"flash_point": ("-20 degC", "200 degC")}
    world = TWO_OF_A_KIND.having({"process.explosive_atmosphere": True})

    assert cost(gap_costs(world.answer), f"component.{key}").note == unread[key]
    for text in texts[key]:
        assert counted(world.having({f"component.{key}": text})) == counted(world)


def test_a_list_that_proves_complete_and_one_that_hides_an_attack():
    world = WORLD.having(UNNAMED)
    costs = gap_costs(world.answer)
    found = cost(costs, "component.complete")
    whole = WORLD.having(
        {"component.constituents": [{"name": "plainol"}], "component.complete": True}
    )

    assert costs.now == Counts(0, 0, 1)
    assert found.good.counts == counted(whole) == Counts(1, 0, 0)
    assert found.bad.counts == Counts(0, 0, 0)
    assert costs.together == Counts(1, 0, 0)


def test_with_no_constituent_at_all_a_soak_of_every_part_is_the_good_end():
    world = WORLD.having({"component.complete": False, "component.constituents": []})
    costs = gap_costs(world.answer)

    assert costs.now == Counts(0, 0, 1)
    assert cost(costs, "component.constituents").good.counts == Counts(1, 0, 0)
    assert cost(costs, "component.constituents").bad.counts == Counts(0, 0, 0)


def test_an_amount_that_is_not_stated_runs_from_nothing_to_what_the_others_leave():
    constituents = [{"name": "plainol", "mass_fraction": "70 %"}, {"name": "plainol b"}]
    world = WORLD.having({"component.constituents": constituents})
    found = cost(gap_costs(world.answer), "component.constituents[2].mass_fraction")

    assert {found.good.text, found.bad.text} <= {"0 %", "30 %"}


def test_a_gap_that_nothing_bounds_says_so():
    found = cost(gap_costs(WORLD.answer), "component.flow.batch_spread")

    assert found.good is found.bad is None
    assert "nothing bounds it" in found.note


def test_progress_is_told_up_to_the_last_count():
    told = []
    gap_costs(TWO_OF_A_KIND.having(UNNAMED).answer, progress=lambda *at: told.append(at))

    assert [done for done, _ in told] == list(range(1, told[0][1] + 1))
    assert len({solves for _, solves in told}) == 1


def test_findings_on_one_compound_are_counted_the_long_way():
    known = {
        "date": "2026-03-04",
        "material": "NEW RUBBER",
        "grade_name": "new",
        "substance": "plainol",
        "temperature_c": 23.0,
        "hours": 168.0,
        "grade": "satisfactory",
    }
    parts = {"stator": [{"name": name, "material": "NEW RUBBER"} for name in ("new", "other")]}
    world = WORLD.with_parts(parts).having({"evidence.records": [known]})
    answer = world.answer
    costs = gap_costs(answer)

    assert costs.now == Counts(1, 0, 1)
    found = cost(costs, "NEW RUBBER")
    assert found.good.counts == Counts(2, 0, 0)
    soak = supposed_soak(answer.subject, "component", "NEW RUBBER", "not satisfactory")
    evidence = Evidence((*answer.subject.evidence.records, soak))
    assert found.bad.counts == Counts.of(Workshop(world.catalog, evidence).answer(world.question))


def test_the_answer_itself_is_left_as_it_was():
    answer = TWO_OF_A_KIND.having(UNNAMED).answer
    before = replace(answer).counts
    gap_costs(answer)

    assert answer.counts == before
    assert answer.subject.evidence == Evidence()


def test_more_that_fit_is_better_than_more_in_all():
    assert Counts(1, 0, 0).rank > Counts(0, 9, 9).rank
    assert Counts(1, 2, 0).rank > Counts(1, 1, 9).rank
    assert Counts(0, 0, 2).rank > Counts(0, 0, 1).rank


def test_a_soak_of_what_is_limited_in_the_first_build_counts_as_if_it_had_been_made():
    """Chart grades hold the whole list at marginal: a soak of the EPDM stator settles them."""
    answer = shipped_answer("lid-sealant", "lid-bead")
    ((component, contact),) = open_contacts(answer)
    assert (contact.material, contact.grade) == ("EPDM", "limited")
    found = cost(gap_costs(answer), "EPDM")
    for grade, end in (("satisfactory", found.good), ("not satisfactory", found.bad)):
        soak = supposed_soak(answer.subject, component, "EPDM", grade)
        workshop = Workshop(shipped_catalog(), Evidence((soak,)))
        assert end.counts == Counts.of(workshop.answer(answer.question))
    assert found.good.counts.fits > 0 == Counts.of(answer).fits
    assert found.at_stake >= found.good.counts.fits


def test_a_limit_that_was_measured_asks_for_no_other_soak():
    answer = shipped_answer("lid-sealant", "lid-bead")
    soak = supposed_soak(answer.subject, "component", "EPDM", "limited")
    again = Workshop(shipped_catalog(), Evidence((soak,))).answer(answer.question)
    assert "EPDM" not in {contact.material for _, contact in open_contacts(again)}
