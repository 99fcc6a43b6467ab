"""Cure triggers: what starts a cure too early, or keeps it from starting."""

import pytest

from configurator.chemistry.share import MassFraction
from configurator.chemistry.trigger import (
    CONSTITUENT_TRIGGERS,
    TRIGGER_RULES,
    implied_triggers,
    judge_trigger,
)


@pytest.mark.parametrize(
    ("trigger", "code", "grade"),
    [
        ("anaerobic", "brass", "not satisfactory"),
        ("anaerobic", "copper", "not satisfactory"),
        ("anaerobic", "nickel-plated brass", "not satisfactory"),
        ("anaerobic", "hardened stainless", "not satisfactory"),
        ("anaerobic", "316L", "limited"),
        ("anaerobic", "hard chrome", "limited"),
        ("anaerobic", "PTFE", "satisfactory"),
        ("anaerobic", "POM", "satisfactory"),
        ("anaerobic", "PE-UHMW", "satisfactory"),
        ("surface moisture", "PA66", "not satisfactory"),
        ("surface moisture", "soda-lime glass", "not satisfactory"),
        ("surface moisture", "VMQ", "not satisfactory"),
        ("surface moisture", "316L", "limited"),
        ("surface moisture", "PTFE", "satisfactory"),
        ("moisture", "VMQ", "not satisfactory"),
        ("moisture", "PE-HD", "limited"),
        ("moisture", "PE-UHMW", "limited"),
        ("moisture", "316L", "satisfactory"),
        ("moisture", "PA66", "limited"),
        ("platinum", "NBR", "not satisfactory"),
        ("platinum", "CR", "not satisfactory"),
        ("platinum", "HNBR", "limited"),
        ("platinum", "EPDM", "limited"),
        ("platinum", "FKM", "satisfactory"),
        ("peroxide", "copper", "not satisfactory"),
        ("peroxide", "carbon steel", "not satisfactory"),
        ("peroxide", "316L", "limited"),
        ("peroxide", "PTFE", "satisfactory"),
        ("two-part", "brass", "satisfactory"),
        ("none", "VMQ", "satisfactory"),
    ],
)
def test_trigger_on_material(substances, trigger, code, grade):
    verdict = judge_trigger(trigger, code, substances=substances)

    assert verdict.grade == grade
    assert code in verdict.reason
    assert (verdict.rule == "") == (grade == "satisfactory")


def test_light_is_judged_by_the_part(substances):
    def grade(code, passes):
        return judge_trigger("light", code, substances=substances, passes_light=passes).grade

    assert grade("PP", True) == "not satisfactory"
    assert grade("PP", False) == "satisfactory"
    assert grade("PP", None) == "limited"
    assert grade("316L", None) == "satisfactory"


def test_an_unlisted_material_is_unknown(substances):
    assert judge_trigger("anaerobic", "unobtainium", substances=substances).grade == "unknown"


def test_constituents_bring_their_triggers_after_the_stated_one(substances):
    shares = (MassFraction("platinum catalyst", 1e-5, 1e-5), MassFraction("vinyl PDMS", 0.5, 0.5))

    assert implied_triggers("two-part", shares, substances) == ("two-part", "platinum")


def test_platinum_counts_from_a_millionth(substances):
    def triggers(fraction):
        share = MassFraction("platinum catalyst", fraction, fraction)
        return implied_triggers("two-part", (share,), substances)

    assert triggers(1e-6) == ("two-part", "platinum")
    assert triggers(5e-7) == ("two-part",)


def test_a_stated_trigger_is_not_named_twice(substances):
    assert implied_triggers("anaerobic", (MassFraction("TEGDMA"),), substances) == ("anaerobic",)


def test_every_rule_and_every_implied_trigger_can_apply(substances):
    tags = {tag for entry in substances.wetted.values() for tag in entry.tags}
    classes = {tag for entry in substances.constituents.values() for tag in entry.tags}

    for rule in TRIGGER_RULES:
        assert rule.material <= tags, rule.name
    assert set(CONSTITUENT_TRIGGERS) <= classes
