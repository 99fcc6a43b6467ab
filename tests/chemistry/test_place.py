"""One change of volume, three verdicts; and two witnesses for a stator without a number."""

from itertools import pairwise

import pytest

from configurator.chemistry.place import LIMITS, grade_of_swell

PLACES = ("stator", "moving seal", "still seal")


def test_one_record_gives_three_verdicts(judge):
    """Fluorosilicone takes up about 15 % of jet fuel: published, seen as an abstract."""
    grades = [judge("FVMQ", "kerosene-type fuel", place=place).grade for place in PLACES]

    assert grades == ["not satisfactory", "limited", "satisfactory"]


def test_each_place_stands_no_more_than_the_one_after_it():
    for stricter, wider in pairwise(PLACES):
        assert all(one < other for one, other in zip(LIMITS[stricter], LIMITS[wider], strict=True))


@pytest.mark.parametrize(
    ("change", "grade", "sure"),
    [
        ((0.0, 0.03), "satisfactory", True),
        ((-0.05, -0.04), "limited", True),
        ((0.02, 0.05), "limited", False),
        ((0.09, 0.10), "not satisfactory", True),
    ],
)
def test_a_change_of_a_stator_is_graded_by_its_worse_end(change, grade, sure):
    assert grade_of_swell(*change, "stator") == (grade, sure)


def test_a_range_that_straddles_the_limit_of_a_place_does_not_condemn(judge):
    """Silicone in ethanol, calculated 1.6 to 3.4 %: past 3 %, and far from 8 %."""
    assert judge("VMQ", "n-butanol", place="stator").grade == "limited"
    assert judge("VMQ", "n-butanol", place="moving seal").grade != "not satisfactory"


@pytest.mark.parametrize("code", ["NBR", "HNBR", "EPDM", "FKM", "VMQ", "EU", "FFKM"])
def test_a_chart_grade_fits_a_stator_only_with_a_second_witness(substances, judge, code):
    """Whatever fits a stator has a number, an inert pair, or a sure grade that the screen shares."""
    for name in substances.constituents:
        contact = judge(code, name, place="stator")
        if contact.grade != "satisfactory":
            continue
        used = [voice for voice in contact.opinions if voice.used]
        numbers = any(voice.swelling is not None for voice in used)
        inert = any(voice.kind == "inert pair" for voice in used)
        assert numbers or inert or any(voice.confidence == "high" for voice in used)


@pytest.mark.parametrize("oil", ["mineral oil", "polyalphaolefin oil"])
def test_fluorocarbon_rubber_fits_in_saturated_oil_by_two_witnesses(judge, oil):
    """Nitrile lies nearer to hydrocarbons: there the screen leaves it to a soak."""
    assert judge("FKM", oil, place="stator").grade == "satisfactory"
    nitrile = judge("NBR", oil, place="stator")
    assert nitrile.grade == "limited"
    assert "the swelling screen leaves it to a test" in nitrile.reason
    assert nitrile.disagreements == ()  # one chart that stands alone is no second source


def test_a_recollection_that_the_screen_denies_is_marginal_for_a_stator_and_says_so(judge):
    still, stator = (judge("EPDM", "methyl isobutyl ketone", place=place) for place in PLACES[::-2])

    assert still.grade == "satisfactory"
    assert stator.grade == "limited"
    assert "the swelling screen" in stator.reason


def test_the_screen_and_the_recollections_agree_more_often_than_not(substances, judge):
    """How often the screen, asked alone, says the same as a grade of the tables."""
    agree = deny = 0
    for entry in substances.constituents.values():
        for code in ("NBR", "HNBR", "EPDM", "FKM", "VMQ"):
            if entry.hansen is None or judge(code, entry.name).grade != "satisfactory":
                continue
            reason = judge(code, entry.name, place="stator").reason
            agree += "screen says that it swells" not in reason
            deny += "screen says that it swells" in reason

    assert agree > deny
