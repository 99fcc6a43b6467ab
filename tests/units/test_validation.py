"""Every fault of a file in one go, in plain words."""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, Literal, Self

import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from configurator.errors import Fault
from configurator.units import kinds
from configurator.units.grammar import UnitFault
from configurator.units.quantity import Of, Quantity
from configurator.units.validation import faults_from_validation


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Newtonian(Strict):
    model: Literal["newtonian"]
    viscosity: Annotated[Quantity, Of(kinds.VISCOSITY)]


class PowerLaw(Strict):
    model: Literal["power law"]
    consistency: Annotated[Quantity, Of(kinds.CONSISTENCY)]
    index: Annotated[Quantity, Of(kinds.FLOW_INDEX)]


class Shape(StrEnum):
    ROUND = "round"
    SHARP = "sharp"


class Filler(Strict):
    fraction: Annotated[Quantity, Of(kinds.FRACTION)]
    shape: Shape | None = None

    @model_validator(mode="after")
    def _not_all_filler(self) -> Self:
        if self.fraction.high > 0.9:
            raise ValueError("a filler fraction below 90 %")
        return self


class Component(Strict):
    name: Annotated[str, Field(max_length=10)]
    density: Annotated[Quantity, Of(kinds.DENSITY)]
    flow: Annotated[Newtonian | PowerLaw, Field(discriminator="model")] | None = None
    fillers: tuple[Filler, ...] = ()
    cure: Literal["moisture", "none"] = "none"
    shares: dict[str, Annotated[Quantity, Of(kinds.FRACTION)]] = {}
    stages: Annotated[int, Field(ge=1)] = 1
    light: bool = False
    marks: list[float] = []


class File(Strict):
    schema_version: Literal[1] = Field(alias="schema")
    component: Component


def component(**changes: Any) -> dict[str, Any]:
    return {"name": "A", "density": "1.2 g/cm^3"} | changes


def faults(data: object, **options: Any) -> tuple[Fault, ...]:
    with pytest.raises(ValidationError) as caught:
        File.model_validate(data)
    return faults_from_validation(caught.value, "glue.toml", model=File, **options)


def fault(**changes: Any) -> Fault:
    (only,) = faults({"schema": 1, "component": component(**changes)})
    return only


def test_a_valid_file_has_no_faults() -> None:
    flow = {"model": "power law", "consistency": "160 Pa*s^n", "index": 0.4}
    File.model_validate({"schema": 1, "component": component(flow=flow)})


def test_every_fault_is_found_in_one_go() -> None:
    data = {"schema": 2, "component": {"name": "A", "densty": "1", "density": 3}, "extra": 1}
    assert {each.field for each in faults(data)} == {
        "schema",
        "component.density",
        "component.densty",
        "extra",
    }


def test_a_bad_quantity_says_given_accepted_and_hint() -> None:
    bad = fault(density="1,2 g/cm^3")
    assert (bad.field, bad.given) == ("component.density", "1,2 g/cm^3")
    assert bad.hint == "write 1.2 g/cm^3"
    assert '"1.45 g/cm^3"' in bad.accepted


def test_an_unknown_key_offers_the_nearest_and_lists_the_rest() -> None:
    bad = fault(denstiy="1.2 g/cm^3")
    assert (bad.field, bad.given) == ("component.denstiy", "denstiy")
    assert bad.hint == "did you mean density?"
    assert bad.accepted.startswith("one of: name, density, flow")


def test_keys_of_the_top_may_be_added() -> None:
    data = {"schema": 1, "component": component(), "practise": 1}
    (bad,) = faults(data, names=("practice",))
    assert bad.hint == "did you mean practice?"
    assert bad.accepted == "one of: schema, component, practice"


def test_added_keys_are_not_offered_deeper_down() -> None:
    (bad,) = faults({"schema": 1, "component": component(practise=1)}, names=("practice",))
    assert "practice" not in bad.accepted


def test_a_missing_quantity_is_required_with_an_example() -> None:
    (bad,) = faults({"schema": 1, "component": {"name": "A"}})
    assert (bad.field, bad.given) == ("component.density", "nothing")
    assert bad.accepted.startswith("required: a density with its unit, for example")


def test_a_missing_table_is_required_with_its_keys() -> None:
    bad = faults({})
    assert [each.field for each in bad] == ["schema", "component"]
    assert bad[0].accepted == "required: 1"
    assert bad[1].accepted.startswith("required: a table with one of: name, density")


def test_a_wrong_word_offers_the_nearest() -> None:
    bad = fault(cure="moistur")
    assert (bad.accepted, bad.hint) == ("one of: moisture, none", "did you mean moisture?")


