"""Cells of a plot, each a character and a style; curves in dots, eight to a cell."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from configurator.tui.looks import Span

Floats = NDArray[np.float64]

BRAILLE = 0x2800
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Dots of a braille cell by row and column (ISO/IEC 10646, block of braille patterns)."""


class Canvas:
    """Cells of a plot, each a character and a style."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.cells: list[list[Span]] = [[(" ", "")] * width for _ in range(height)]

    def put(self, row: int, column: int, text: str, style: str) -> None:
        """Write a text from a cell on, as far as there are cells."""
        for at, character in enumerate(text, start=column):
            if 0 <= row < self.height and 0 <= at < self.width:
                self.cells[row][at] = (character, style)

    def curve(self, across: Floats, up: Floats, style: str) -> None:
        """Draw a polyline in dots, two across and four up a cell; 0 to 1 is the whole plot."""
        x, y = across * (2 * self.width - 1), (1.0 - up) * (4 * self.height - 1)
        reach = np.abs(np.diff(x)).max() + np.abs(np.diff(y)).max()
        at = np.arange(len(x) - 1)[:, np.newaxis] + np.linspace(0.0, 1.0, int(2 * reach) + 2)
        places = [
            np.rint(np.interp(at, range(len(x)), each)).ravel().astype(int) for each in (x, y)
        ]
        for place, row in {*zip(*(each.tolist() for each in places), strict=True)}:
            if 0 <= row < 4 * self.height and 0 <= place < 2 * self.width:
                line, cell = self.cells[row // 4], place // 2
                held = ord(line[cell][0]) - BRAILLE
                dots = DOTS[row % 4][place % 2] | (held if 0 <= held <= sum(map(sum, DOTS)) else 0)
                line[cell] = (chr(BRAILLE + dots), style)

    def free(self, row: int, start: int, stop: int) -> bool:
        """Whether nothing stands in some cells of a row."""
        return all(self.cells[row][at][0] == " " for at in range(max(start, 0), stop))
