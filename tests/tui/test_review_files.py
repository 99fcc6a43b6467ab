"""Results files looked into: every row as `read_results` gives it, found again by where it begins."""

from __future__ import annotations

import tempfile
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from result_files import numbered, result_rows, row, unread, written

from configurator.errors import InputError
from configurator.screen.results import read_results
from configurator.screen.tally import STATES
from configurator.tui.review.line_file import BLOCK
from configurator.tui.review.result_file import PLACES, SearchWords
from configurator.tui.review.review import Review, open_results

FORMS = ("csv", "jsonl", "parquet")


def everything(path):
    """All stretches of a file, and all its rows read again one by one, the last first."""
    file = open_results(path)
    stretches = list(file.stretches())
    starts = [start for stretch in stretches for start in stretch.starts.tolist()]
    rows = file.rows(starts[::-1])[::-1]
    return file, stretches, rows


@pytest.mark.parametrize("form", FORMS)
@settings(max_examples=25, deadline=None)
@given(rows=result_rows())
def test_rows_are_read_as_results_are_read_elsewhere(form, rows):
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder) / f"results.{form}", rows)
        expected = list(read_results(path))
        _, stretches, found = everything(path)

        assert found == expected
        states = [STATES[place] for each in stretches for place in each.states.tolist()]
        assert states == [each["state"] for each in expected]
        for name, kept in (("builds", "builds"), ("tightest_margin", "margins")):
            values = np.concatenate([np.empty(0), *(getattr(each, kept) for each in stretches)])
            wanted = [each[name] for each in expected]
            assert [None if np.isnan(value) else value for value in values] == wanted
        numbers = [number for each in stretches for number in each.numbers.tolist()]
        assert numbers == [each["row"] for each in expected]


@pytest.mark.parametrize("form", FORMS)
def test_rows_beyond_one_block_are_all_found(tmp_path, form):
    rows = numbered(row(name=f"Paste {at}", reason="x" * (at % 700)) for at in range(1500))
    path = written(tmp_path / f"results.{form}", rows)
    _, stretches, found = everything(path)

    assert form == "parquet" or path.stat().st_size > 2 * BLOCK
    assert form == "parquet" or len(stretches) > 2
    assert found == list(read_results(path))


def test_a_file_of_a_spreadsheet_with_other_line_ends_and_a_mark_is_read(tmp_path):
    path = written(tmp_path / "results.csv", numbered([row(), row(name='a "b", c'), unread()]))
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    _, _, found = everything(path)

    assert found == list(read_results(path))
    assert len(found) == 3

    lines = written(tmp_path / "results.jsonl", numbered([row(), row(name="\u00e9\u4e2d")]))
    lines.write_bytes(b"\xef\xbb\xbf" + lines.read_bytes())
    assert everything(lines)[2] == list(read_results(lines))


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_a_last_line_that_was_torn_off_is_passed_over_and_told(tmp_path, form):
    path = written(tmp_path / f"results.{form}", numbered([row(), row()]))
    whole = path.read_bytes()
    path.write_bytes(whole[:-20])
    file, _, found = everything(path)

    assert file.torn
    assert found == list(read_results(path))
    assert len(found) == 1
    path.write_bytes(whole)
    file, _, found = everything(path)
    assert not file.torn
    assert len(found) == 2


def broken(path, change):
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(change(lines)))


def swapped(old, new, at):
    def change(lines):
        assert old in lines[at]
        return [*lines[:at], lines[at].replace(old, new), *lines[at + 1 :]]

    return change


BREAKS = {
    "csv": [
        (lambda _: [], "line 1"),
        (lambda lines: [lines[0].replace(b"reason", b"cause"), *lines[1:]], "no reason"),
        (lambda lines: [*lines[:2], b"1,2,3\n", *lines[2:]], "line 3: given '3 cells"),
        (lambda lines: [*lines[:2], b"\n", *lines[2:]], "line 3: given '0 cells"),
        (swapped(b"marginal", b"splendid", 2), "line 3: given 'state 'splendid''"),
        (swapped(b"-0.125", b"narrow", 2), "line 3: given 'tightest_margin 'narrow''"),
        (swapped(b"1200000000000000000000", b"many", 2), "line 3: given 'builds 'many''"),
        (swapped(b"Paste", b'"Paste', 3), "line 4"),
        (swapped(b"Paste", b"P\xffste", 3), "line 4: given 'bytes that are not UTF-8'"),
    ],
    "jsonl": [
        (lambda lines: [b"[1]\n", *lines], "line 1"),
        (lambda lines: [lines[0].replace(b'"reason"', b'"cause"'), *lines[1:]], "no reason"),
        (lambda lines: [*lines[:2], b"{\n", *lines[2:]], "line 3: given 'no JSON'"),
        (lambda lines: [*lines[:2], b"[]\n", *lines[2:]], "line 3: given 'no JSON object'"),
        (swapped(b'"marginal", "builds"', b'7, "builds"', 2), "line 3: given 'state '7''"),
        (swapped(b'"row": 3', b'"row": null', 2), "line 3: given 'row 'nothing''"),
        (swapped(b"Paste", b"P\xffste", 3), "line 4: given 'bytes that are not UTF-8'"),
    ],
}


