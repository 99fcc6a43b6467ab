"""Columns of the list of builds: figures, margin, and one for each slot whose parts differ."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from configurator.report.lines import cells
from configurator.tui.looks import STATE_STYLES, Span, Spans, column
from configurator.units.display import figures

if TYPE_CHECKING:
    from configurator.workshop.heads import ListedHead
    from configurator.workshop.told import RankedBuild

GAPS = {True: " ", False: "  "}
"""What stands behind a column of numbers, and behind one of names."""

SHORTEST_NAME = 6
"""Cells of a name that is cut, at least."""

SHOWN_ANYWAY = ("shortfall_steps", "cost_index", "volume_error_pct")


class BuildColumn(NamedTuple):
    """One column: its head, and what stands in it for a build."""

    head: str
    read: Callable[[RankedBuild], Span]
    right: bool = False
    """True for numbers, which end under one another."""


def columns_for(sorted_by: str, differ: Iterable[str]) -> tuple[BuildColumn, ...]:
    """Columns of a list in some order, whose builds differ in some slots."""
    own = () if sorted_by in ("", *SHOWN_ANYWAY) else (_figure(sorted_by, sorted_by),)
    return (
        BuildColumn("rpm", _speeds),
        BuildColumn("bar", _pressures),
        _figure("err %", "volume_error_pct"),
        _figure("cost", "cost_index"),
        *own,
        BuildColumn("margin", _margin, right=True),
        *(BuildColumn(slot, _part(slot)) for slot in differ),
    )


def folded_columns(slots: Iterable[str], heads: Mapping[int, ListedHead]) -> list[BuildColumn]:
    """Columns of the slots that a list of heads folds: how many parts go, and one of them."""

    def read(slot: str) -> Callable[[RankedBuild], Span]:
        def told(build: RankedBuild) -> Span:
            head = heads.get(build.rank)
            many = 1 if head is None else len(head.folded[slot])
            name = build.parts[slot].name
            return (name if many == 1 else f"{many}, as {name}"), ""

        return told

    return [BuildColumn(slot, read(slot)) for slot in slots]


def widths_of(
    columns: Sequence[BuildColumn], builds: Iterable[RankedBuild], known: Sequence[int] = ()
) -> tuple[int, ...]:
    """As many cells as the longest text of each column takes: no number is ever cut.

    Parameters
    ----------
    columns : sequence of BuildColumn
        Of the list.
    builds : iterable of RankedBuild
        Those that were not measured yet.
    known : sequence of int
        What the columns took before; their heads alone if empty.
    """
    widths = list(known) or [cells(each.head) for each in columns]
    for build in builds:
        widths = [
            max(width, cells(each.read(build)[0]))
            for width, each in zip(widths, columns, strict=True)
        ]
    return tuple(widths)


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
        if taken < width and (each.right or not found or taken < SHORTEST_NAME):
            break
        text, style = texts(each)
        gap = GAPS[each.right]
        found += [(column(text, taken, right=each.right), style), (gap, "")]
        room -= width + len(gap)
        if room <= 0:
            break
    return found


def number(value: float | None) -> str:
    """A figure, or a dash where it is not known."""
    return "-" if value is None else figures(value)


def _figure(head: str, name: str) -> BuildColumn:
    return BuildColumn(head, lambda build: (number(build.figures[name]), ""), right=True)


def _part(slot: str) -> Callable[[RankedBuild], Span]:
    return lambda build: (build.parts[slot].name, "")


def _speeds(build: RankedBuild) -> Span:
    low, high = (number(build.figures[f"speed_{end}_rpm"]) for end in ("low", "high"))
    return (low if low == high else f"{low}-{high}"), ""


def _pressures(build: RankedBuild) -> Span:
    """Needed of allowed; more than is allowed reads unlike anything below it."""
    need, allowed = build.figures["back_pressure_bar"], build.figures["pressure_allowed_bar"]
    over = need is not None and allowed is not None and need > allowed
    return f"{number(need)}{'>' if over else '/'}{number(allowed)}", "out" if over else ""


def _margin(build: RankedBuild) -> Span:
    """Share of the limit that the tightest rule leaves; below nothing it is passed."""
    tightest = build.tightest
    if tightest is None or tightest.margin is None:
        return "-", ""
    return f"{figures(100.0 * tightest.margin)} %", STATE_STYLES[tightest.state]
