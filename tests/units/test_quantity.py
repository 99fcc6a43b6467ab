"""Quantities of a file: text, tables, plain numbers, and pydantic fields."""

from __future__ import annotations

import pickle
import subprocess
import sys
import time
from typing import Annotated, Any

import pytest
from pydantic import BaseModel, ValidationError

from configurator.units import kinds
from configurator.units.dimension import Kind
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import FAULT_TYPE, Of, Quantity, UnitFault, parse, read_quantity

DENSITY = {"value": "1.2 g/cm^3"}


class Line(BaseModel):
    pressure: Annotated[Quantity, Of(kinds.PRESSURE)]
    length: Annotated[Quantity, Of(kinds.LENGTH, default_basis=Basis.INVENTED)] | None = None


def test_a_quantity_keeps_its_text_bounds_and_basis() -> None:
    given = read_quantity("18..28 degC", kinds.TEMPERATURE, Basis.DATASHEET)
    assert (given.text, given.basis, given.note) == ("18..28 degC", Basis.DATASHEET, "")
    assert (given.low, given.nominal, given.high) == (291.15, 296.15, 301.15)


def test_a_table_states_its_own_basis_and_note() -> None:
    table = DENSITY | {"basis": "measured", "note": "weighed"}
    given = read_quantity(table, kinds.DENSITY, Basis.DATASHEET)
    assert (given.nominal, given.basis, given.note) == (1200.0, Basis.MEASURED, "weighed")


def test_a_table_without_a_basis_gets_the_default() -> None:
    assert read_quantity(DENSITY, kinds.DENSITY, Basis.INVENTED).basis is Basis.INVENTED


@pytest.mark.parametrize(("value", "nominal"), [(3, 3.0), ("3", 3.0)])
def test_a_count_may_be_a_plain_number(value: object, nominal: float) -> None:
    assert read_quantity(value, kinds.COUNT, Basis.DATASHEET).nominal == nominal


@pytest.mark.parametrize("value", [0.45, "0.45", {"value": 0.45}])
def test_a_number_may_be_plain_text_or_in_a_table(value: object) -> None:
    assert read_quantity(value, kinds.FLOW_INDEX, Basis.MEASURED).nominal == 0.45


@pytest.mark.parametrize(
    ("value", "kind", "given", "hint"),
    [
        (6, kinds.PRESSURE, "6", 'write a unit, for example "6 bar"'),
        (6.5, kinds.PRESSURE, "6.5", 'write a unit, for example "6.5 bar"'),
        ({"value": 6}, kinds.PRESSURE, "6", 'write a unit, for example "6 bar"'),
        (True, kinds.COUNT, "true", ""),
        (None, kinds.PRESSURE, "nothing", ""),
        ([1, 2], kinds.PRESSURE, "a list of 2", ""),
        ({"value": {}}, kinds.PRESSURE, "a table", ""),
        (float("nan"), kinds.NUMBER, "nan", None),
        (float("inf"), kinds.NUMBER, "inf", None),
        (2.5, kinds.COUNT, "2.5", "a count must be a whole number"),
        ("-6 bar", kinds.PRESSURE, "-6 bar", None),
        ("104 %", kinds.FRACTION, "104 %", "a fraction must be from 0 % to 100 %"),
        ("-300 degC", kinds.TEMPERATURE, "-300 degC", None),
        ("20 Pa*s +/- 100 %", kinds.VISCOSITY, "20 Pa*s +/- 100 %", None),
        ("5000 MPa*s", kinds.VISCOSITY, "5000 MPa*s", None),
        ({"basis": "measured"}, kinds.PRESSURE, "a table without value", ""),
        (DENSITY | {"bassis": "measured"}, kinds.DENSITY, "bassis", "did you mean basis?"),
        (DENSITY | {"basis": "mesured"}, kinds.DENSITY, "mesured", "did you mean measured?"),
        (DENSITY | {"basis": 3}, kinds.DENSITY, "3", ""),
        (DENSITY | {"note": "two\nlines"}, kinds.DENSITY, "two\nlines", ""),
        (DENSITY | {"note": "x" * 501}, kinds.DENSITY, "x" * 501, ""),
        (DENSITY | {"note": 5}, kinds.DENSITY, "5", ""),
    ],
)
def test_what_is_no_quantity_is_refused(
    value: object, kind: Kind, given: str | None, hint: str | None
) -> None:
    with pytest.raises(UnitFault) as caught:
        read_quantity(value, kind, Basis.DATASHEET)
    assert caught.value.accepted
    if given is not None:
        assert caught.value.given == given
    if hint is not None:
        assert caught.value.hint == hint


