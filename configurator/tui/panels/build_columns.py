"""Columns of the list of heads: margin, slots that differ, and every figure that is known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from configurator.report.lines import cells
from configurator.request.orders import ORDERS, unit_of
from configurator.tui.looks import STATE_STYLES, Glyphs, Span, Spans, column, margin_bar
from configurator.units.display import figures

if TYPE_CHECKING:
    from configurator.workshop.heads import ListedHead

GAPS = {True: " ", False: "  "}
"""What stands behind a column of numbers, and behind one of names."""

SHORTEST_NAME = 6
"""Cells of a name that is cut, at least."""

MARGIN_BAR = 6

FIRST = {
    "rpm": "speed_high_rpm",
    "bar": "back_pressure_bar",
    "error %": "volume_error_pct",
    "cost": "cost_index",
}
"""Figures that stand first, by their heads, with the order that a click on the head asks for."""

LEAST_MARGIN = "least_margin_pct"
"""What the margin column is sorted by."""

WITHIN = ("speed_low_rpm", "pressure_allowed_bar")
"""Figures that stand in a column with another."""


class BuildColumn(NamedTuple):
    """One column: its head, and what stands in it for a head or a build."""

    head: str
    read: Callable[[ListedHead], Span]
    right: bool = False
    """True for numbers, which end under one another."""
    order: str = ""
    """The order of the list that its head asks for."""
    slot: str = ""
    """The slot whose parts its head shows."""


def columns_for(
    heads: Sequence[ListedHead], sorted_by: str, glyphs: Glyphs
) -> tuple[BuildColumn, ...]:
    """Columns of a list in some order, of the rows that are at hand."""
    if not heads:
        return ()
    from configurator.report.heads import shortly, told_of, told_once
    from configurator.report.table import head_of_slot

    told = {id(head): told_of(head) | shortly(head) for head in heads}

    def text(name: str) -> Callable[[ListedHead], Span]:
        return lambda head: ((told.get(id(head)) or told_of(head) | shortly(head))[name], "")

    _, differ = told_once([*told.values()], MARGIN_BAR)
    slots = {head_of_slot(slot): slot for slot in heads[0].best.parts}
    named = [BuildColumn(name, text(name), slot=slots[name]) for name in differ if name in slots]
    if "state" in differ:
        named.insert(0, BuildColumn("state", _state))
    first = {
        "rpm": BuildColumn("rpm", text("rpm"), order=FIRST["rpm"]),
        "bar": BuildColumn("bar", _pressures, order=FIRST["bar"]),
        **{head: _figure(head, name) for head, name in [*FIRST.items()][2:]},
    }
    if any(head.builds > 1 for head in heads):
        first["builds"] = BuildColumn("builds", text("builds"), right=True)
    known = [
        name
        for name in heads[0].best.figures
        if name not in (*FIRST.values(), *WITHIN)
        if any(head.best.figures[name] is not None for head in heads)
    ]
    known.sort(key=lambda name: name != sorted_by)  # what sorts is seen first
    rest = [_figure(figure_words(name), name) for name in known]
    leading = rest[:1] if sorted_by in known and sorted_by != ORDERS[0] else []
    margin = BuildColumn("margin", lambda head: _margin(head, glyphs), order=LEAST_MARGIN)
    return (margin, *leading, *named, *first.values(), *rest[len(leading) :])


def figure_words(name: str) -> str:
    """A figure's name as people write it, its unit behind it.

    Examples
    --------
    >>> figure_words("head_mass_kg"), figure_words("mixing_cov")
    ('head mass, kg', 'mixing cov')
    """
    unit = unit_of(name)
    words = name.rpartition("_")[0] if unit else name
    return words.replace("_", " ") + (f", {unit}" if unit else "")


def common_words(heads: Sequence[ListedHead], width: int, what: str) -> Sequence[str]:
    """What all rows at hand have alike, in lines."""
    from configurator.report.heads import told_of, told_once

    return [
        line
        for lines in told_once([told_of(head) for head in heads], width, what)[0]
        for line in lines
    ]


def widths_of(columns: Sequence[BuildColumn], heads: Iterable[ListedHead]) -> tuple[int, ...]:
    """As many cells as the longest text of each column takes: no number is ever cut."""
    return tuple(
        max([cells(each.head), *(cells(each.read(head)[0]) for head in heads)]) for each in columns
    )


def laid_out(
    columns: Sequence[BuildColumn],
    widths: Sequence[int],
    room: int,
    texts: Callable[[BuildColumn], Span],
) -> Spans:
    """Columns side by side, whole or not at all; the last part's name alone may be cut."""
    found: list[Span] = []
    for each, width in zip(columns, widths, strict=True):
        taken = min(width, room)
        if taken < width and (not each.slot or not found or taken < SHORTEST_NAME):
            break
        text, style = texts(each)
        gap = GAPS[each.right]
        found += [(column(text, taken, right=each.right), style), (gap, "")]
        room -= width + len(gap)
        if room <= 0:
            break
    return found


def _figure(head: str, name: str) -> BuildColumn:
    def read(row: ListedHead) -> Span:
        value = row.best.figures[name]
        return ("-" if value is None else figures(value)), ""

    return BuildColumn(head, read, right=True, order=name if name in ORDERS else "")


def _pressures(head: ListedHead) -> Span:
    """Needed of allowed; more than is allowed reads unlike anything below it."""
    from configurator.report.heads import bar_of

    names = ("back_pressure_bar", "pressure_allowed_bar")
    need, allowed = (head.best.figures[name] for name in names)
    over = need is not None and allowed is not None and need > allowed
    return bar_of(head.best).replace("/", ">" if over else "/"), "out" if over else ""


def _state(head: ListedHead) -> Span:
    return head.best.state.words, STATE_STYLES[head.best.state]


def _margin(head: ListedHead, glyphs: Glyphs) -> Span:
    """Share of the limit that the tightest rule leaves; below nothing it is passed."""
    tightest = head.best.tightest
    if tightest is None or tightest.margin is None:
        return "-", ""
    return margin_bar(tightest.margin, MARGIN_BAR, glyphs), STATE_STYLES[tightest.state]
