"""One wetted material against a dispensed material, in grades and in words."""

from __future__ import annotations

import pytest

from configurator.chemistry.contact import deciding, reason_of
from configurator.chemistry.lookup import Opinion
from configurator.chemistry.share import UNNAMED, MassFraction
from configurator.units.interval import Basis

WARM = 353.15


def test_the_worst_constituent_decides(judge):
    contact = judge("EPDM", "water", "toluene", "quartz")

    assert contact.grade == "not satisfactory"
    assert contact.constituent == "toluene"


def test_a_reason_names_constituent_part_verdict_basis_and_confidence_in_one_sentence(judge):
    reason = judge("EPDM", "toluene").reason

    for word in ("toluene", "EPDM", "not satisfactory", "from memory", "confidence high"):
        assert word in reason
    assert "\n" not in reason
    assert ". " not in reason


def test_a_constituent_below_its_threshold_is_left_aside_and_named(judge):
    little = judge("EPDM", "water", MassFraction("mineral oil", 0.0, 0.009))
    enough = judge("EPDM", "water", MassFraction("mineral oil", 0.0, 0.01))

    assert little.grade == "satisfactory"
    assert little.ignored == ("mineral oil",)
    assert enough.grade == "not satisfactory"


def test_solvents_count_from_a_tenth_of_a_per_cent(judge):
    assert judge("EPDM", "water", MassFraction("toluene", 0.0005, 0.0009)).grade == "satisfactory"
    assert judge("EPDM", "water", MassFraction("toluene", 0.001, 0.001)).grade == "not satisfactory"


def test_two_names_of_one_constituent_count_together(judge):
    parts = (
        MassFraction("mineral oil", 0.006, 0.006),
        MassFraction("paraffinic oil", 0.006, 0.006),
    )

    assert judge("EPDM", "water", *parts).grade == "not satisfactory"


def test_an_unstated_fraction_counts(judge):
    assert judge("EPDM", "water", MassFraction("toluene")).grade == "not satisfactory"


def test_disagreeing_sources_are_both_kept_and_the_more_cautious_is_used(judge):
    contact = judge("VMQ", "acetone")

    assert contact.grade == "limited"
    assert {voice.grade for voice in contact.disagreements} == {"satisfactory", "limited"}
    assert "sources disagree" in contact.reason
    assert "the more cautious is used" in contact.reason


def test_agreeing_sources_are_no_disagreement(judge):
    assert judge("FKM", "acetone").disagreements == ()


def test_an_unknown_substance_is_never_satisfactory_and_near_names_are_offered(judge):
    contact = judge("PTFE", "tolune")

    assert contact.grade == "unknown"
    assert "did you mean toluene" in contact.reason
    assert contact.test.startswith("unproven: soak test the PTFE part 168 h (ISO 175)")


def test_an_unknown_wetted_material_is_unknown(judge):
    contact = judge("unobtainium", "water")

    assert contact.grade == "unknown"
    assert "no wetted material of that code" in contact.reason


def test_no_constituents_at_all_is_unknown(judge):
    assert judge("PTFE").grade == "unknown"
    assert judge("PTFE", MassFraction("toluene", 0.0, 0.0001)).grade == "unknown"


def test_what_the_data_sheet_does_not_name_is_unknown(judge):
    assert judge("PTFE", "water", UNNAMED).grade == "unknown"


def test_an_unknown_contact_of_an_elastomer_asks_for_the_rubber_soak_test(judge):
    assert judge("EPDM", "no such thing").test.startswith(
        "unproven: soak test the EPDM part 168 h (ISO 1817)"
    )


def test_above_the_temperature_of_a_good_record_the_contact_is_unknown(judge):
    assert judge("POM", "isopropanol").grade == "satisfactory"

    hot = judge("POM", "isopropanol", temperature=WARM)
    assert hot.grade == "unknown"
    assert "no record holds at 80 degC" in hot.reason


