"""Columns of the list of heads: nothing but a part's name at the end of a line is ever cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_worlds import asked

from configurator.report.heads import shortly
from configurator.report.lines import cells
from configurator.request.orders import ORDERS
from configurator.tui.looks import ASCII
from configurator.tui.panels.build_columns import columns_for, laid_out, widths_of
from configurator.workshop.heads import heads_of, is_exchanged


@pytest.fixture(scope="module")
def heads(examples):
    session = asked(examples, "plain", "flow")
    return heads_of(session.workshop.answer(session.to_solve), limit=12)


def by_head(heads, order=ORDERS[0]):
    return {each.head: each for each in columns_for(heads, order, ASCII)}


@pytest.mark.parametrize("room", range(8, 150, 5))
def test_columns_are_whole_or_not_there_but_for_the_last_name(heads, room):
    columns = columns_for(heads, "head_mass_kg", ASCII)
    widths = widths_of(columns, heads)
    for head in heads:
        line = laid_out(columns, widths, room, lambda each, head=head: each.read(head))
        texts = [text for text, _ in line[::2]]
        whole = [each.read(head)[0] for each in columns[: len(texts)]]
        assert cells("".join(texts)) <= room
        assert [text.strip() for text in texts[:-1]] == [text.strip() for text in whole[:-1]]
        if texts and not columns[len(texts) - 1].slot:
            assert texts[-1].strip() == whole[-1].strip()


def test_there_is_a_column_for_each_slot_that_differs_and_for_each_figure_that_is_known(heads):
    columns = by_head(heads)
    bests = [head.best for head in heads]
    differ = {
        slot
        for slot in bests[0].parts
        if not is_exchanged(slot)
        if len({best.parts[slot].name for best in bests}) > 1
    }
    slots = {each.slot for each in columns.values() if each.slot}
    assert differ <= slots
    assert all(map(is_exchanged, slots - differ))
    known = {name for best in bests for name, value in best.figures.items() if value is not None}
    assert len(columns) >= len(differ) + len(known) - 2
    sorts = {each.order for each in columns.values()} - {""}
    assert sorts == (known & {*ORDERS} - {"speed_low_rpm"}) | {"least_margin_pct"}


def test_tips_are_told_as_the_command_tells_them(heads):
    fewer = replace(heads[1], folded={**heads[1].folded, "outlet": ("tip", "wide")})
    tip = by_head([heads[0], fewer])["tip"]
    assert tip.read(fewer)[0] == shortly(fewer)["tip"] == "tip, wide"


def test_what_sorts_stands_first(heads):
    assert list(by_head(heads, "head_mass_kg"))[1] == "head mass, kg"
    assert list(by_head(heads))[1] != "head mass, kg"


def test_more_than_is_allowed_looks_unlike_less(heads):
    bar, best = by_head(heads)["bar"], heads[0].best
    assert "/" in bar.read(heads[0])[0]
    over = {**best.figures, "back_pressure_bar": best.figures["pressure_allowed_bar"] * 2}
    text, style = bar.read(replace(heads[0], best=replace(best, figures=over)))
    assert ">" in text
    assert style == "out"


def test_the_margin_is_that_of_the_tightest_rule(heads):
    margin = by_head(heads)["margin"]
    for head in heads:
        assert margin.read(head)[0].endswith(f"{100 * head.best.tightest.margin:.3g} %")
