"""Which opinion decides, and how it is said."""

import pytest

from configurator.chemistry.contact import deciding, reason_of
from configurator.chemistry.opinion import Opinion
from configurator.units.interval import Basis


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