@pytest.mark.parametrize("kind", [kinds.COUNT, kinds.PRESSURE])
def test_a_whole_number_of_thousands_of_digits_is_refused(kind: Kind) -> None:
    with pytest.raises(UnitFault) as caught:
        read_quantity(10**5000, kind, Basis.DATASHEET)
    assert caught.value.given == "a number beyond any real quantity"


def test_a_fault_names_both_dimensions_and_an_example() -> None:
    with pytest.raises(UnitFault) as caught:
        parse("6 mL", kinds.PRESSURE)
    assert caught.value.hint == "mL is a volume, not a pressure"
    assert '"6 bar"' in caught.value.accepted
    assert str(caught.value).endswith("; mL is a volume, not a pressure")


def test_a_quantity_passes_through_where_its_unit_fits() -> None:
    drop = read_quantity("2 bar", kinds.PRESSURE, Basis.MEASURED)
    assert read_quantity(drop, kinds.STRESS, Basis.DATASHEET) is drop
    with pytest.raises(UnitFault, match="volume"):
        read_quantity(drop, kinds.VOLUME, Basis.DATASHEET)
    nothing = read_quantity("0 bar", kinds.PRESSURE, Basis.MEASURED)
    with pytest.raises(UnitFault, match="above zero"):
        read_quantity(nothing, kinds.MODULUS, Basis.DATASHEET)


def test_a_quantity_survives_the_way_to_another_process() -> None:
    given = read_quantity("2 bar", kinds.PRESSURE, Basis.MEASURED)
    assert pickle.loads(pickle.dumps(given)) == given


@pytest.mark.parametrize("name", ["mmHg", "acre", "furlong", "gallon", "foot_pound"])
def test_units_beyond_the_table_come_from_pint(name: str) -> None:
    with pytest.raises(UnitFault, match="not a viscosity"):
        parse(f"1 {name}", kinds.VISCOSITY)


@pytest.mark.parametrize(
    "name",
    ["pi", "dozen", "degRe", "dBm", "decibel", "pH", "k", "zzz", "bit", "nan", "a" * 60, "USD"],
)
def test_constants_counts_offsets_and_logarithms_are_no_units(name: str) -> None:
    with pytest.raises(UnitFault):
        parse(f"1 {name}", kinds.NUMBER)
    with pytest.raises(UnitFault, match=r"unknown|did you mean|not a length"):
        parse(f"1 {name}*m", kinds.LENGTH)


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9 m",
        "9**9**9**9",
        "m**9**9**9",
        "1 m**999999999",
        "((((1)))) m",
        "1 m" + "*m" * 90,
        "1e999999999 m",
        "1" * 200,
        "1 " + "a" * 198,
        "1 " + "m " * 99,
        "-" * 200,
        "1 -" * 66,
        "exec('1') m",
        "1 __class__",
        "1 m if 1 else 2",
        "1 {m}",
        "1 m; 2 m",
        "1.." * 66,
        "1 " * 100,
        " " * 200 + "1",
        "1 m" + "^2" * 98,
        ", " * 100,
        "1 " + "/" * 198,
    ],
)
def test_tricks_are_refused_at_once(text: str) -> None:
    start = time.perf_counter()
    with pytest.raises(UnitFault):
        parse(text, kinds.LENGTH)
    # Generous for a busy machine; "9**9**9" evaluated would take years. Pint may load once.
    assert time.perf_counter() - start < 5.0


