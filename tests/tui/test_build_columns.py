"""Columns of the list of builds: nothing but the last name is ever cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_worlds import asked

from configurator.report.lines import cells
from configurator.tui.panels.build_columns import columns_for, laid_out, widths_of


@pytest.fixture(scope="module")
def builds(examples):
    session = asked(examples, "plain", "flow")
    return session.workshop.answer(session.to_solve).builds(limit=40)


@pytest.mark.parametrize("room", range(8, 90, 3))
def test_columns_are_whole_or_not_there_but_for_the_last_name(builds, room):
    columns = columns_for("head_mass_kg", ("drive", "outlet", "size"))
    widths = widths_of(columns, builds)
    for build in builds:
        line = laid_out(columns, widths, room, lambda each, build=build: each.read(build))
        texts = [text for text, _ in line[::2]]
        whole = [each.read(build)[0] for each in columns[: len(texts)]]
        assert cells("".join(texts)) <= room
        assert [text.strip() for text in texts[:-1]] == whole[:-1]
        if texts and columns[len(texts) - 1].right:
            assert texts[-1].strip() == whole[-1]


def test_columns_grow_with_what_is_fetched_later(builds):
    columns = columns_for("", ["outlet", "drive"])
    some = widths_of(columns, builds[:1])
    assert widths_of(columns, builds[1:], some) == widths_of(columns, builds)


def test_what_sorts_has_a_column_and_what_is_shown_anyway_has_one_alone():
    heads = [each.head for each in columns_for("head_mass_kg", ("size",))]
    assert heads == ["rpm", "bar", "err %", "cost", "head_mass_kg", "margin", "size"]
    assert "cost_index" not in [each.head for each in columns_for("cost_index", ())]


def test_more_than_is_allowed_looks_unlike_less(builds):
    bar = columns_for("", ())[1]
    build = builds[0]
    assert "/" in bar.read(build)[0]
    over = {**build.figures, "back_pressure_bar": build.figures["pressure_allowed_bar"] * 2}
    text, style = bar.read(replace(build, figures=over))
    assert ">" in text
    assert style == "out"


def test_the_margin_is_that_of_the_tightest_rule(builds):
    margin = columns_for("", ())[-1]
    for build in builds:
        assert margin.read(build)[0].startswith(f"{100 * build.tightest.margin:.3g}")
