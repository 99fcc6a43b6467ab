"""Headers: what is read, what is kept, and what looks like a slip."""

from __future__ import annotations

import pytest
from flat_rows import EXAMPLES, entries

from configurator.errors import InputError
from configurator.screen.columns import BY_NAME
from configurator.screen.header import read_header, slip, warnings_on


def refusal(*cells: str) -> str:
    with pytest.raises(InputError) as caught:
        read_header(cells, "own.csv", 1)
    return str(caught.value)


def test_known_columns_are_found_and_others_kept_in_order() -> None:
    header = read_header(["order", " name ", "viscosity", "shop\nremark", "", ""], "own.csv", 1)

    assert header.columns == ("order", "name", "viscosity", "shop remark")
    assert list(header.known) == ["name", "viscosity"]


def test_an_empty_column_in_between_is_called_by_its_number() -> None:
    assert read_header(["name", "", "at"], "own.csv", 1).columns == ("name", "column 2", "at")


def test_a_column_twice_is_refused() -> None:
    line = refusal("name", "at", "order", "name", "order", "name")

    assert "own.csv, line 1: header: given 'name, twice'; accepted: each column once" in line
    assert "order, twice" in line


@pytest.mark.parametrize("cells", [("Lid sealant", "20 Pa*s"), ("a",), ()])
def test_a_list_without_a_header_is_refused(cells: tuple[str, ...]) -> None:
    assert "accepted: a header that names at least one column" in refusal(*cells)


def test_a_header_of_nothing_but_slips_names_the_nearest() -> None:
    assert refusal("Nr.", "Viscosity").endswith("did you mean viscosity?")


def test_more_than_a_thousand_columns_are_refused() -> None:
    assert "given '1001 columns'" in refusal("name", *map(str, range(1000)))


@pytest.mark.parametrize(
    ("column", "near"),
    [
        ("viscosty", "viscosity"),
        ("Density", "density"),
        ("shear rate", "shear_rate"),
        ("viscosity [mPa*s]", "viscosity"),
        ("a_densty", "a_density"),
        ("d50", "filler_d50"),
        ("pot life", "pot_life"),
    ],
)
def test_a_slip_is_told_with_the_nearest_column(column: str, near: str) -> None:
    assert slip(column) == f"did you mean {near}?"


@pytest.mark.parametrize(
    "column", ["order", "date", "customer", "price", "part", "id", "code", "", "x" * 100_000]
)
def test_columns_of_the_shop_are_no_slips(column: str) -> None:
    assert slip(column) == ""


def test_no_column_is_a_slip_of_another() -> None:
    assert not any(map(slip, BY_NAME))


def test_a_slip_is_told_once_for_the_whole_list() -> None:
    lines = warnings_on(["name", "order", "densty"], "own.csv")

    assert lines == ("own.csv: column 'densty' is kept but not read; did you mean density?",)


def test_a_foreign_column_name_reaches_a_warning_escaped() -> None:
    (line,) = warnings_on(["densty\x1b[31m"], "own.csv")

    assert line.isprintable()


def test_a_slip_makes_no_fault_of_a_row() -> None:
    good = b"name,trigger,viscosity,at,densty\nglue,none,20 Pa*s,23 degC,1 g/cm^3\n"

    assert [each.fault for each in entries(good, base=EXAMPLES)] == [""]