def test_a_wrong_word_of_an_enumeration_offers_the_nearest_in_a_numbered_entry() -> None:
    bad = fault(fillers=[{"fraction": "4 %"}, {"fraction": "4 %", "shape": "shrap"}])
    assert bad.field == "component.fillers[2].shape"
    assert (bad.accepted, bad.hint) == ("one of: round, sharp", "did you mean sharp?")


def test_the_label_of_a_union_is_no_part_of_the_path() -> None:
    bad = fault(flow={"model": "newtonian", "viscosity": "20 bar"})
    assert bad.field == "component.flow.viscosity"
    bad = fault(flow={"model": "power law", "consistency": "1 Pa*s^n", "indx": 1, "index": 0.4})
    assert bad.field == "component.flow.indx"
    assert bad.accepted == "one of: model, consistency, index"
    bad = fault(flow={"model": "power law", "consistency": "1 Pa*s^n"})
    assert bad.field == "component.flow.index"
    assert "a flow index" in bad.accepted


def test_a_wrong_or_missing_tag_lists_the_tags() -> None:
    bad = fault(flow={"model": "newtonain", "viscosity": "20 Pa*s"})
    assert (bad.field, bad.given) == ("component.flow.model", "newtonain")
    assert bad.accepted == "one of: newtonian, power law"
    assert bad.hint == "did you mean newtonian?"
    bad = fault(flow={"viscosity": "20 Pa*s"})
    assert (bad.field, bad.given) == ("component.flow.model", "nothing")
    assert bad.accepted == "required: one of: newtonian, power law"


def test_the_sentence_of_a_model_is_what_is_accepted() -> None:
    bad = fault(fillers=[{"fraction": "95 %"}])
    assert (bad.field, bad.given) == ("component.fillers[1]", "a table")
    assert bad.accepted == "a filler fraction below 90 %"


@pytest.mark.parametrize(
    ("changes", "field", "given", "accepted"),
    [
        ({"name": 5}, "name", "5", "text"),
        ({"name": "x" * 11}, "name", "x" * 11, "text of at most 10 characters"),
        ({"stages": 0}, "stages", "0", "a number of at least 1"),
        ({"stages": "many"}, "stages", "many", "a whole number"),
        ({"stages": 1.5}, "stages", "1.5", "a whole number"),
        ({"light": "perhaps"}, "light", "perhaps", "true or false"),
        ({"marks": 3}, "marks", "3", "a list"),
        ({"marks": [1.0, "x"]}, "marks[2]", "x", "a number"),
        ({"shares": []}, "shares", "a list of 0", "a table"),
        ({"fillers": ["x"]}, "fillers[1]", "x", "a table"),
    ],
)
def test_a_wrong_type_is_said_in_plain_words(
    changes: dict[str, Any], field: str, given: str, accepted: str
) -> None:
    bad = fault(**changes)
    assert (bad.field, bad.given, bad.accepted) == (f"component.{field}", given, accepted)


def test_a_bad_share_names_its_key() -> None:
    assert fault(shares={"water": "4"}).field == "component.shares.water"


def test_no_word_of_the_validation_library_reaches_the_reader() -> None:
    flow = {"model": "newtonian", "viscosity": 3, "x": 1}
    wild = component(name=[], density=None, flow=flow, fillers=3, cure=1, stages={}, light=[])
    for each in faults({"schema": "1", "component": wild}):
        line = each.line()
        for word in ("pydantic", "http", "Input", "valid", "instance", "dict", "str ", "type="):
            assert word not in line


def test_a_prefix_goes_before_every_field() -> None:
    with pytest.raises(ValidationError) as caught:
        Filler.model_validate({"fraction": "4"})
    (bad,) = faults_from_validation(caught.value, "c.toml", model=Filler, prefix="filler f1: ")
    assert bad.field == "filler f1: fraction"
    with pytest.raises(ValidationError) as caught:
        Filler.model_validate([])
    (bad,) = faults_from_validation(caught.value, "c.toml", model=Filler, prefix="filler f1: ")
    assert (bad.field, bad.given) == ("filler f1", "a list of 0")
    (bad,) = faults_from_validation(caught.value, "c.toml", model=Filler)
    assert bad.field == "file"


def test_without_a_model_the_faults_are_still_complete() -> None:
    with pytest.raises(ValidationError) as caught:
        Filler.model_validate({"shape": "shrap", "extra": 1})
    bad = faults_from_validation(caught.value, "c.toml")
    assert {each.field: each.accepted for each in bad} == {
        "fraction": "required: a value",
        "shape": "round or sharp",
        "extra": "no such key",
    }


