"""What a screen is at each size: wide, slim, or too small for anything but a word."""

from __future__ import annotations

from typing import Any

from textual.screen import Screen

WIDE = 100
"""Columns from which all panels are seen at once."""

LOW = 24
"""Lines below which panels that tell in words give room to tables."""

FLOOR = (60, 20)
"""Columns and lines below which nothing is drawn."""


def fit(screen: Screen[Any]) -> None:
    """Give a screen the classes of its size, for the style sheet."""
    width, height = screen.app.size
    screen.set_class(width < FLOOR[0] or height < FLOOR[1], "-floor")
    screen.set_class(height < LOW, "-low")
    screen.set_class(width >= WIDE, "-wide")
    screen.set_class(width < WIDE, "-slim")
