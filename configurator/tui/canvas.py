"""A plot in cells: axes with round ticks, curves in dots or letters, and names where there is room."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from configurator.tui.looks import Glyphs, Span, Spans
from configurator.units.display import figures

Floats = NDArray[np.float64]

BRAILLE = 0x2800
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Dots of a braille cell by row and column (ISO/IEC 10646, block of braille patterns)."""

LABELS = 7
"""Columns left of a plot."""

TICK_ROOM = 12
"""Columns for each number below it, at least."""

FEWEST_MARKS = 2
"""Numbers on an axis, at least."""

NARROWEST, LOWEST = 16, 4
"""Cells below which a plot tells nothing."""


class Axis(NamedTuple):
    """One axis: what it shows, its ends, and the round numbers on it."""

    title: str
    low: float
    high: float
    marks: Sequence[float]

    def at(self, value: float) -> float:
        """Where a value stands, 0 to 1."""
        return (value - self.low) / (self.high - self.low)


def ticks(values: Sequence[float], most: int) -> list[float]:
    """Round numbers at even steps around values, at least two and at most so many.

    Examples
    --------
    >>> ticks([84.5, 97.0], 5), ticks([1.6, 1.6], 4)
    ([84.0, 88.0, 92.0, 96.0, 100.0], [1.0, 2.0])
    """
    low, high = min(values), max(values)
    if math.isclose(low, high, rel_tol=1e-12, abs_tol=1e-15):
        return [float(math.floor(low)), math.floor(low) + 1.0]
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    for step in (power * each for each in (1.0, 2.0, 4.0, 5.0, 10.0, 20.0)):
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first < most:
            break
    return [step * each for each in range(first, last + 1)]


def _axis(title: str, values: Sequence[float], most: int, *, tight: bool) -> Axis:
    marks = ticks(values, most)
    if not tight:
        return Axis(title, marks[0], marks[-1], marks)
    low, high = min(values), max(values)
    inside: list[float] = []
    while len(inside) < FEWEST_MARKS and high > low:
        inside = [mark for mark in ticks(values, most) if low <= mark <= high]
        most += 1
    return Axis(title, low, high, inside)


