"""Conflicts, parts and builds of small catalogs whose numbers can be worked out by hand."""

from __future__ import annotations

import pytest
from small_catalog import SMALL
from small_world import WORLD

from configurator.errors import InputError, UsageError
from configurator.explain.adjustment import adjustments_of
from configurator.explain.break_points import break_points_of
from configurator.explain.chosen import build_named, read_parts
from configurator.explain.compare import compare
from configurator.explain.measure import measurements
from configurator.explain.paragraphs import why_paragraphs
from configurator.explain.prose import conflict_sentences, remedy_sentence
from configurator.explain.why import why
from configurator.request.movable import CUSTOMER, MAKER
from configurator.rules.finding import State

TOO_FAR = SMALL.having({"process.reach": "30 mm"})
"""The tips are 10 mm long."""


def members(conflict):
    return {name for _, name in conflict.members}


def test_one_wish_that_no_tip_meets_is_one_reason_with_its_numbers():
    found = why(TOO_FAR.answer, search=False)

    (conflict,) = found.conflicts.found
    (step,) = conflict.steps
    assert found.conflicts.complete
    assert step.name == "reach of the tip"
    assert step.nearest.demand == pytest.approx(0.010)
    assert step.nearest.limit == pytest.approx(0.030)
    assert step.nearest.excess == pytest.approx(2 / 3)
    assert [(datum.field, datum.text, datum.grants) for datum in conflict.asked] == [
        ("process.reach", "30 mm", CUSTOMER)
    ]
    assert conflict.emptied == ("outlet",)


def test_the_nearest_reach_that_opens_a_build_is_the_length_of_the_tips():
    found = why(TOO_FAR.answer, budget=20.0)

    (remedy,) = [
        each for each in found.remedies.single if each.moves[0].adjustment.field == "process.reach"
    ]
    assert remedy.builds == SMALL.having({"process.reach": "10 mm"}).answer.count
    assert remedy.moves[0].setting == pytest.approx(1 / 3, rel=0.01)


TOO_WARM = WORLD.having(
    {"process.temperature": "55..60 degC"}
    | {f"{slot}.temperature_high": "100 degC" for slot in ("stator", "seal")}
)
"""Its drive stands up to 50 degC."""


def test_where_drives_are_too_warm_the_room_they_stand_in_is_asked_for():
    found = why(TOO_WARM.answer, budget=20.0)

    assert "drive temperature" in {name for each in found.conflicts.found for name in members(each)}
    first = found.remedies.single[0]
    (move,) = first.moves
    assert move.adjustment.field == "process.room_temperature"
    assert move.adjustment.grants == CUSTOMER
    room = {"process.room_temperature": move.becomes}
    assert first.builds == TOO_WARM.having(room).answer.count > 0
    told = remedy_sentence(first, {})
    assert told.startswith(
        "temperature of the room 18 to 28 degC instead of not stated (as warm as"
    )


@pytest.mark.parametrize("room", [None, "60 degC"])
def test_a_room_is_asked_for_where_none_is_stated_and_the_head_is_beyond_it(room):
    """Of a head at room temperature nothing comes of it."""
    moved = {each.field for each in adjustments_of(WORLD.answer.subject.question)}
    assert "process.room_temperature" not in moved
    warm = TOO_WARM.having({"process.room_temperature": room}).answer.subject.question
    every = [each for each in adjustments_of(warm) if each.field == "process.room_temperature"]
    assert any(each.now.startswith("not stated") for each in every) == (room is None)


def test_two_wishes_that_only_together_leave_nothing_are_one_reason():
    world = WORLD.with_parts(
        {
            "outlet": [
                {"name": "short", "bore": "2 mm"},
                {"name": "long", "length": "40 mm", "outside_diameter": "6 mm"},
            ]
        }
    ).having({"process.reach": "30 mm", "process.tip_outside_diameter_max": "4 mm"})

    found = why(world.answer, search=False)

    assert {"reach of the tip", "room for the tip"} in [
        members(conflict) for conflict in found.conflicts.found
    ]


def test_no_single_change_helps_where_two_wishes_stand_in_the_way_and_the_pair_is_found():
    world = WORLD.having({"process.reach": "30 mm", "process.tip_outside_diameter_max": "1 mm"})

    found = why(world.answer, budget=60.0)

    assert not found.remedies.single
    assert {"process.reach", "process.tip_outside_diameter_max"} in [
        {move.adjustment.field for move in pair.moves} for pair in found.remedies.pairs
    ]
    assert all(pair.builds for pair in found.remedies.pairs)


