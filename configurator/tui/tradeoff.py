"""Two figures against each other: the builds that nothing beats in both, and a map of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from configurator.rules.finding import State
from configurator.tui.glyphs import Glyphs
from configurator.tui.spans import Span, Spans
from configurator.units.display import figures
from configurator.workshop.answer import Answer
from configurator.workshop.figures import Figure
from configurator.workshop.front import front_of
from configurator.workshop.told import RankedBuild

AXIS = 9
"""Columns left of the map."""

MOST_POINTS = 400
"""Builds that a front is cut to: more than a map has columns."""


@dataclass(frozen=True)
class Tradeoff:
    """The builds that no other build beats in both figures."""

    across: Figure
    up: Figure
    """What the map is drawn over."""
    builds: tuple[RankedBuild, ...]
    """In the order of `across`, from its better end on."""
    cut: bool
    """True if the front has more builds than are kept."""

    def at(self, build: RankedBuild) -> tuple[float, float] | None:
        """Where a build stands; None if a figure is unknown."""
        x, y = build.figures[self.across.name], build.figures[self.up.name]
        return None if x is None or y is None else (x, y)


def tradeoff_of(answer: Answer, across: Figure, up: Figure, *, strict: bool) -> Tradeoff:
    """Work out the front between two figures; for a thread beside the screen."""
    level = State.FITS if strict else State.UNPROVEN
    if not answer.spaces[level].count(answer.picks):
        return Tradeoff(across, up, (), cut=False)
    front = front_of(answer.spaces[level], (across, up), answer.grid, answer.picks)
    slots = answer.grid.frame.slots
    kept = front[:MOST_POINTS]
    rows = np.array([[build[slot] for slot in slots] for build in kept], dtype=np.intp)
    builds = answer.described(rows.reshape(len(kept), len(slots)))
    return Tradeoff(across, up, builds, cut=len(front) > len(kept))


def tradeoff_map(
    tradeoff: Tradeoff,
    cursor: int,
    others: Sequence[RankedBuild],
    *,
    width: int,
    height: int,
    glyphs: Glyphs,
) -> list[Spans]:
    """Return the map as lines: `o` cannot be beaten in both, `@` is the cursor, `.` another build.

    Parameters
    ----------
    tradeoff : Tradeoff
        What to draw.
    cursor : int
        Which of its builds the cursor is on.
    others : sequence of RankedBuild
        Further builds, as many as are at hand.
    width, height : int
        In cells.
    glyphs : Glyphs
        Characters to draw with.
    """
    rows, columns = height - 2, width - AXIS - 1
    marks = [(tradeoff.at(build), ".", "") for build in others]
    marks += [(tradeoff.at(build), "o", "fits") for build in tradeoff.builds]
    if tradeoff.builds:
        marks.append((tradeoff.at(tradeoff.builds[cursor]), "@", "pick"))
    known = [(point, mark, style) for point, mark, style in marks if point is not None]
    if not known or rows < 3 or columns < 10:  # noqa: PLR2004 - nothing can be told below
        return [[("No build has both figures.", "")]]
    spans = [_span([point[axis] for point, _, _ in known]) for axis in (0, 1)]
    cells: list[list[Span]] = [[(" ", "")] * columns for _ in range(rows)]
    for (x, y), mark, style in known:
        column = round((x - spans[0][0]) / (spans[0][1] - spans[0][0]) * (columns - 1))
        row = round((1.0 - (y - spans[1][0]) / (spans[1][1] - spans[1][0])) * (rows - 1))
        cells[row][column] = (mark, style)
    lines: list[Spans] = [[(f"{tradeoff.up.name}{_better(tradeoff.up)}", "strong")]]
    for number, line in enumerate(cells):
        label = ""
        if number in (0, rows - 1):
            label = figures(spans[1][0] if number else spans[1][1])
        lines.append([(f"{label:>{AXIS}}", ""), (glyphs.upright, ""), *line])
    low, high = (figures(end) for end in spans[0])
    name = f"{tradeoff.across.name}{_better(tradeoff.across)}"
    gap = max(columns - len(low) - len(high) - len(name), 2)
    middle = f"{' ' * (gap // 2)}{name}{' ' * (gap - gap // 2)}"
    lines.append([(" " * AXIS, ""), (glyphs.corner, ""), (low, ""), (middle, "strong"), (high, "")])
    return lines


def _better(figure: Figure) -> str:
    return " (more is better)" if figure.highest_first else " (less is better)"


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    if math.isclose(low, high, rel_tol=1e-12, abs_tol=1e-15):
        return low - 1.0, high + 1.0
    return low, high
