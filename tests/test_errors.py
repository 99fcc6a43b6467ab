"""Faults are one printable line each, whatever the text that they quote."""

from __future__ import annotations

import pickle
from datetime import date

import pytest

from configurator.errors import (
    CatalogError,
    Fault,
    HeadwrightError,
    InputError,
    UsageError,
    described,
    did_you_mean,
    nearest,
    shown,
)

FAULT = Fault("glue.toml", "component.density", "1,4", 'a density, for example "1.4 g/cm^3"')


def test_a_fault_is_one_line_with_file_field_given_and_accepted() -> None:
    expected = (
        "glue.toml: component.density: given '1,4'; accepted: a density, for example \"1.4 g/cm^3\""
    )
    assert FAULT.line() == expected


def test_a_hint_follows_what_is_accepted() -> None:
    fault = Fault("f.toml", "densty", "densty", "density", "did you mean density?")
    assert fault.line().endswith("accepted: density; did you mean density?")


@pytest.mark.parametrize(
    "hostile",
    [
        "two\nlines",
        "carriage\rreturn",
        "\x1b[31mred\x1b[0m",
        "right\u202eleft",
        "zero\u200bwidth",
        "next\u0085line",
        "line\u2028separator",
        "bell\x07",
        "half a pair \ud800",
    ],
)
def test_hostile_text_becomes_printable_in_every_part_of_a_fault(hostile: str) -> None:
    line = Fault(hostile, hostile, hostile, hostile, hostile).line()
    assert line.isprintable()
    assert len(line.splitlines()) == 1
    line.encode("utf-8")


def test_printable_text_is_shown_as_it_is() -> None:
    assert shown("20 \N{MICRO SIGN}m") == "20 \N{MICRO SIGN}m"


def test_long_text_is_cut_at_the_limit_and_ends_in_three_dots() -> None:
    assert shown("x" * 121) == "x" * 117 + "..."
    assert shown("x" * 120) == "x" * 120
    assert len(shown("y" * 10_000_000)) == 120


def test_text_that_grows_by_escaping_is_cut_between_escapes() -> None:
    cut = shown("\x1b" * 50, limit=20)
    assert cut == "\\x1b" * 4 + "..."


def test_a_limit_without_room_for_text_is_refused() -> None:
    with pytest.raises(ValueError, match="limit"):
        shown("text", limit=3)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("text", "text"),
        (False, "false"),
        (3, "3"),
        (0.1, "0.1"),
        (16**5000, "a number beyond any real quantity"),
        ({}, "a table"),
        ((1, 2, 3), "a list of 3"),
        (None, "nothing"),
        (date(2025, 3, 1), "2025-03-01"),
    ],
    ids=range(9),
)
def test_a_value_of_a_file_is_described_as_its_reader_would(value: object, words: str) -> None:
    assert described(value) == words


def test_the_nearest_name_comes_first() -> None:
    assert nearest("densty", ["viscosity", "density", "intensity"])[0] == "density"


def test_names_that_differ_by_letter_case_are_all_offered() -> None:
    assert set(nearest("mpa", ["MPa", "mPa", "bar"])) == {"MPa", "mPa"}


def test_nothing_is_offered_when_nothing_is_near() -> None:
    assert nearest("zzzz", ["density"]) == ()
    assert did_you_mean("zzzz", ["density"]) == ""


def test_no_more_names_than_the_limit_are_offered() -> None:
    assert len(nearest("part", ["part1", "part2", "part3", "part4"], limit=2)) == 2


@pytest.mark.parametrize(("error", "code"), [(InputError, 2), (CatalogError, 3)])
def test_an_error_lists_every_fault_and_knows_its_exit_code(
    error: type[InputError | CatalogError], code: int
) -> None:
    raised = error([FAULT, FAULT])
    assert raised.exit_code == code
    assert str(raised).splitlines() == [FAULT.line(), FAULT.line()]


@pytest.mark.parametrize("error", [InputError([FAULT]), CatalogError([FAULT])])
def test_an_error_survives_the_way_to_another_process(error: InputError | CatalogError) -> None:
    copy = pickle.loads(pickle.dumps(error))
    assert type(copy) is type(error)
    assert copy.faults == (FAULT,)


def test_an_error_without_faults_is_a_slip_of_the_program() -> None:
    with pytest.raises(ValueError, match="at least one fault"):
        InputError([])


def test_a_usage_error_says_what_and_how_in_one_line() -> None:
    error = UsageError("no such\nslot", "did you mean seal?")
    assert str(error) == "no such\\nslot; did you mean seal?"
    assert str(UsageError("no slot")) == "no slot"
    assert isinstance(error, HeadwrightError)
    assert error.exit_code == 2
    assert pickle.loads(pickle.dumps(error)).hint == "did you mean seal?"


def test_of_very_many_faults_some_are_told_and_the_others_counted():
    lines = str(InputError([FAULT] * 3000)).splitlines()

    assert len(lines) == 201
    assert lines[-1] == "and 2800 more"
