"""Only numbers with units pass the grammar; habits are refused with the correction."""

from __future__ import annotations

from fractions import Fraction

import pytest

from configurator.units.dimension import Dimension, Unit
from configurator.units.grammar import (
    Amount,
    Phrase,
    UnreadableError,
    normalised,
    read_phrase,
    read_unit,
)

FLOW = Dimension.of(length=3, time=-1)


def unknown(_name: str) -> None:
    return None


def amount(number: str, unit: str) -> Amount:
    return Amount(Fraction(number), unit)


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("12 mL/min", Phrase(amount("12", "mL/min"))),
        ("12mL/min", Phrase(amount("12", "mL/min"))),
        ("  12 mL/min ", Phrase(amount("12", "mL/min"))),
        ("1.5e-3 m", Phrase(amount("0.0015", "m"))),
        ("-5 degC", Phrase(amount("-5", "degC"))),
        ("+5 degC", Phrase(amount("5", "degC"))),
        ("10 1/s", Phrase(amount("10", "1/s"))),
        ("10 1 / s", Phrase(amount("10", "1 / s"))),
        ("18..28 degC", Phrase(amount("18", "degC"), last=amount("28", "degC"))),
        ("18 .. 28 degC", Phrase(amount("18", "degC"), last=amount("28", "degC"))),
        ("18 degC..28 degC", Phrase(amount("18", "degC"), last=amount("28", "degC"))),
        ("18 to 28 degC", Phrase(amount("18", "degC"), last=amount("28", "degC"))),
        ("-10..-5 degC", Phrase(amount("-10", "degC"), last=amount("-5", "degC"))),
        ("0.5..1.5 mm", Phrase(amount("0.5", "mm"), last=amount("1.5", "mm"))),
        ("-5 to -3 degC", Phrase(amount("-5", "degC"), last=amount("-3", "degC"))),
        ("1e-6 to 6e-5 Pa", Phrase(amount("1e-6", "Pa"), last=amount("6e-5", "Pa"))),
        ("2 s^-1 .. 4 s^-1", Phrase(amount("2", "s^-1"), last=amount("4", "s^-1"))),
        ("2 1/s .. 4 1/s", Phrase(amount("2", "1/s"), last=amount("4", "1/s"))),
        ("2 s^-1 +/- 1 s^-1", Phrase(amount("2", "s^-1"), tolerance=amount("1", "s^-1"))),
        ("500 mL..1 L", Phrase(amount("500", "mL"), last=amount("1", "L"))),
        ("20 s +/- 15 %", Phrase(amount("20", "s"), tolerance=amount("15", "%"))),
        ("20 s+-2 s", Phrase(amount("20", "s"), tolerance=amount("2", "s"))),
        ("20 s \N{PLUS-MINUS SIGN} 2 s", Phrase(amount("20", "s"), tolerance=amount("2", "s"))),
        ("20 +/- 2 s", Phrase(amount("20", "s"), tolerance=amount("2", "s"))),
        ("0.4", Phrase(amount("0.4", ""))),
        ("0.4 +/- 10 %", Phrase(amount("0.4", ""), tolerance=amount("10", "%"))),
    ],
)
def test_a_phrase_is_split_into_its_amounts(text: str, phrase: Phrase) -> None:
    assert read_phrase(text) == phrase


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("", "empty"),
        ("   ", "empty"),
        ("3,5 mL/min", "write 3.5 mL/min"),
        ("3,5..4,5 mL", "write 3.5..4.5 mL"),
        ("1,000 mL", "no thousands separators"),
        ("1.000,5 mL", "no thousands separators"),
        ("1 000 mL", "without separators"),
        ("10..1 000 mL", "without separators"),
        ("1'000 mL", "without separators"),
        ("1_000 mL", "without separators"),
        ("> 5 bar", "write a range"),
        ("<5 bar", "write a range"),
        ("~5 bar", "write a range"),
        ("\N{LESS-THAN OR EQUAL TO} 5 bar", "write a range"),
        ("5...10 bar", "two dots"),
        (".5 mm", "both sides of the point"),
        ("5. mm", "both sides of the point"),
        ("5-10 bar", r"write 5\.\.10 bar"),
        ("5 \N{EN DASH} 10 bar", r"write 5\.\.10 bar"),
        ("5 bar - 10 bar", r"write 5 bar\.\.10 bar"),
        ("5 bar..10", "after the second number"),
        ("1..2..3 bar", "one range or one tolerance"),
        ("1..2 +/- 3 bar", "one range or one tolerance"),
        ("1 +/- 2 +/- 3 bar", "one range or one tolerance"),
        ("bar", "a number, then its unit"),
        ("bar 5", "a number, then its unit"),
        ("nan bar", "a number, then its unit"),
        ("inf bar", "a number, then its unit"),
        ("--5 bar", "a number, then its unit"),
        ("0x10 m", None),
        ("1e31 m", "beyond any real quantity"),
        ("1e-31 m", "beyond any real quantity"),
        ("1e999 m", "beyond any real quantity"),
        ("1" * 61 + " m", "too many digits"),
        ("1 m" + " " * 200, "longer than 200"),
        ("5 bar\n", "line break"),
        ("5\tbar", "line break, a tab"),
        ("5 bar\x00", "control character"),
        ("5 \u202ebar", "control character"),
    ],
)
def test_what_people_write_by_habit_is_refused_with_a_hint(text: str, hint: str | None) -> None:
    if hint is None:
        with pytest.raises(UnreadableError):
            read_unit(read_phrase(text).first.unit, unknown)
    else:
        with pytest.raises(UnreadableError, match=hint):
            read_phrase(text)