def test_common_units_do_not_load_pint() -> None:
    code = """
import sys
from configurator.units.kinds import KINDS
from configurator.units.quantity import parse
for kind in KINDS:
    parse(kind.example, kind)
    for unit in kind.units:
        if kind.name not in ("fraction", "Mohs hardness"):
            parse(f"0.5 {unit}", kind)
    try:
        parse("6", kind)
    except ValueError:
        pass
assert "pint" not in sys.modules, "pint was loaded for a common unit"
parse("6 mmHg", KINDS[0])
assert "pint" in sys.modules, "pint was never needed, so this test shows nothing"
"""
    subprocess.run([sys.executable, "-c", code], check=True)


def test_a_field_takes_its_basis_from_value_then_context_then_default() -> None:
    own = {"value": "6 bar", "basis": "measured"}
    context = {"basis": Basis.DATASHEET}
    assert Line.model_validate({"pressure": own}, context=context).pressure.basis == "measured"
    given: dict[str, Any] = {"pressure": "6 bar", "length": "2 m"}
    line = Line.model_validate(given, context=context)
    assert line.length is not None
    assert (line.pressure.basis, line.length.basis) == (Basis.DATASHEET, Basis.DATASHEET)
    for without in (None, {}, {"basis": None}):
        line = Line.model_validate(given, context=without)
        assert line.length is not None
        assert (line.pressure.basis, line.length.basis) == (Basis.FROM_MEMORY, Basis.INVENTED)


def test_a_field_takes_a_ready_quantity() -> None:
    ready = read_quantity("2 bar", kinds.PRESSURE, Basis.MEASURED)
    assert Line(pressure=ready).pressure is ready


def test_a_field_fault_carries_given_accepted_and_hint() -> None:
    with pytest.raises(ValidationError) as caught:
        Line.model_validate({"pressure": "6 brr"})
    (error,) = caught.value.errors()
    assert error["type"] == FAULT_TYPE
    assert error["ctx"]["given"] == "6 brr"
    assert error["ctx"]["hint"] == "did you mean bar?"
    assert "a pressure with its unit" in error["ctx"]["accepted"]


def test_a_quantity_becomes_plain_data_in_every_dump() -> None:
    line = Line.model_validate({"pressure": {"value": "6 bar", "note": "gauge"}})
    assert line.model_dump(mode="json")["pressure"] == {
        "value": "6 bar",
        "basis": "from memory",
        "low": 6e5,
        "nominal": 6e5,
        "high": 6e5,
        "unit": "Pa",
        "note": "gauge",
    }
    assert line.model_dump() == line.model_dump(mode="json")
    assert "note" not in read_quantity("6 bar", kinds.PRESSURE, Basis.MEASURED).as_json()


def test_the_json_schema_says_what_a_field_accepts() -> None:
    schema = Line.model_json_schema()["properties"]["pressure"]
    assert schema["type"] == ["string", "object"]
    assert "6 bar" in schema["description"]


def test_the_nominal_of_a_text_range_is_its_midpoint() -> None:
    assert parse("2..6 bar", kinds.PRESSURE) == Interval(2e5, 4e5, 6e5)


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("25 Pas", "25 Pa*s"),
        ("25 mpas", "25 mPa*s"),
        ("25 mPas", "25 mPa*s"),
        ("25 PaS", "25 Pa*s"),
        ("20..25 kPas", "20..25 kPa*s"),
        ("25 Pa-s +/- 5 %", "25 Pa*s +/- 5 %"),
    ],
)
def test_a_viscosity_run_together_is_refused_with_its_right_spelling(
    typed: str, right: str
) -> None:
    with pytest.raises(UnitFault) as caught:
        parse(typed, kinds.VISCOSITY)

    assert caught.value.hint == f"write {right}"
    assert parse(right, kinds.VISCOSITY).nominal > 0.0


@pytest.mark.parametrize("typed", ["25 Pa*s", "25 Pa s", "25 mPa.s", "25 cP"])
def test_a_viscosity_that_is_spelt_right_is_taken(typed: str) -> None:
    assert parse(typed, kinds.VISCOSITY).nominal > 0.0