def test_a_bad_grade_stays_above_the_temperature_of_its_record(judge):
    assert judge("EPDM", "toluene", temperature=WARM).grade == "not satisfactory"


def test_a_limited_grade_does_not_turn_into_a_proof_when_hot(judge):
    assert judge("NBR", "isopropanol").grade == "limited"
    assert judge("NBR", "isopropanol", temperature=WARM).grade == "unknown"


def test_a_record_for_warm_contact_holds_when_warm(judge):
    assert judge("NBR", "mineral oil", temperature=WARM).grade == "satisfactory"


def test_a_failure_seen_when_hot_says_nothing_of_cooler_contact(judge):
    cool, hot = (
        [
            voice
            for voice in judge("EU", "petrol", temperature=kelvin).opinions
            if voice.basis.value == "published"
        ]
        for kelvin in (296.15, 334.0)
    )

    assert cool == []
    assert [voice.grade for voice in hot] == ["not satisfactory"]


def test_a_stand_in_constituent_lowers_the_confidence_by_a_step(judge):
    own = judge("EPDM", "n-heptane")
    borrowed = judge("EPDM", "n-hexane")

    assert (own.grade, own.confidence) == ("not satisfactory", "high")
    assert (borrowed.grade, borrowed.confidence) == ("not satisfactory", "medium")
    assert "n-heptane on EPDM stands in" in borrowed.reason


def test_a_concentration_outside_every_record_is_unknown(judge):
    assert judge("FFKM", MassFraction("sulfuric acid", 0.95, 0.98)).grade == "satisfactory"
    assert judge("FFKM", MassFraction("sulfuric acid", 0.3, 0.3)).grade == "unknown"


def test_more_of_an_acid_than_was_tried_does_not_lift_a_bad_grade(judge):
    assert judge("POM", MassFraction("HCl", 0.1, 0.1)).grade == "not satisfactory"
    assert judge("POM", MassFraction("HCl", 0.3, 0.3)).grade == "not satisfactory"


def test_a_solid_filler_is_satisfactory_on_anything_that_is_listed(judge, substances):
    assert {judge(code, "quartz").grade for code in substances.wetted} == {"satisfactory"}


def test_the_swelling_to_allow_follows_the_grade_and_is_for_elastomers_only(judge):
    assert judge("NBR", "mineral oil").swelling == (0.0, 0.015)
    assert judge("NBR", "isopropanol").swelling == (0.0, 0.08)
    assert judge("EPDM", "toluene").swelling is None
    assert judge("316L", "toluene").swelling is None


def test_a_sure_and_satisfactory_contact_asks_for_no_test(judge):
    assert judge("NBR", "mineral oil").test == ""


def test_a_satisfactory_contact_of_low_confidence_asks_for_a_test(judge):
    contact = judge("EPDM", "epoxy resin")

    assert (contact.grade, contact.confidence) == ("satisfactory", "low")
    assert "ISO 1817" in contact.test


@pytest.mark.parametrize("code", ["NBR", "FFKM", "PTFE", "316L", "SiC"])
def test_no_reason_ever_says_safe(judge, substances, code):
    for name in substances.constituents:
        assert " safe " not in f" {judge(code, name).reason} ".replace("safety", "")


def opinion(**changes):
    values = {
        "constituent": "toluene",
        "material": "EPDM",
        "grade": "not satisfactory",
        "kind": "verdict",
        "basis": Basis.FROM_MEMORY,
        "source": "a chart",
        "confidence": "medium",
    }
    return Opinion(**{**values, **changes})


def test_among_those_that_condemn_the_surest_is_named():
    sure = opinion(confidence="high", source="sure")

    for voices in ([opinion(), sure], [sure, opinion()]):
        assert deciding(voices) is sure


def test_among_those_that_let_pass_the_least_sure_is_named():
    weak = opinion(grade="satisfactory", confidence="low")
    strong = opinion(grade="satisfactory", confidence="high", constituent="water")

    for voices in ([weak, strong], [strong, weak]):
        assert deciding(voices) is weak