def test_a_colon_makes_no_quotient() -> None:
    assert read_phrase("100:27").first.unit == ":27"


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("5 \N{MICRO SIGN}L", "5 uL"),
        ("5 \N{GREEK SMALL LETTER MU}m", "5 um"),
        ("5 \N{DEGREE SIGN}C", "5 degC"),
        ("5 \N{DEGREE CELSIUS}", "5 degC"),
        ("5 \N{DEGREE SIGN}", "5 deg"),
        ("5 mPa\N{MIDDLE DOT}s", "5 mPa*s"),
        ("5 mPa\N{DOT OPERATOR}s", "5 mPa*s"),
        ("5 mm\N{SUPERSCRIPT TWO}", "5 mm^2"),
        ("5 s\N{SUPERSCRIPT MINUS}\N{SUPERSCRIPT ONE}", "5 s^-1"),
        ("5\N{NO-BREAK SPACE}bar", "5 bar"),
        ("\N{MINUS SIGN}5 degC", "-5 degC"),
    ],
)
def test_typographic_signs_become_plain(typed: str, plain: str) -> None:
    assert normalised(typed) == plain


@pytest.mark.parametrize(
    "text",
    ["mL/min", "mL / min", "mL*min^-1", "mL min^-1", "mL.min^-1", "ml/min", "cm^3/min", "cm3/min"],
)
def test_one_unit_may_be_written_in_many_ways(text: str) -> None:
    assert read_unit(text, unknown) == Unit(FLOW, Fraction(1, 60_000_000))


@pytest.mark.parametrize("text", ["1/s", "/s", "s^-1", "s**-1", "Hz", "1 / s"])
def test_a_reciprocal_may_be_written_in_many_ways(text: str) -> None:
    assert read_unit(text, unknown) == Unit(Dimension.of(time=-1), Fraction(1))


def test_products_and_quotients_go_from_left_to_right() -> None:
    assert read_unit("J/mol*K", unknown) == read_unit("J*K/mol", unknown)
    assert read_unit("J/mol/K", unknown) != read_unit("J/mol*K", unknown)


def test_a_unit_that_stands_alone_keeps_its_offset() -> None:
    assert read_unit("degC", unknown).offset == Fraction("273.15")
    assert read_unit("1/degC", unknown) == read_unit("1/K", unknown)


@pytest.mark.parametrize(
    "text",
    [
        "(m)",
        "m^(2)",
        "m**9**9",
        "m^99",
        "9 m",
        "*m",
        "m*",
        "m//s",
        "m;s",
        "m+s",
        "m=s",
        "__import__('os')",
        "m" + "*m" * 8,
        "1",
        "1/1",
        "m/2",
        "m^0",
        "min^n",
        "Pa*s^m",
        "m^0.3",
        ":27",
    ],
)
def test_anything_but_joined_names_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError):
        read_unit(text, unknown)


def test_an_unknown_name_offers_the_nearest() -> None:
    with pytest.raises(UnreadableError, match=r"did you mean rpm"):
        read_unit("rpmm", unknown)
    with pytest.raises(UnreadableError, match="the unit qqqq is unknown"):
        read_unit("qqqq", unknown)


def test_only_names_beyond_the_table_are_looked_up() -> None:
    asked: list[str] = []

    def look_up(name: str) -> Unit:
        asked.append(name)
        return Unit(Dimension.of(length=1), Fraction(2))

    assert read_unit("cubit/min", look_up).factor == Fraction(1, 30)
    assert asked == ["cubit"]