def test_a_catalog_whose_parts_do_not_go_together_is_told_before_any_wish():
    world = WORLD.with_parts({"stator": [{"sizes": ["tall"]}]})

    found = why(world.answer, search=False)

    assert not found.conflicts.catalog_alone
    assert found.conflicts.found == ()


def test_a_pick_is_blamed_and_a_given_part_is_not():
    world = SMALL.asking({"stator": "bad"})

    asked = why(world.answer, search=False)
    given = why(SMALL.answer, {"stator": "bad"}, search=False)

    assert ("pick", "stator") in asked.conflicts.found[0].members
    assert all(kind != "pick" for conflict in given.alone for kind, _ in conflict.members)
    assert any("BAD" in text for text in conflict_sentences(given.alone[0]))


def test_an_exclusion_is_blamed_with_what_is_wished():
    """The tall head alone weighs more than the carrier takes; the small cavities are excluded."""
    light = SMALL.having({"process.carrier.payload": "1.5 kg"})
    world = light.asking(without={"cavity": frozenset({"one-ml", "half-ml"})})

    found = why(world.answer, search=False)

    assert light.answer.count > 0
    assert found.count == 0
    assert {("without", "cavity"), ("rule", "carried mass")} in [
        conflict.members for conflict in found.conflicts.found
    ]


def test_a_part_against_a_pick_is_rescued_by_another_pick():
    world = SMALL.asking({"size": "tall"})

    found = why(world.answer, {"cavity": "one-ml"}, search=False)

    assert found.count == 0
    assert [(swap.slot, swap.part) for swap in found.swaps] == [("size", "small")]


def test_a_build_that_is_out_names_the_rules_and_the_parts_that_would_save_it():
    first = SMALL.answer.builds(limit=1)[0]
    names = {slot: part.name for slot, part in first.parts.items()} | {"stator": "bad"}

    found = why(SMALL.answer, names, search=False)

    assert [finding.rule for finding in found.broken] == ["chemistry of the stator"]
    assert {(swap.slot, swap.part) for swap in found.swaps} == {
        ("stator", name) for name in ("soft", "fair", "unseen")
    }
    assert all(swap.state in ("fits", "marginal", "unproven") for swap in found.swaps)


@pytest.mark.parametrize("slot", ["stator", "seal", "outlet"])
def test_what_does_not_fit_is_told_before_margins_and_of_the_part_asked_first(slot):
    """Stator, seal and tip each have a verdict of limited."""
    poor = [{"material": "FAIR"}]
    seal = [{"materials": ["FAIR"]}]
    answer = WORLD.with_parts({"stator": poor, "seal": seal, "outlet": poor}).answer
    found = why(answer, {slot: answer.frame.parts[slot][0].name}, search=False)
    assert found.build is not None

    told = [finding.rule for finding in found.doubts]
    expected = {each.rule for each in found.build.findings if each.state > State.FITS}
    assert set(told) == expected
    assert len(expected) > 2
    chemistry = {"stator": "stator", "seal": "seal", "outlet": "tip"}
    assert told[0] == f"chemistry of the {chemistry[slot]}"
    assert all(finding.state is State.FITS for finding in found.tightest)
    words = "\n".join(sentence.text for each in why_paragraphs(found) for sentence in each)
    assert words.index(f"'{told[0]}', marginal") < words.index("Tightest margins:")


def test_a_room_that_is_not_stated_is_a_remedy_where_the_head_alone_is_hot():
    """The base drive stands 0 to 50 degC, stator and seal 100 degC."""
    found = why(WORLD.having({"process.temperature": "80..85 degC"}).answer)

    assert found.count == 0
    assert found.remedies is not None
    changed = {move.adjustment.field for each in found.remedies.single for move in each.moves}
    assert "process.room_temperature" in changed


def test_a_build_that_stands_tells_its_three_least_margins():
    first = SMALL.answer.builds(limit=1)[0]

    found = why(SMALL.answer, {slot: part.name for slot, part in first.parts.items()}, search=False)

    margins = [finding.margin for finding in found.tightest]
    assert found.count == 1
    assert len(margins) == 3
    assert margins == sorted(margins)
    assert margins[0] == first.tightest.margin


