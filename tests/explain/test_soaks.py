"""Soaks counted the short way, against the whole question asked again."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.explain.counts import Counts
from configurator.explain.soaks import Soaks
from configurator.workshop.workshop import Workshop

UNNAMED = {
    "component.complete": False,
    "component.constituents": [{"name": "plainol", "mass_fraction": "50 %"}],
}

ONE_PART = WORLD.with_parts(
    {
        "stator": [
            {"name": "soft", "material": "RUBBER"},
            {"name": "new", "material": "NEW RUBBER"},
            {"name": "fair", "material": "SOFT RUBBER"},
        ],
        "seal": [
            {"name": "lip"},
            {"name": "new", "materials": ["NEW RUBBER"]},
            {"name": "both", "materials": ["NEW RUBBER", "UNSEEN"]},
        ],
        "feed": [{"name": "cartridge"}, {"name": "odd", "materials": ["UNSEEN", "FAIR"]}],
    }
)


def soak(code, product, grade):
    return EvidenceRecord(
        date=dt.date(2026, 3, 4),
        material=code,
        substance=product,
        temperature_c=20.0,
        hours=168.0,
        grade=grade,
    )


grades = st.sampled_from(["satisfactory", "limited", "not satisfactory"])
unknown = st.sampled_from(["NEW RUBBER", "UNSEEN"])


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.booleans(), st.dictionaries(unknown, grades), st.sampled_from([{}, {"seal": "both"}]))
def test_any_soaks_of_unknown_contacts_count_as_if_everything_was_asked_again(named, made, picks):
    world = ONE_PART.having({} if named else UNNAMED).asking(picks)
    records = tuple(soak(code, "plain", grade) for code, grade in made.items())

    short = Soaks(world.answer).counts(Evidence(records))
    assert short == Counts.of(Workshop(world.catalog, Evidence(records)).answer(world.question))


@pytest.mark.parametrize("product", ["plain a", "plain b", "plain"])
@pytest.mark.parametrize("grade", ["satisfactory", "not satisfactory"])
def test_a_soak_in_one_component_says_nothing_of_the_other(product, grade):
    world = TWO_PART.with_parts({"stator": [{"name": "new", "material": "NEW RUBBER"}]})
    evidence = Evidence((soak("NEW RUBBER", product, grade),))

    short = Soaks(world.answer).counts(evidence)
    assert short == Counts.of(Workshop(world.catalog, evidence).answer(world.question))
    fails = grade == "not satisfactory" and product != "plain"
    assert short == (Counts(0, 0, 0) if fails else Counts(0, 0, 1))


def test_no_soak_at_all_counts_what_there_is():
    for world in (ONE_PART, ONE_PART.having(UNNAMED), TWO_PART):
        assert Soaks(world.answer).counts(Evidence()) == Counts.of(world.answer)
