"""Needs: steps, switching off and on, and counts that come from solving."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_worlds import asked, small_catalog

from configurator.tui.needs import NeedCounts, counted, lifted, needs_of, restored, stepped
from configurator.workshop.workshop import Workshop


@pytest.fixture
def draft(examples):
    session = asked(examples, "gritty", "flow")
    session.pick("stator", "stiff")
    session.exclude("outlet", "odd")
    return session.draft


def need_at(draft, key):
    return next(need for need in needs_of(draft) if need.key == key)


def test_needs_are_what_the_files_ask_and_what_was_picked(draft):
    keys = [need.key for need in needs_of(draft)]

    assert keys == [
        "process:tolerance",
        "process:temperature",
        "process:feed_pressure",
        "process:deposit.flow",
        "material:component.filler",
        "material:component.filler.d99",
        "material:component.constituents=plainol",
        "pick:stator",
        "without:outlet=odd",
    ]


@pytest.mark.parametrize(
    ("key", "looser", "tighter"),
    [
        ("process:tolerance", "2.5 %", "1.6 %"),
        ("process:feed_pressure", "3.75 bar", "2.4 bar"),
        ("material:component.filler.d99", "1.2 mm", "1.875 mm"),
        ("process:deposit.flow", "49.2 to 58.8 mL/min", "46.5 to 61.5 mL/min"),
    ],
)
def test_a_step_goes_the_way_that_the_need_pulls(draft, key, looser, tighter):
    need = need_at(draft, key)

    assert need_at(stepped(draft, need, looser=True), key).value == looser
    assert need_at(stepped(draft, need, looser=False), key).value == tighter


def test_what_has_no_steps_says_so(draft):
    assert stepped(draft, need_at(draft, "pick:stator"), looser=True) is None
    assert stepped(draft, need_at(draft, "process:temperature"), looser=True) is None
    assert stepped(draft, need_at(draft, "material:component.filler"), looser=True) is None


def test_every_need_that_goes_off_comes_back_as_it_was(draft):
    able = 0
    for need in needs_of(draft):
        off = lifted(draft, need)
        if off is None:
            continue
        able += 1
        shown = need_at(off, need.key)
        assert shown.lifted
        assert shown.value == need.value
        back = restored(off, shown)
        assert back.question() == draft.question()
        assert back.lifted == {}
    assert able == 9


def test_a_need_that_is_off_asks_nothing(draft):
    off = lifted(draft, need_at(draft, "material:component.filler"))

    assert off.question()[0].material.component.filler is None


def test_constituents_go_by_name_even_when_two_are_off(examples):
    session = asked(examples, "plain", "flow")
    document = session.draft.material
    for place, name in enumerate(("plainol", "anaerol", "dampol")):
        entry = {"name": name, "mass_fraction": "30 %"}
        document = document.with_value(f"component.constituents[{place}]", entry)
    draft = session.draft.with_document(document.with_value("component.complete", None))
    for name in ("plainol", "anaerol"):
        draft = lifted(draft, need_at(draft, f"material:component.constituents={name}"))
    assert [share.name for share in draft.question()[0].material.component.constituents] == [
        "dampol"
    ]
    for name in ("anaerol", "plainol"):
        draft = restored(draft, need_at(draft, f"material:component.constituents={name}"))
    names = [share.name for share in draft.question()[0].material.component.constituents]
    assert names == ["plainol", "anaerol", "dampol"]


def test_counts_without_a_need_are_those_of_solving_without_it(draft):
    catalog = small_catalog()

    def solved(question):
        return Workshop(catalog).answer(question)

    for need in needs_of(draft):
        count = counted(draft, need, "off", solved)
        off = lifted(draft, need)
        question, faults = off.question()
        if faults:
            assert count == f"not alone: {faults[0].field}"
        else:
            assert count == Workshop(catalog).answer(question).count, need.key
    assert counted(draft, need_at(draft, "material:component.filler"), "off", solved) > 0


def test_a_ledger_says_what_is_missing_and_what_is_gained(draft):
    ledger = NeedCounts(draft, 10)
    first = need_at(draft, "process:tolerance")
    assert [way for need, way in ledger.missing(first) if need is first][:3] == [
        "off",
        "looser",
        "tighter",
    ]
    ledger.take(first.key, "off", 25)
    ledger.take(first.key, "tighter", 4)
    assert ledger.get(first.key, "off") == 25
    assert ledger.gained(25) == "+15"
    assert ledger.gained(4) == "-6"
    assert ledger.gained(10) == ""
    assert ledger.note(first.key, "looser") == "~"
    assert (first.key, "off") not in [(n.key, w) for n, w in ledger.missing(first)]


def test_a_need_that_has_to_be_is_told(examples):
    draft = asked(examples, "plain", "flow").draft
    deposit = draft.process.with_value("deposit", None)
    deposit = deposit.with_value("deposit.kind", "potting")
    deposit = deposit.with_value("deposit.volume", "5 mL").with_value("deposit.fill_time", "5 s")
    draft = replace(draft, process=deposit)

    assert lifted(draft, need_at(draft, "process:deposit.fill_time")) is None