class Plot:
    """Cells of a plot, each a character and a style, in so many columns and rows, axes included.

    `across` and `up` are titles with the values that have to be seen; axes end at round numbers, or
    at the least and most of these values if they are `tight`.
    """

    def __init__(
        self,
        across: tuple[str, Sequence[float]],
        up: tuple[str, Sequence[float]],
        *,
        width: int,
        height: int,
        glyphs: Glyphs,
        tight: bool = False,
    ) -> None:
        self.width, self.height = width - LABELS - 1, height - 3
        self.glyphs = glyphs
        self.told = self.width >= NARROWEST and self.height >= LOWEST
        """False where there is too little room for anything."""
        most = max(self.width // TICK_ROOM, 2), max(self.height // 3, 2)
        self.across, self.up = (
            _axis(*each, room, tight=tight) for each, room in zip((across, up), most, strict=True)
        )
        self.names: list[Callable[[], object]] = []
        """What writes the names of limits, once everything is drawn."""
        self.cells: list[list[Span]] = [[(" ", "")] * self.width for _ in range(self.height)]

    def column(self, value: float) -> int:
        """The column of a value."""
        return round(self.across.at(value) * (self.width - 1))

    def row(self, value: float) -> int:
        """The row of a value, the first on top."""
        return round((1.0 - self.up.at(value)) * (self.height - 1))

    def put(self, row: int, column: int, text: str, style: str) -> None:
        """Write a text from a cell on, as far as there are cells."""
        for at, character in enumerate(text, start=column):
            if 0 <= row < self.height and 0 <= at < self.width:
                self.cells[row][at] = (character, style)

    def upright(self, value: float, name: str) -> None:
        """Draw a limit across, with its name beside it where nothing is in the way."""
        at = self.column(value)
        for row in range(self.height):
            self.put(row, at, self.glyphs.limit, "marginal")
        places = [(r, c) for r in range(self.height) for c in (at + 2, at - len(name) - 1)]
        self.names.append(partial(self.name, places, name))

    def level(self, value: float, name: str, style: str, mark: str) -> None:
        """Draw a limit up, with its name on it, as far right as nothing is in the way."""
        self.put(self.row(value), 0, mark * self.width, style)
        self.names.append(partial(self._on_level, self.row(value), name, style, mark))

    def _on_level(self, row: int, name: str, style: str, mark: str) -> None:
        for start in range(self.width - len(name) - 2, -1, -1):
            if {cell[0] for cell in self.cells[row][start : start + len(name) + 2]} == {mark}:
                self.put(row, start, f" {name} ", style)
                return

    def name(self, places: Sequence[tuple[int, int]], name: str, style: str = "marginal") -> bool:
        """Write a name at the first of some places where it is free, a cell around it included."""
        for row, start in places:
            if not 0 <= row < self.height:
                continue
            around = self.cells[row][max(start - 1, 0) : start + len(name) + 1]
            inside = start >= 0 and start + len(name) <= self.width
            if inside and all(cell[0] in (" ", self.glyphs.inside) for cell in around):
                self.put(row, start, name, style)
                return True
        return False

    def curve(self, across: Floats, up: Floats, name: str, style: str = "strong") -> None:
        """Draw a polyline as far as it lies in the plot, in dots, or in the first letter of its name."""
        fine = (2, 4) if self.glyphs.braille else (1, 1)
        wide, high = fine[0] * self.width, fine[1] * self.height
        x = np.array([self.across.at(each) for each in across]) * (wide - 1)
        y = (1.0 - np.array([self.up.at(each) for each in up])) * (high - 1)
        reach = np.abs(np.diff(x)).max() + np.abs(np.diff(y)).max()
        at = np.arange(len(x) - 1)[:, np.newaxis] + np.linspace(0.0, 1.0, int(2 * reach) + 2)
        places = [
            np.rint(np.interp(at, range(len(x)), each)).ravel().astype(int) for each in (x, y)
        ]
        inside = [
            (row, place)
            for place, row in zip(*(each.tolist() for each in places), strict=True)
            if 0 <= row < high and 0 <= place < wide
        ]
        for row, place in {*inside}:
            line, cell = self.cells[row // fine[1]], place // fine[0]
            text = name[0]
            if self.glyphs.braille:
                held = ord(line[cell][0]) - BRAILLE
                dots = DOTS[row % 4][place % 2] | (held if 0 <= held <= sum(map(sum, DOTS)) else 0)
                text = chr(BRAILLE + dots)
            line[cell] = (text, style)

    def end_of(self, across: Floats, up: Floats) -> tuple[int, int]:
        """The cell in which a curve that rises leaves the plot."""
        seen = [
            (self.row(y), self.column(x))
            for x, y in zip(across, up, strict=True)
            if 0.0 <= self.across.at(x) <= 1.0 and 0.0 <= self.up.at(y) <= 1.0
        ]
        return seen[-1] if seen else (0, self.width - 1)

    def lines(self) -> list[Spans]:
        """The plot with its axes; the title above stands for the one up."""
        for write in self.names:
            write()
        labels = {self.row(value): figures(value) for value in self.up.marks}
        found: list[Spans] = [[(self.up.title, "strong")]]
        for number, line in enumerate(self.cells):
            found.append(
                [(f"{labels.get(number, ''):>{LABELS}}", ""), (self.glyphs.upright, ""), *line]
            )
        scale = [" "] * LABELS + [self.glyphs.corner] + [self.glyphs.level] * self.width
        for value in self.across.marks:
            label = figures(value)
            end = LABELS + 1 + min(max(self.column(value) + 1, len(label)), self.width)
            scale[end - len(label) : end] = label
        found.append([("".join(scale), "")])
        found.append([(f"{self.across.title:>{LABELS + 1 + self.width}}", "strong")])
        return found
