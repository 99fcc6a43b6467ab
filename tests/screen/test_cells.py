"""Single cells: what a material file would hold in their place, or what to write instead."""

from __future__ import annotations

import contextlib
import time
from typing import Any

import pytest

from configurator.screen.cells import read_cell
from configurator.screen.header import Form
from configurator.units.cell import CellFault


def refused(form: Form, text: str) -> CellFault:
    with pytest.raises(CellFault) as caught:
        read_cell(form, text)
    assert caught.value.accepted
    return caught.value


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("yes", True), ("TRUE", True), ("No", False), ("false", False)],
)
def test_yes_and_no_are_read_in_any_case(text: str, wanted: object) -> None:
    assert read_cell(Form.YES, text) is wanted


@pytest.mark.parametrize("text", ["1", "x", "wahr", "y", "yes no"])
def test_anything_else_is_no_answer(text: str) -> None:
    assert refused(Form.YES, text).given == text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("20 Pa*s", "20 Pa*s"),
        ("20 Pa*s (measured)", {"value": "20 Pa*s", "basis": "measured"}),
        ("20 Pa*s(common practice)", {"value": "20 Pa*s", "basis": "common practice"}),
        ("5 % (note: sheet (May), p. 3)", {"value": "5 %", "note": "sheet (May), p. 3"}),
        (
            "5 % (measured, note: our scale)",
            {"value": "5 %", "basis": "measured", "note": "our scale"},
        ),
        ("5 %)", "5 %)"),
    ],
)
def test_a_basis_and_a_note_stand_in_brackets_behind_a_quantity(text: str, wanted: Any) -> None:
    assert read_cell(Form.QUANTITY, text) == wanted


@pytest.mark.parametrize("text", ["5 % ()", "5 % (measured, our scale)", "5 % (, note: x)"])
def test_brackets_with_anything_else_are_refused(text: str) -> None:
    assert "(measured, note: our scale)" in refused(Form.QUANTITY, text).accepted


@pytest.mark.parametrize(
    ("text", "name", "share"),
    [
        ("xylene 5 %", "xylene", "5 %"),
        ("xylene  5%", "xylene", "5%"),
        ("MDI prepolymer 20..30 %", "MDI prepolymer", "20..30 %"),
        ("MDI prepolymer 20 % .. 30 %", "MDI prepolymer", "20 % .. 30 %"),
        ("MDI prepolymer 20 to 30 %", "MDI prepolymer", "20 to 30 %"),
        ("xylene 5 +/- 1 %", "xylene", "5 +/- 1 %"),
        ("xylene 5 \N{PLUS-MINUS SIGN} 1 %", "xylene", "5 \N{PLUS-MINUS SIGN} 1 %"),
        ("platinum catalyst 20 ppm", "platinum catalyst", "20 ppm"),
        ("1,2-propanediol 1e-3 %", "1,2-propanediol", "1e-3 %"),
        ("C12-C14 glycidyl ether 2..4 %", "C12-C14 glycidyl ether", "2..4 %"),
        ("108-88-3 5 %", "108-88-3", "5 %"),
        ("MDI (50 % in oil) 5 %", "MDI (50 % in oil)", "5 %"),
        ('"polyamide 66" 5 %', "polyamide 66", "5 %"),
        ('"a; b = ""c"" 5 %" 6 %', 'a; b = "c" 5 %', "6 %"),
        ("xylene 5 % (measured)", "xylene", {"value": "5 %", "basis": "measured"}),
        # Refused further on, by the parser, with what to write.
        ("xylene 3,5 %", "xylene", "3,5 %"),
        ("xylene <5 %", "xylene", "<5 %"),
        ("xylene < 5 %", "xylene", "< 5 %"),
        ("xylene 5-10 %", "xylene", "5-10 %"),
        ("xylene 5 wt%", "xylene", "5 wt%"),
    ],
)
def test_a_constituent_is_a_name_and_its_share(text: str, name: str, share: Any) -> None:
    assert read_cell(Form.SHARES, text) == ({"name": name, "mass_fraction": share},)


@pytest.mark.parametrize(
    "name",
    ["xylene", "108-88-3", "MDI (polymeric)", "poly(a;b)", "C12-C14 alcohol", "polyamide-66"],
)
def test_a_name_alone_has_no_share(name: str) -> None:
    assert read_cell(Form.SHARES, name) == ({"name": name},)


@pytest.mark.parametrize(
    "text",
    ["xylene 5", "xylene 5..10", "polyamide 66", "polyamide 66 5 %", "xylene 1 000 ppm"],
)
def test_a_number_at_the_end_of_a_name_is_never_guessed_at(text: str) -> None:
    assert '"polyamide 66" 5 %' in refused(Form.SHARES, f"water 2 %; {text}").hint


