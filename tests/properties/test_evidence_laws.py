"""Laws of measured findings, by the one path: stronger than any table, never hiding a worse one."""

from __future__ import annotations

import datetime as dt

from draws import draws
from hypothesis import given, settings
from hypothesis import strategies as st
from small_world import WORLD

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.rules.finding import State
from configurator.workshop.workshop import Workshop

CODES = ("RUBBER", "SOFT RUBBER", "BAD RUBBER", "NEW RUBBER")
GRADES = ("satisfactory", "limited", "not satisfactory")
STATES = dict(zip(GRADES, (State.FITS, State.MARGINAL, State.RULED_OUT), strict=True))
PROCESS = 20.0
"""Temperature of the small world's process. [degC]"""

codes = st.sampled_from(CODES)


@st.composite
def findings(draw, code, *, holds=False):
    return EvidenceRecord(
        date=draw(st.dates(dt.date(2020, 1, 1), dt.date(2026, 6, 30))),
        material=code,
        substance=draw(st.sampled_from(["plainol", "plain"])),
        temperature_c=PROCESS if holds else draw(st.sampled_from([5.0, PROCESS, 60.0])),
        hours=168.0,
        grade=draw(st.sampled_from(GRADES)),
    )


def state(code, records):
    """The best state of the stator, of which there is one; ruled out where no build is left."""
    world = WORLD.having({"stator.material": code}).only_base
    answer = Workshop(world.catalog, Evidence(tuple(records))).answer(world.question)
    return answer.choices["stator"][0].state


@settings(max_examples=draws(15, 40), deadline=None)
@given(st.data(), codes)
def test_what_was_measured_at_the_temperature_replaces_every_table(data, code):
    record = data.draw(findings(code, holds=True))

    assert state(code, [record]) is STATES[record.grade]


@settings(max_examples=draws(15, 40), deadline=None)
@given(st.data(), codes)
def test_the_worse_of_two_measured_findings_decides_in_any_order(data, code):
    one, other = (data.draw(findings(code, holds=True)) for _ in range(2))
    other = other.model_copy(update={"date": one.date})  # a later one would take its place
    worst = max(STATES[one.grade], STATES[other.grade])
    # A soak in the whole product answers for all of it, but for nothing that was measured worse.

    assert state(code, [one, other]) is state(code, [other, one]) is worst


@settings(max_examples=draws(15, 40), deadline=None)
@given(st.data(), codes)
def test_one_more_measured_failure_never_improves_a_build(data, code):
    records = data.draw(st.lists(findings(code), max_size=3))
    failure = data.draw(findings(code)).model_copy(update={"grade": "not satisfactory"})

    assert state(code, [*records, failure]) >= state(code, records)


@settings(max_examples=draws(10, 20), deadline=None)
@given(st.data(), codes)
def test_findings_on_another_material_or_in_another_product_change_nothing(data, code):
    other = data.draw(findings("GOOD")).model_copy(update={"material": "UNSEEN"})
    stranger = data.draw(findings(code)).model_copy(update={"substance": "another product"})

    assert state(code, [other, stranger]) is state(code, [])


@settings(max_examples=draws(10, 20), deadline=None)
@given(st.data(), codes)
def test_a_good_result_proves_nothing_above_its_temperature(data, code):
    cool = data.draw(findings(code)).model_copy(
        update={"grade": "satisfactory", "temperature_c": PROCESS - 1.0}
    )

    assert state(code, [cool]) is state(code, [])
