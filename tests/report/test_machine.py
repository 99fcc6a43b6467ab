"""JSON and CSV of plain values."""

from __future__ import annotations

import csv
import doctest
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.report import machine
from configurator.report.machine import csv_text, json_text, number


def test_the_examples_in_the_docstrings_hold():
    assert doctest.testmod(machine).failed == 0


@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        (None, None),
        (float("nan"), None),
        (float("inf"), None),
        (float("-inf"), None),
        (-0.0, 0.0),
        (1234567.0, 1234570.0),
        (1.23456789e-12, 1.23457e-12),
        (0.5, 0.5),
    ],
)
def test_numbers_have_six_significant_digits_or_are_none(value, rounded):
    assert number(value) == rounded
    assert str(number(value)) == str(rounded)


@given(st.floats())
def test_any_float_becomes_valid_json(value):
    def refuse(name: str) -> None:
        raise AssertionError(name)

    read = json.loads(json_text({"x": number(value)}), parse_constant=refuse)
    assert read["x"] is None or read["x"] == pytest.approx(value, rel=1e-5)


def test_a_number_that_json_cannot_hold_is_never_written():
    with pytest.raises(ValueError, match="JSON"):
        json_text({"x": float("nan")})


@given(st.text())
def test_text_comes_back_and_is_sent_as_plain_ascii(text):
    written = json_text({"name": text})

    assert json.loads(written)["name"] == text
    assert written.isascii()
    assert written.replace("\n", "").isprintable()


def test_keys_stay_in_the_order_given():
    assert list(json.loads(json_text({"b": 1, "a": 2}))) == ["b", "a"]


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "=cmd|' /c calc'!A0"]
)
def test_text_that_a_spreadsheet_would_run_is_made_harmless(text):
    row = next(csv.reader(io.StringIO(csv_text(["a"], [[text]]).split("\n", 1)[1])))

    assert row[0][0] == "'"


def test_plain_text_and_numbers_stay_as_they_are():
    assert csv_text(["name", "x"], [["needle-14g", -0.5], ["a,b", None], ['say "x"', 3]]) == (
        'name,x\nneedle-14g,-0.5\n"a,b",\n"say ""x""",3\n'
    )


@pytest.mark.parametrize(
    ("value", "cell"),
    [(1e6, "1000000"), (float("nan"), ""), (float("inf"), ""), (0.1 + 0.2, "0.3"), (7, "7")],
)
def test_numbers_are_plain_cells(value, cell):
    assert csv_text(["x", "y"], [[value, "z"]]).splitlines()[1] == f"{cell},z"


@given(st.lists(st.text(max_size=40), min_size=2, max_size=2))
def test_a_row_is_one_printable_line(texts):
    written = csv_text(["a", "b"], [texts])

    assert written.count("\n") == 2
    assert written.replace("\n", "").isprintable()
    assert len(next(csv.reader(io.StringIO(written.split("\n", 1)[1])))) == 2
