"""The session without a screen: what is asked, undone, solved, picked and marked."""

from __future__ import annotations

import pytest
from tui_worlds import asked, small_catalog

from configurator.errors import InputError
from configurator.rules.finding import LISTED
from configurator.tui.board import Stand
from configurator.tui.form import fields_of
from configurator.tui.session import MOST_MARKED, key_of
from configurator.workshop.workshop import Workshop


@pytest.fixture
def session(examples):
    session = asked(examples, "plain", "flow")
    session.solved(session.workshop.answer(session.to_solve))
    return session


def field_at(session, kind, path):
    return next(field for field in fields_of(session.document(kind)) if field.path == path)


def solve(session):
    session.solved(session.workshop.answer(session.to_solve))


def test_a_fresh_session_asks_nothing(examples):
    session = asked(examples)

    assert session.to_solve is None
    assert session.answer is None
    assert session.board is None
    assert session.faults == ()
    assert not session.undo()
    assert not session.redo()


def test_nothing_has_to_be_solved_twice(session):
    assert session.to_solve is None
    assert not session.stale


def test_counts_under_picks_are_those_of_configure(session):
    session.pick("stator", "stiff")
    session.exclude("outlet", "odd")

    question, _ = session.draft.question()
    fresh = Workshop(small_catalog()).answer(question)
    assert session.to_solve is None
    assert session.answer.counts == fresh.counts
    assert session.answer.considered == fresh.considered
    ours, theirs = session.answer.builds(limit=30), fresh.builds(limit=30)
    assert [build.parts for build in ours] == [build.parts for build in theirs]


def test_the_number_at_a_part_is_what_picking_it_leaves(session):
    for slot in session.board.slots:
        for option in slot.options:
            if option.left:
                session.pick(slot.name, option.name)
                assert session.answer.count == option.left, (slot.name, option.name)
                session.undo()


def test_a_pick_is_swapped_freed_and_undone(session):
    all_builds = session.answer.count
    session.pick("stator", "stiff")
    session.pick("stator", "soft")
    assert session.draft.picks == {"stator": "soft"}
    session.pick("stator", "soft")
    assert session.draft.picks == {}
    assert session.answer.count == all_builds

    assert [session.undo() for _ in range(3)] == [True, True, True]
    assert session.draft.picks == {}
    assert [session.redo() for _ in range(2)] == [True, True]
    assert session.draft.picks == {"stator": "soft"}


def test_a_new_change_forgets_what_was_undone(session):
    session.pick("stator", "stiff")
    session.undo()
    session.pick("stator", "soft")

    assert not session.redo()


def test_excluding_a_picked_part_frees_it_and_picking_an_excluded_one_brings_it_back(session):
    session.pick("drive", "slow")
    session.exclude("drive", "slow")
    assert session.draft.picks == {}
    stands = {option.name: option.stand for option in session.board.slot("drive").options}
    assert stands["slow"] is Stand.EXCLUDED

    session.pick("drive", "slow")
    assert session.draft.without == {}
    assert session.draft.picks == {"drive": "slow"}


def test_the_last_part_that_is_left_says_so(session):
    session.exclude("stator", "stiff")

    stands = {option.name: option.marks for option in session.board.slot("stator").options}
    assert stands["soft"].startswith("=")
    assert stands["stiff"].startswith("-")


def test_a_fault_keeps_the_old_answer_and_says_that_it_is_old(session):
    before = session.answer.count
    session.type("process", field_at(session, "process", "feed_pressure"), "3,5 bar")

    assert [fault.field for fault in session.faults] == ["feed_pressure"]
    assert session.to_solve is None
    assert session.stale
    assert session.answer.count == before

    session.type("process", field_at(session, "process", "feed_pressure"), "4 bar")
    assert session.faults == ()
    assert session.to_solve is not None


def test_an_answer_to_another_question_is_not_taken(session):
    other = session.workshop.answer(session.draft.question(parts=False)[0])
    session.type("process", field_at(session, "process", "tolerance"), "3 %")
    session.solved(other)

    assert session.stale


def test_an_undone_duty_has_to_be_solved_again(session):
    session.type("process", field_at(session, "process", "tolerance"), "3 %")
    solve(session)
    session.undo()

    assert session.stale
    assert session.to_solve is not None


def test_picks_of_sides_go_when_the_material_has_none(examples):
    session = asked(examples, "pair", "mixed")
    solve(session)
    session.pick("a.stator", "stiff")
    session.pick("outlet", "wide")
    session.open("material", "plain")

    assert session.draft.picks == {"outlet": "wide"}


def test_at_most_four_builds_are_marked_and_a_mark_goes_by_parts(session):
    builds = session.answer.builds(limit=MOST_MARKED + 1)
    assert [session.mark(build) for build in builds] == [True] * MOST_MARKED + [False]
    assert session.marked[0] == key_of(builds[0])
    assert session.mark(builds[0])
    assert len(session.marked) == MOST_MARKED - 1


@pytest.mark.parametrize(
    ("picks", "without", "field"),
    [
        ({"statr": "soft"}, {}, "slot"),
        ({"stator": "sofd"}, {}, "stator"),
        ({}, {"outlet": frozenset({"tipp"})}, "outlet"),
        ({"a.stator": "soft"}, {}, "slot"),
    ],
)
def test_unknown_parts_at_the_start_are_refused(examples, picks, without, field):
    session = asked(examples, "plain", "flow")

    with pytest.raises(InputError) as caught:
        session.start_with(picks, without)
    assert [fault.field for fault in caught.value.faults] == [field]


def test_states_of_the_board_are_the_best_that_builds_have(session):
    space = session.answer.spaces
    board = session.board
    for slot in board.slots:
        for option in slot.options:
            if option.left:
                better = [at for at in LISTED if at < option.state]
                live = [
                    session.answer.frame.parts[slot.name][p].name
                    for p in session.answer.live[slot.name]
                ]
                picks = {slot.name: live.index(option.name)}
                assert space[option.state].count(picks) > 0
                assert all(space[at].count(picks) == 0 for at in better)


def test_a_basis_can_be_said_and_undone(session):
    field = field_at(session, "material", "component.density")
    assert session.rest_on("material", field, "measured")
    assert session.document("material").at("component.density") == {
        "value": "1000 kg/m^3",
        "basis": "measured",
    }
    session.undo()
    assert session.document("material").at("component.density") == "1000 kg/m^3"
