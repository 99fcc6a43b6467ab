"""What stands in place of builds when there are none."""

from __future__ import annotations

from configurator.report.nothing import why_nothing
from configurator.report.page import page_of
from configurator.rules.finding import State


def told(answer, *, strict: bool = False) -> str:
    return " ".join(" ".join(why_nothing(page_of(answer, strict=strict), 100)).split())


def test_the_rule_that_cut_the_most_is_named_with_its_numbers(ask):
    answer = ask("grip-mortar", "grip-dots")
    assert answer.count == 0

    said = told(answer)

    emptied = [slot for slot, places in answer.live.items() if not len(places)]
    decisive = [cut for cut in answer.cuts if cut.rule in said]
    assert "The rule that cuts most is '" in said
    assert len(decisive) >= 1
    assert any(cut.example.reason in said for cut in decisive)
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
