"""Wrapping, columns and marks."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from configurator.explain.compare import compare
from configurator.report import lines
from configurator.report.builds import page_of
from configurator.report.compare import compare_text
from configurator.report.lines import cells, coloured, columns, cut, labelled, padded, wrapped
from configurator.report.table import builds_table
from configurator.rules.finding import State
from configurator.units.display import plural, spaced


def test_the_examples_in_the_docstrings_hold():
    assert doctest.testmod(lines).failed == 0
    assert doctest.testmod(lines).attempted >= 3


@pytest.mark.parametrize(
    ("text", "width"),
    [("", 0), ("seal", 4), ("\u5bc6\u5c01", 4), ("e\u0301", 1), ("\uff21", 2), ("\u00fc", 1)],
)
def test_cells_count_what_a_terminal_shows(text, width):
    assert cells(text) == width


def test_padding_is_by_cells():
    assert padded("\u5bc6", 4) == "\u5bc6  "
    assert padded("seal", 2) == "seal"


def test_thousands_are_set_apart():
    assert [spaced(number) for number in (0, 999, 1000, 115625331360)] == [
        "0",
        "999",
        "1 000",
        "115 625 331 360",
    ]


def test_one_is_singular_and_none_is_plural():
    assert [plural(number, "build") for number in (0, 1, 2)] == ["0 builds", "1 build", "2 builds"]


@given(st.text(max_size=300), st.integers(min_value=12, max_value=100))
def test_wrapped_lines_are_no_wider_than_asked_and_printable(text, width):
    laid_out = wrapped(text, width, first="- ", rest="  ")

    assert all(cells(line) <= width for line in laid_out)
    assert "".join(laid_out).isprintable()


@given(st.lists(st.text("abcdef", min_size=1, max_size=9), min_size=1, max_size=40))
def test_wrapping_keeps_every_word_in_order(words):
    assert " ".join(wrapped(" ".join(words), 20)).split() == words


def test_a_word_wider_than_the_line_is_cut():
    assert wrapped("abcdefghij", 4) == ["abcd", "efgh", "ij"]


def test_escapes_are_shown_and_not_sent():
    assert wrapped("\x1b[31mred\x07", 40) == ["\\x1b[31mred\\x07"]


def test_labels_share_a_column_and_empty_texts_are_left_out():
    assert labelled([("Picks", ""), ("Order", "a b"), ("Go", "c")], 11) == [
        "Order  a b",
        "Go     c",
    ]


def test_columns_are_as_wide_as_their_widest_text():
    assert columns(("#", "tip"), [("1", "needle"), ("10", "x")], 80, right=frozenset("#")) == [
        [" #  tip"],
        [" 1  needle"],
        ["10  x"],
    ]


def test_a_row_that_is_too_wide_goes_on_below_and_keeps_its_columns():
    laid_out = columns(("#", "one", "two"), [("1", "aaaa", "bbbb"), ("2", "a", "b")], 9)

    assert laid_out == [["#  one", "   two"], ["1  aaaa", "   bbbb"], ["2  a", "   b"]]


@pytest.mark.parametrize(
    ("text", "width", "cut_text"),
    [
        ("needle", 6, "needle"),
        ("needles", 6, "nee..."),
        ("needles", 2, ".."),
        ("\u5bc6\u5c01\u5bc6\u5c01", 7, "\u5bc6\u5c01..."),
        ("", 0, ""),
    ],
)
def test_a_text_that_is_too_wide_ends_in_dots(text, width, cut_text):
    assert cut(text, width) == cut_text
    assert cells(cut(text, width)) <= width


@given(
    st.lists(st.tuples(*[st.text(max_size=30)] * 4), min_size=1, max_size=5),
    st.integers(min_value=50, max_value=100),
)
def test_no_line_of_a_table_is_wider_than_asked(rows, width):
    laid_out = columns(("#", "one", "two", "three"), rows, width)

    assert len(laid_out) == len(rows) + 1
    assert all(cells(line) <= width for lines in laid_out for line in lines)
    assert len({len(lines) for lines in laid_out}) == 1


def test_colour_is_added_to_the_word_and_never_in_place_of_it():
    plain = "1  marginal  h2"

    assert coloured(plain, State.MARGINAL, colour=False) == plain
    with_colour = coloured(plain, State.MARGINAL, colour=True)
    assert with_colour != plain
    assert with_colour.replace("\x1b[33m", "").replace("\x1b[0m", "") == plain


@pytest.mark.parametrize("width", [40, 60, 100])
def test_every_table_folds_to_the_width_that_it_is_given(ask, width):
    one, two = ask("lid-sealant", "lid-bead"), ask("hull-paste", "hull-seam")
    texts = [
        builds_table(page_of(one, limit=3), width=width),
        builds_table(page_of(two, limit=2), width=width),
        compare_text(one, compare(one, ["1", "40"]), width),
    ]

    assert max(len(line) for text in texts for line in text.splitlines()) <= width