def test_a_build_breaks_where_its_numbers_say():
    """The base drive reaches 200 rpm and the rotor turns once a second without slip."""
    world = WORLD.having({"component.flow.viscosity": "1 Pa*s"})
    build = world.answer.builds(limit=1)[0]

    found = break_points_of(world.answer, build.parts, fields=["process.deposit.flow"], budget=20.0)

    up = next(point for point in found.points if point.adjustment.more)
    assert up.finding.rule == "rotor speed against viscosity"
    assert up.factor == pytest.approx(100 / 60, rel=2e-3)  # cap of 100 rpm up to 10 Pa*s
    assert up.takes_over is None


def test_an_unknown_slot_or_part_is_refused_with_the_nearest_name():
    with pytest.raises(InputError, match="did you mean stator"):
        why(SMALL.answer, {"statr": "soft"})
    with pytest.raises(InputError, match="fair"):
        why(SMALL.answer, {"stator": "fairr"})


@pytest.mark.parametrize("text", ["", "stator", "=x", "stator=", "a=b, a=c"])
def test_parts_that_are_none_are_refused(text):
    with pytest.raises(UsageError):
        read_parts(text)


def test_a_build_is_named_by_its_rank_or_by_all_its_parts():
    first = build_named(SMALL.answer, "1")
    what_if = build_named(
        SMALL.answer, ", ".join(f"{slot}={part.name}" for slot, part in first.parts.items())
    )

    assert what_if.parts == first.parts
    assert what_if.figures == first.figures
    with pytest.raises(UsageError, match="accepted: 1 to"):
        build_named(SMALL.answer, "0")
    with pytest.raises(UsageError, match="one part for each"):
        build_named(SMALL.answer, "stator=soft")


def test_a_comparison_puts_first_what_differs_and_says_what_is_won():
    first = build_named(SMALL.answer, "1")
    names = {slot: part.name for slot, part in first.parts.items()}
    bigger = ", ".join(f"{s}={n}" for s, n in (names | {"drive": "big"}).items())

    found = compare(SMALL.answer, ["1", bigger])

    assert [row.name for row in found.parts if row.differs] == ["drive"]
    assert found.parts[0].name == "drive"
    assert "carried mass" in found.trades[0].lost
    assert "rotor speed against the drive" in found.trades[0].won
    differs = [row.differs for row in found.rules]
    assert differs == sorted(differs, reverse=True)
    with pytest.raises(UsageError, match="2 to 4"):
        compare(SMALL.answer, ["1"])


def test_a_build_compared_with_itself_wins_and_loses_nothing():
    found = compare(SMALL.answer, ["1", "1"])

    assert not any(row.differs for row in (*found.parts, *found.rules, *found.figures))
    assert found.trades[0].won == found.trades[0].lost == ()


def test_a_particle_stated_as_a_range_settles_what_both_ends_settle():
    filler = {"name": "mystery", "d99": "100..400 um", "mohs": "3 Mohs", "shape": "sphere"}
    world = SMALL.having({"component.filler": filler})

    found = measurements(world.answer)

    measured = next(each for each in found.useful if each.field == "component.filler.d99")
    ends = []
    for d99 in ("100 um", "400 um"):
        counts = SMALL.having({"component.filler": {**filler, "d99": d99}}).answer.count
        ends.append(counts)
    assert [end.counts.total for end in measured.ends] == ends
    assert measured.at_stake == abs(ends[0] - ends[1])
    assert measured.effort.hours == 1.0


def test_what_is_measured_is_put_in_order_by_builds_settled_an_hour():
    world = SMALL.having({"component.flow": {"viscosity": "10 Pa*s", "at": "20 degC"}})

    found = measurements(world.answer)

    keys = [(each.settled_per_hour, each.at_stake_per_hour) for each in found.useful]
    assert keys == sorted(keys, reverse=True)
    assert all(each.settled or each.at_stake for each in found.useful)
    assert not any(each.settled or each.at_stake for each in found.idle)


def test_who_can_grant_a_change_is_told_by_where_it_stands():
    found = why(SMALL.having({"component.flow.viscosity": "90 Pa*s"}).answer, search=False)

    grantors = {
        datum.field.partition(".")[0]: datum.grants
        for conflict in (found.conflicts.found if found.conflicts else ())
        for datum in conflict.asked
    }
    assert found.count == 0
    assert grantors["component"] == MAKER
    assert grantors["process"] == CUSTOMER