@pytest.mark.parametrize(
    ("form", "change", "words"),
    [(form, *each) for form, changes in BREAKS.items() for each in changes],
)
def test_a_broken_file_is_one_clear_line_that_names_the_place(tmp_path, form, change, words):
    path = written(tmp_path / f"results.{form}", numbered([row()] * 5))
    broken(path, change)
    with pytest.raises(InputError) as caught:
        everything(path)

    (fault,) = caught.value.faults
    assert words in fault.line()
    assert fault.line().isprintable()


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_what_is_refused_elsewhere_is_refused_here(tmp_path, form):
    """The lines of `read_results` and ours are the same, but for states, which it lets through."""
    for number, (change, words) in enumerate(BREAKS[form]):
        path = written(tmp_path / f"r{number}.{form}", numbered([row()] * 5))
        broken(path, change)
        if "state" in words or "null" in words or "row 'nothing'" in words:
            continue
        with pytest.raises(InputError) as caught:
            list(read_results(path))
        with pytest.raises(InputError) as ours:
            everything(path)
        assert str(ours.value) == str(caught.value), words


def test_a_parquet_file_that_is_none_is_one_clear_line(tmp_path):
    path = tmp_path / "results.parquet"
    path.write_bytes(b"PAR1 and no more")
    with pytest.raises(InputError, match="a Parquet file of results"):
        open_results(path)


def test_a_folder_and_nothing_are_refused(tmp_path):
    with pytest.raises(InputError, match="a folder"):
        open_results(tmp_path)
    with pytest.raises(InputError, match="no such file"):
        open_results(tmp_path / "results.csv")


def test_a_list_that_no_screening_made_is_refused(tmp_path):
    path = tmp_path / "materials.csv"
    path.write_text("name,viscosity\nPaste,20 Pa*s\n")
    with pytest.raises(InputError, match="a results file of `headwright screen`"):
        open_results(path)


def test_an_empty_file_of_lines_has_no_rows(tmp_path):
    path = tmp_path / "results.jsonl"
    path.write_bytes(b"")
    assert everything(path)[2] == []
    assert everything(written(tmp_path / "results.csv", []))[2] == []


@pytest.mark.parametrize("becomes", ["garbage", "another row"])
def test_a_file_that_changes_under_our_eyes_is_told(tmp_path, bench, becomes):
    path = written(tmp_path / "results.csv", numbered([row()] * 300))
    review = Review(path, bench)
    whole = path.read_bytes()
    lines = whole.splitlines(keepends=True)
    turned = b"".join([lines[0], *lines[:0:-1]])
    path.write_bytes(b"x" * len(whole) if becomes == "garbage" else turned)
    review.cursor = 250

    assert review.here is None
    assert "changed since it was opened" in str(review.fault)


def test_a_file_that_another_one_replaces_is_read_on_as_it_was(tmp_path, bench):
    path = written(tmp_path / "results.csv", numbered([row(name="Old")] * 3))
    review = Review(path, bench)
    other = written(tmp_path / "other.csv", numbered([row(name="New")] * 3))
    other.replace(path)
    assert review.here.text("name") == "Old"


# SearchWords

SAMPLES = ["Paste", "paste GREY", "\u00c9poxy", "two words", "=L1", 'with "quotes"', "back\\slash"]


@pytest.mark.parametrize("form", FORMS)
@settings(max_examples=25, deadline=None)
@given(
    names=st.lists(st.sampled_from(SAMPLES), min_size=1, max_size=5),
    typed=st.sampled_from(
        ["", "paste", "GREY paste", "\u00e9pox", "=l1", '"quo', "k\\s", "pour", "false", "aaaa"]
    ),
)
def test_words_are_found_in_any_cell_with_words_in_it_in_any_case(form, names, typed):
    with tempfile.TemporaryDirectory() as folder:
        rows = numbered(row(name=name, lot="", reason="") for name in names)
        path = written(Path(folder) / f"results.{form}", rows)
        file = open_results(path)
        starts = np.concatenate([each.starts for each in file.stretches()])
        held = list(file.matching(SearchWords(typed), starts, lambda: False))

        ours = "pour paste marginal size=small, cavity=one-ml volume error"
        expected = [
            all(word in f"{name} {ours}".lower() for word in typed.lower().split())
            for name in names
        ]
        assert held == expected


def test_a_search_that_nobody_waits_for_ends(tmp_path):
    path = written(tmp_path / "results.csv", numbered([row()] * 600))
    file = open_results(path)
    starts = np.concatenate([each.starts for each in file.stretches()])
    asked = []

    def stale():
        asked.append(1)
        return len(asked) > 1

    assert len(list(file.matching(SearchWords("paste"), starts, stale))) == 256


def test_words_that_go_on_narrow_those_before():
    ways = ["", "p", "pa", "pa g", "pa gr", "gr pa x"]
    assert all(
        SearchWords(longer).narrows(SearchWords(shorter)) for shorter, longer in pairwise(ways)
    )
    assert not SearchWords("pa").narrows(SearchWords("paste"))
    assert not SearchWords("a").narrows(SearchWords("b"))


def test_every_state_has_a_place():
    assert list(PLACES) == list(STATES)