def test_what_was_set_aside_never_decides():
    aside = opinion(used=False)
    kept = opinion(grade="limited")

    assert deciding([aside, kept]) is kept


def test_the_published_source_is_named_before_a_recollection_of_equal_confidence():
    published = opinion(basis=Basis.PUBLISHED, source="zzz")

    assert deciding([opinion(), published]) is published


def test_an_unknown_material_is_named_by_its_code():
    assert reason_of(opinion(), [opinion()], None).startswith("toluene on EPDM is not satisfactory")


@pytest.mark.parametrize("note", ["", "swells at once"])
def test_a_note_is_quoted_in_brackets(note):
    sentence = reason_of(opinion(note=note), [opinion(note=note)], None)

    assert sentence.endswith(f"({note})" if note else "confidence medium")


OIL = MassFraction("white mineral oil", 0.99, 0.99)


@pytest.mark.parametrize("name", ["defoamer", "ester", "silane", "UV stabiliser"])
def test_what_the_class_of_a_small_share_leaves_open_is_not_told_part_by_part(judge, name):
    alone = judge("FKM", OIL)
    beside = judge("FKM", OIL, MassFraction(name, 0.005, 0.005))

    assert beside.grade == alone.grade == "satisfactory"
    assert beside.ignored


def test_reactions_of_the_class_of_a_small_share_are_held_against_each_part(judge):
    found = judge("FKM", OIL, MassFraction("tertiary amine", 0.005, 0.005))

    assert found.grade == "not satisfactory"
    assert "base on vinylidene fluoride rubber" in found.reason


@pytest.mark.parametrize("name", ["trade secret", "quitenewol"])
def test_a_small_share_of_which_no_class_is_told_stays_unknown(judge, name):
    assert judge("FKM", OIL, MassFraction(name, 0.005, 0.005)).grade == "unknown"


def test_a_class_of_one_per_cent_is_no_small_share(judge):
    assert judge("FKM", OIL, MassFraction("ester", 0.01, 0.01)).grade == "unknown"


WARMER = 273.15 + 60.0


def test_a_good_grade_for_a_neutral_liquid_reaches_20_kelvin_further_as_limited(judge):
    # Satisfactory up to 40 degC by the table.
    found = judge("EPDM", "acetone", temperature=WARMER, place="still seal")

    assert judge("EPDM", "acetone").grade == "satisfactory"
    assert found.grade == "limited"
    assert "satisfactory up to 40 degC" in found.reason
    assert judge("EPDM", "acetone", temperature=WARMER + 0.1).grade == "unknown"


def test_what_attacks_or_is_limited_or_is_no_rubber_reaches_no_further(judge):
    for code, name in (("EPDM", "acetic acid"), ("NBR", "ethanol"), ("POM", "isopropanol")):
        warm = judge(code, name, temperature=WARMER + 10.0 * (code == "POM"))
        assert warm.grade == "unknown", (code, name, warm.reason)


STATORS = ("EPDM", "EU", "FFKM", "FKM", "HNBR", "NBR", "VMQ")


def test_of_all_substances_on_all_stator_rubbers_45_degc_leaves_43_per_cent_unknown(
    judge, substances
):
    """It was 52 %; 16 % have no record at any temperature, and the rest reach to 40 degC alone."""
    named = [each for each in substances.constituents.values() if each.kind == "substance"]
    found = [
        judge(code, each.title, temperature=273.15 + 45.0, place="stator").grade
        for each in named
        for code in STATORS
    ]

    assert 0.40 < found.count("unknown") / len(found) < 0.435


@pytest.mark.parametrize("liquid", ["n-heptane", "white mineral oil"])
def test_a_perfluoro_rubber_in_a_hydrocarbon_is_no_proven_stator(judge, liquid):
    assert judge("FFKM", liquid, place="stator").grade == "limited"
