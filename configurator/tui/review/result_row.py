"""One row of results as a person reads it: what was asked, what came of it, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from configurator.rules.finding import State
from configurator.screen.result_columns import NAMES
from configurator.screen.tally import STATES
from configurator.tui.board import STATE_MARKS
from configurator.tui.looks import STATE_STYLES
from configurator.tui.review.result_file import OWN_NAMES
from configurator.tui.said import Said
from configurator.units.cell import short_name
from configurator.units.display import figures, plural, spaced

NO_ANSWER = "#"
"""Mark of a row that was not read or not judged."""

MARKS: Mapping[str, str] = {
    state: next((STATE_MARKS[level] for level in State if level.words == state), NO_ANSWER)
    for state in STATES
}
STYLES: Mapping[str, str] = {
    state: next((STATE_STYLES[level] for level in State if level.words == state), "fault")
    for state in STATES
}

PERCENT = 100.0


@dataclass(frozen=True, eq=False)
class ResultRow:
    """One row, or what a table shows of it."""

    cells: Mapping[str, Any]
    """By column, as `read_results` gives them."""

    def text(self, column: str) -> str:
        """What a column says; empty where it says nothing."""
        value = self.cells.get(column)
        return "" if value is None else str(value)

    def count(self, column: str) -> int | None:
        """A count, or None where the row has none."""
        value = self.cells.get(column)
        return value if isinstance(value, int) else None

    @property
    def number(self) -> int:
        """Of the row in the list."""
        return self.count("row") or 0

    @property
    def state(self) -> str:
        """In words."""
        return self.text("state")

    @property
    def mark(self) -> str:
        """One character that says the state."""
        return MARKS.get(self.state, NO_ANSWER)

    @property
    def style(self) -> str:
        """Name of the style of its state."""
        return STYLES.get(self.state, "fault")

    @property
    def name(self) -> str:
        """The material's short name; of one that was not read, what the list calls it."""
        return self.text("material_name") or self.own_name or f"row {self.number}"

    @property
    def title(self) -> str:
        """Which row it is, for which process."""
        return f"Row {self.number} for {self.text('process') or 'no process'}"

    @property
    def own_name(self) -> str:
        """What the list itself calls it."""
        return next((text for column in OWN_NAMES if (text := self.text(column))), "")

    @property
    def margin(self) -> str:
        """The tightest margin in per cent; empty where none is known."""
        share = self.cells.get("tightest_margin")
        return f"{figures(share * PERCENT)} %" if isinstance(share, int | float) else ""

    @property
    def because(self) -> str:
        """The reason, or the fault of a row that has none."""
        return self.text("reason") or self.text("fault")

    @property
    def inputs(self) -> dict[str, str]:
        """The list's own cells, by column."""
        return {
            column: "" if value is None else str(value)
            for column, value in self.cells.items()
            if column not in NAMES
        }


def said_of(row: ResultRow, remarks: Sequence[Said] = ()) -> tuple[Said, ...]:
    """Everything that matters of a row, what decides first; remarks compare it with now."""
    return (*_said(row), *remarks)


def _said(row: ResultRow) -> Iterator[Said]:
    yield Said(_known_as(row), "strong")
    yield Said(f"{row.mark} {row.state}{_counted(row)}", row.style)
    for label, column in (
        ("Fault", "fault"),
        ("Why", "reason"),
        ("Measure first", "measure_first"),
        ("Best build", "best_build"),
    ):
        if text := row.text(column):
            yield Said(f"{label}: {text}", "fault" if column == "fault" else "")
    if row.margin:
        side = "over" if row.margin.startswith("-") else "left"
        yield Said(f"Tightest: {row.margin.lstrip('-')} {side}: {row.text('tightest_rule')}")


def _counted(row: ResultRow) -> str:
    builds = row.count("builds")
    if builds is None:
        return ""
    each = [
        f"{spaced(count)} {state}"
        for state in ("fits", "marginal", "unproven")
        if (count := row.count(state))
    ]
    return f": {', '.join([plural(builds, 'build'), *(each if len(each) > 1 else [])])}"


def _known_as(row: ResultRow) -> str:
    """What the list calls it; the short name as well, unless it says the same."""
    own = row.own_name
    if own and row.name not in (own, short_name(own)):
        return f"{own} ({row.name})"
    return own or row.name


def whole_row(row: ResultRow) -> Iterator[Said]:
    """Every filled cell of a row, ours and the list's own, for a page of its own."""
    yield Said("Cells of the list", "strong")
    for column, text in row.inputs.items():
        if text:
            yield Said(f"  {column}: {text}")
    yield Said("What the results say of it", "strong")
    for column in NAMES:
        if text := row.text(column):
            yield Said(f"  {column}: {text}")
