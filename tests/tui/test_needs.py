"""Needs: steps, switching off and on, and counts that come from solving."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_worlds import asked, small_catalog

from configurator.tui.need_counts import NeedCounts, counted
from configurator.tui.needs import lifted, needs_of, restored, stepped
from configurator.workshop.workshop import Workshop


@pytest.fixture
def wish(examples):
    session = asked(examples, "gritty", "flow")
    session.pick("stator", "stiff")
    session.exclude("outlet", "odd")
    return session.wish


def need_at(wish, key):
    return next(need for need in needs_of(wish) if need.key == key)


def test_needs_are_what_the_files_ask_and_what_was_picked(wish):
    keys = [need.key for need in needs_of(wish)]

    assert keys == [
        "process:deposit.flow",
        "process:tolerance",
        "process:temperature",
        "process:feed_pressure",
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
def test_a_step_goes_the_way_that_the_need_pulls(wish, key, looser, tighter):
    need = need_at(wish, key)

    assert need_at(stepped(wish, need, looser=True), key).value == looser
    assert need_at(stepped(wish, need, looser=False), key).value == tighter


def test_what_has_no_steps_says_so(wish):
    assert stepped(wish, need_at(wish, "pick:stator"), looser=True) is None
    assert stepped(wish, need_at(wish, "process:temperature"), looser=True) is None
    assert stepped(wish, need_at(wish, "material:component.filler"), looser=True) is None


def test_every_need_that_goes_off_comes_back_as_it_was(wish):
    able = 0
    for need in needs_of(wish):
        off = lifted(wish, need)
        if off is None:
            continue
        able += 1
        shown = need_at(off, need.key)
        assert shown.lifted
        assert shown.value == need.value
        back = restored(off, shown)
        assert back.question() == wish.question()
        assert back.lifted == {}
    assert able == 9


def test_a_need_that_is_off_asks_nothing(wish):
    off = lifted(wish, need_at(wish, "material:component.filler"))

    assert off.question()[0].material.component.filler is None


def test_constituents_go_by_name_even_when_two_are_off(examples):
    session = asked(examples, "plain", "flow")
    document = session.wish.material
    for place, name in enumerate(("plainol", "anaerol", "dampol")):
        entry = {"name": name, "mass_fraction": "30 %"}
        document = document.with_value(f"component.constituents[{place}]", entry)
    wish = session.wish.with_document(document.with_value("component.complete", None))
    for name in ("plainol", "anaerol"):
        wish = lifted(wish, need_at(wish, f"material:component.constituents={name}"))
    assert [share.name for share in wish.question()[0].material.component.constituents] == [
        "dampol"
    ]
    for name in ("anaerol", "plainol"):
        wish = restored(wish, need_at(wish, f"material:component.constituents={name}"))
    names = [share.name for share in wish.question()[0].material.component.constituents]
    assert names == ["plainol", "anaerol", "dampol"]


def test_counts_without_a_need_are_those_of_solving_without_it(wish):
    catalog = small_catalog()

    def solved(question):
        return Workshop(catalog).answer(question)

    for need in needs_of(wish):
        count = counted(wish, need, "off", solved)
        off = lifted(wish, need)
        question, faults = off.question()
        if faults:
            assert count == f"not alone: {faults[0].field}"
        else:
            assert count == Workshop(catalog).answer(question).count, need.key
    assert counted(wish, need_at(wish, "material:component.filler"), "off", solved) > 0


def test_a_ledger_says_what_is_missing_and_what_is_gained(wish):
    ledger = NeedCounts(wish, 10)
    first = need_at(wish, "process:tolerance")
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
    wish = asked(examples, "plain", "flow").wish
    deposit = wish.process.with_value("deposit", None)
    deposit = deposit.with_value("deposit.kind", "potting")
    deposit = deposit.with_value("deposit.volume", "5 mL").with_value("deposit.fill_time", "5 s")
    wish = replace(wish, process=deposit)

    assert lifted(wish, need_at(wish, "process:deposit.fill_time")) is None
