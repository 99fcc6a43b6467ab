"""Substance records: what a file may not say."""

import pytest
from pydantic import ValidationError

from configurator.catalog.substances import Constituent, VerdictGroup
from configurator.units.interval import Basis


def group(**changes):
    values = {
        "constituent": "water",
        "basis": "published",
        "source": "a page",
        "confidence": "high",
        "satisfactory": ["NBR"],
    }
    return VerdictGroup.model_validate({**values, **changes})


def test_a_verdict_grades_a_material_once():
    with pytest.raises(ValidationError, match="one grade"):
        group(limited=["NBR"])
    with pytest.raises(ValidationError, match="one grade"):
        group(satisfactory=["NBR", "NBR"])


def test_a_verdict_names_a_material():
    with pytest.raises(ValidationError, match="at least one wetted material"):
        group(satisfactory=[])


def test_only_a_bad_grade_may_begin_at_a_temperature():
    with pytest.raises(ValidationError, match="not_satisfactory only"):
        group(temperature_from="60 degC")
    bad = group(satisfactory=[], not_satisfactory=["NBR"], temperature_from="60 degC")

    assert bad.temperature_from is not None
    assert bad.temperature_from.nominal == pytest.approx(333.15)


@pytest.mark.parametrize(
    "change", [{"basis": "hearsay"}, {"confidence": "sure"}, {"temperature_to": "40"},
               {"temperature_to": "40 bar"}, {"colour": "red"}, {"fraction_to": "120 %"}]
)  # fmt: skip
def test_words_and_units_outside_the_lists_are_refused(change):
    with pytest.raises(ValidationError):
        group(**change)


def test_a_quantity_that_is_refused_twice_is_refused_with_the_same_words():
    def words():
        with pytest.raises(ValidationError) as caught:
            group(temperature_to="40 bar")
        return str(caught.value)

    assert words() == words()
    assert "a temperature" in words()


@pytest.mark.parametrize("cas", ["67641", "067-64-1", "67-64-12", "acetone"])
def test_a_cas_number_has_its_form(cas):
    with pytest.raises(ValidationError):
        Constituent.model_validate({"name": "a", "title": "a", "counts_from": "1 %", "cas": cas})


def test_a_remembered_quantity_keeps_the_basis_of_its_own_file():
    def basis(context):
        constituent = Constituent.model_validate(
            {"name": "a", "title": "a", "counts_from": "3 %"}, context=context
        )
        return constituent.counts_from.basis

    assert basis({"basis": Basis.PUBLISHED}) is Basis.PUBLISHED
    assert basis({"basis": Basis.FROM_MEMORY}) is Basis.FROM_MEMORY
    assert basis(None) is Basis.FROM_MEMORY