def test_the_same_fault_is_told_once() -> None:
    class Either(Strict):
        drop: int | bool

    with pytest.raises(ValidationError) as caught:
        Either.model_validate({"drop": []})
    bad = faults_from_validation(caught.value, "c.toml", model=Either)
    assert [each.field for each in bad] == ["drop", "drop"]
    assert len(set(bad)) == len(bad)


def test_a_unit_fault_of_a_model_keeps_its_parts() -> None:
    class Picky(Strict):
        text: str

        @model_validator(mode="after")
        def _refuse(self) -> Self:
            raise UnitFault(self.text, "something better", "write more")

    with pytest.raises(ValidationError) as caught:
        Picky.model_validate({"text": "less"})
    (bad,) = faults_from_validation(caught.value, "c.toml", model=Picky)
    assert bad == Fault("c.toml", "file", "less", "something better", "write more")


def test_plain_fields_that_are_missing_say_what_they_are() -> None:
    class Plain(Strict):
        a: bool
        b: int
        c: float | str
        d: list[int]
        e: dict[str, int]
        f: Shape
        g: Annotated[Quantity, Of(kinds.MASS)] | None
        h: object

    with pytest.raises(ValidationError) as caught:
        Plain.model_validate({})
    bad = faults_from_validation(caught.value, "c.toml", model=Plain)
    assert [each.accepted.removeprefix("required: ") for each in bad] == [
        "true or false",
        "a whole number",
        "a number or text",
        "a list",
        "a table",
        "one of: round, sharp",
        kinds.MASS.accepted,
        "a value",
    ]


def test_a_union_without_a_tag_names_the_field_once_for_each_way() -> None:
    class Open(Strict):
        flow: Newtonian | Filler | int

    with pytest.raises(ValidationError) as caught:
        Open.model_validate({"flow": {"fractoin": "4 %"}})
    bad = faults_from_validation(caught.value, "c.toml", model=Open)
    assert {each.field for each in bad} == {
        "flow",
        "flow.model",
        "flow.viscosity",
        "flow.fraction",
        "flow.fractoin",
    }
    assert "did you mean fraction?" in {each.hint for each in bad}


def test_a_bad_key_of_a_table_is_at_that_key() -> None:
    class Counted(Strict):
        shares: dict[int, str]

    with pytest.raises(ValidationError) as caught:
        Counted.model_validate({"shares": {"one": "x"}})
    (bad,) = faults_from_validation(caught.value, "c.toml", model=Counted)
    assert (bad.field, bad.given, bad.accepted) == ("shares.one", "one", "a whole number")


def test_a_fault_that_has_no_words_of_its_own_keeps_its_sentence() -> None:
    class Dated(Strict):
        issued: date
        code: Annotated[str, Field(pattern="^[a-z]+$")]
        ratio: Annotated[float, Field(allow_inf_nan=False)]
        marks: Annotated[list[int], Field(min_length=2)]
        place: Path
        wait: timedelta

    given = {
        "issued": "2025-13-01",
        "code": "A1",
        "ratio": float("nan"),
        "marks": [1],
        "place": 3,
        "wait": "soon",
    }
    with pytest.raises(ValidationError) as caught:
        Dated.model_validate(given)
    bad = faults_from_validation(caught.value, "c.toml", model=Dated)
    accepted = {each.field: each.accepted for each in bad}
    assert accepted["issued"] == "a date such as 2025-03-01"
    assert accepted["code"] == "text of the form ^[a-z]+$"
    assert accepted["ratio"] == "a finite number"
    assert accepted["marks"] == "at least 2 entries"
    assert accepted["place"] == "a path"
    assert accepted.keys() == given.keys()
    assert not any(text.startswith("Input") for text in accepted.values())


def test_long_lists_of_names_are_cut() -> None:
    names = [f"slot{number}" for number in range(40)]
    data = {"schema": 1, "component": component(), "x": 1}
    (bad,) = faults(data, names=names)
    assert bad.accepted.endswith("and 18 more")


def test_a_path_that_the_model_does_not_know_is_still_told() -> None:
    with pytest.raises(ValidationError) as caught:
        File.model_validate({"schema": 1, "component": component(marks=[1.0, "x"])})

    class Flat(Strict):
        component: str

    class Inner(Strict):
        marks: str

    class Shallow(Strict):
        component: Inner

    for other in (Filler, Flat, Shallow):
        (bad,) = faults_from_validation(caught.value, "c.toml", model=other)
        assert (bad.field, bad.accepted) == ("component.marks[2]", "a number")
