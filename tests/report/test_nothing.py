"""What stands in place of builds when there are none."""

from __future__ import annotations

from dataclasses import replace

from two_part_world import TWO_PART

from configurator.explain.why_none import why_none
from configurator.report.nothing import why_nothing
from configurator.report.page import page_of
from configurator.rules.finding import State
from configurator.rules.losses import findings_of
from configurator.rules.space import conflict_in


def told(answer, *, strict: bool = False) -> str:
    asked = answer.with_question(replace(answer.question, strict=strict))
    return " ".join(" ".join(why_nothing(page_of(asked), 100)).split())


def test_the_rule_that_cut_the_most_is_named_with_its_numbers(ask):
    answer = ask("grip-mortar", "grip-dots")
    assert answer.count == 0

    said = told(answer)

    emptied = [slot for slot, places in answer.live.items() if not len(places)]
    decisive = [cause for cause in why_none(answer).causes if cause.rule in said]
    assert "The rule that cuts most is '" in said
    assert len(decisive) >= 1
    assert any(str(cause.parts) in said for cause in decisive)
    assert "at the nearest: " in said
    assert all(slot in said for slot in emptied)
    assert said.endswith("--format json shows the reasons for every part in `choices`.")


def test_a_picked_part_that_is_out_by_itself_is_told_with_the_numbers(ask):
    answer = ask("lid-sealant", "lid-bead", outlet="needle-14g-12.7")

    said = told(answer)

    assert "The picks leave no build." in said
    assert "outlet=needle-14g-12.7 is ruled out by 'reach of the tip'" in said
    assert "12.7 mm" in said


def test_picks_that_do_not_go_together_are_blamed_with_the_rule(ask):
    free = ask("lid-sealant", "lid-bead")
    answer = ask("lid-sealant", "lid-bead", body="316l", cavity="h1-0.003-2s")

    said = told(answer)

    without = f"{free.count:,}".replace(",", " ")
    assert f"Without them there would be {without} builds." in said
    assert "cavity=h1-0.003-2s" in said
    # Body 316l has builds of its own, so it is no part of a minimal conflict.
    assert "body=316l" not in said


def test_strict_points_to_the_builds_that_are_not_shown_to_fit(sealant):
    assert sealant.counts[State.FITS] == 0

    said = told(sealant, strict=True)

    assert "Leave out --strict" in said
    assert f"{sealant.count:,}".replace(",", " ") in said


def test_a_size_whose_cavities_a_wish_shuts_out_is_told_with_that_wish(ask):
    """Its cavities go first and the size after them; other sizes' cavities say nothing."""
    answer = ask("thermal-paste", "regulator-pads", size="h1")

    said = told(answer)

    assert "size=h1 is left without a cavity by 'largest particle against the cavity': " in said
    assert "not made for" not in said
    cause = why_none(answer).against["size"][0]
    assert cause.nearest.reason in said


def test_so_it_is_where_rules_leave_it_together_with_no_cavity(ask):
    answer = ask("hinge-grease", "hinge-dots", size="h1")

    conflict = conflict_in(answer.spaces[State.UNPROVEN], answer.picks)
    assert [(each.kind, each.name) for each in conflict] == [
        ("pick", "size"),
        ("relation", "cavity made for the size"),
    ]
    assert "size=h1 is left without a cavity by 'rotor speed against viscosity': " in told(answer)


def test_the_part_that_comes_nearest_is_the_example(ask):
    answer = ask("grip-mortar", "grip-dots")
    (cause, *_) = why_none(answer).causes
    findings = [
        finding
        for losses in answer.losses.values()
        for finding in findings_of(
            answer.left, [each for each in losses if each.title == cause.rule]
        )
    ]

    assert cause.nearest.margin == max(each.margin for each in findings)
    assert len(findings) == cause.parts


def test_what_only_the_engine_knows_is_never_named():
    """Two heavy drives weigh too much together: the classes that say so are a part of the rule."""
    drives = [{"name": "light"}, {"name": "heavy", "mass": "2 kg"}]
    world = TWO_PART.with_parts({"drive": drives}).having({"process.carrier.payload": "5.4 kg"})
    answer = world.asking({"a.drive": "heavy", "b.drive": "heavy"}).answer
    alone = world.asking({"a.drive": "heavy"}).answer

    names = "pick a.drive=heavy, pick b.drive=heavy, 'carried mass of both sides'"
    assert told(answer).split(" `")[0].endswith(f"No build passes all of these at once: {names}.")
    blocked = next(each for each in alone.choices["b.drive"] if each.part.name == "heavy").blocked
    assert blocked == ("pick a.drive=heavy", "carried mass of both sides")