@pytest.mark.parametrize("text", ["5 %", "5 % xylene", "xylene five %", "100 % solids resin"])
def test_a_share_without_its_place_is_refused(text: str) -> None:
    assert refused(Form.SHARES, text).given == text


def test_an_open_quote_in_a_constituent_is_refused() -> None:
    assert "in quotes" in refused(Form.SHARES, '"polyamide 66 5 %').accepted


def test_empty_entries_do_not_count() -> None:
    assert read_cell(Form.SHARES, "; water 5 %;;") == ({"name": "water", "mass_fraction": "5 %"},)
    assert read_cell(Form.WORDS, "moisture; shear;") == ("moisture", "shear")


@pytest.mark.parametrize(
    ("text", "rate", "key", "value"),
    [
        ("0.1 1/s 900 Pa*s", "0.1 1/s", "viscosity", "900 Pa*s"),
        ("10 1/s 580 Pa", "10 1/s", "stress", "580 Pa"),
        ("10 s^-1 0.58 kPa +/- 5 %", "10 s^-1", "stress", "0.58 kPa +/- 5 %"),
        ("0.1..0.2 1/s 900 mPa*s", "0.1..0.2 1/s", "viscosity", "900 mPa*s"),
        ("0.1 1/s to 0.2 1/s 900 cP", "0.1 1/s to 0.2 1/s", "viscosity", "900 cP"),
        ("1 1/s +/- 5 % 900 cP +/- 3 %", "1 1/s +/- 5 %", "viscosity", "900 cP +/- 3 %"),
        ("1 1 / s 900 cP", "1 1 / s", "viscosity", "900 cP"),
        # Refused further on, by the parser, with what to write.
        ("1/s 3 Pa", "1/s", "stress", "3 Pa"),
        ("10 1/s at 900 Pa*s", "10 1/s at", "viscosity", "900 Pa*s"),
        ("0,1 1/s 900 Pa*s", "0,1 1/s", "viscosity", "900 Pa*s"),
        ("1 1/s 3,5 Pa*s", "1 1/s", "viscosity", "3,5 Pa*s"),
    ],
)
def test_a_point_is_a_rate_and_a_value(text: str, rate: str, key: str, value: str) -> None:
    assert read_cell(Form.POINTS, text) == ({"rate": rate, key: value},)


def test_both_numbers_of_a_point_may_have_a_basis() -> None:
    text = "1 1/s (note: of 3 May) 300 Pa (measured); 10 1/s 580 Pa"

    assert read_cell(Form.POINTS, text) == (
        {
            "rate": {"value": "1 1/s", "note": "of 3 May"},
            "stress": {"value": "300 Pa", "basis": "measured"},
        },
        {"rate": "10 1/s", "stress": "580 Pa"},
    )


@pytest.mark.parametrize("text", ["10 1/s", "900 Pa*s", "10 900", "a b"])
def test_a_point_with_one_number_is_refused(text: str) -> None:
    assert "a shear rate, then" in refused(Form.POINTS, text).accepted


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("10:1", ("10", "1")),
        ("100 : 45", ("100", "45")),
        ("10:01", ("10", "01")),
        ("9..11 : 1 (measured)", ("9..11", {"value": "1", "basis": "measured"})),
        ("2 (note: 2:1) : 1", ({"value": "2", "note": "2:1"}, "1")),
    ],
)
def test_a_ratio_is_two_numbers(text: str, wanted: Any) -> None:
    assert read_cell(Form.RATIO, text) == wanted


@pytest.mark.parametrize("text", ["10", "10/1", "10:", ":1", "1:2:3", "10 to 1", "1:1:1:1:1"])
def test_another_number_of_numbers_is_no_ratio(text: str) -> None:
    assert refused(Form.RATIO, text).given == text


def test_a_cell_with_too_many_or_too_long_entries_is_refused() -> None:
    assert refused(Form.SHARES, "a;" * 201).given == "201 constituents"
    assert len(read_cell(Form.SHARES, "a;" * 200)) == 200
    assert "1000 characters" in refused(Form.SHARES, "a" * 1001).accepted


@pytest.mark.parametrize("form", list(Form))
@pytest.mark.parametrize(
    "piece", ['"', "(", ")", ";", " ", "1 ", "1 % (", "9", "5 % ", "1.", ":", "1 1/s ", "\xa0", "-"]
)
def test_the_longest_cell_of_any_kind_is_read_or_refused_in_no_time(form: Form, piece: str) -> None:
    text = (piece * 65_536)[:65_535].strip() or "x"
    start = time.process_time()
    for shape in (text, f"{text})", f"x{text}", f"{text} %"):
        with contextlib.suppress(CellFault):
            read_cell(form, shape)
    assert time.process_time() - start < 2.0
