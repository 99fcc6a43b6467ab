"""The few characters beyond words: a set for any terminal and one in plain ASCII."""

from __future__ import annotations

import locale
import os
import sys
from dataclasses import dataclass


@dataclass(frozen=True)
class Glyphs:
    """Characters that charts are drawn with; marks are ASCII in both sets."""

    upright: str
    level: str
    corner: str
    """Axes."""
    limit: str
    """A limit line."""
    edge: str
    inside: str
    """Edges and inside of the wanted band."""
    full: str
    rest: str
    """A bar and what is left of it."""
    border: str
    """Name of the border style."""


ASCII = Glyphs("|", "-", "+", "|", "=", ".", "#", ".", "ascii")
LINES = Glyphs(
    "\u2502", "\u2500", "\u2514", "\u2506", "\u2550", "\u00b7", "\u2588", "\u00b7", "solid"
)


def needs_ascii() -> bool:
    """Whether the terminal is one of those that show box characters badly or not at all."""
    if os.environ.get("TERM") in ("linux", "dumb", "vt100", "vt220"):
        return True
    if sys.platform == "win32" and not os.environ.get("WT_SESSION"):
        return True  # the old console window
    encoding = (sys.stdout.encoding or locale.getpreferredencoding(do_setlocale=False)).lower()
    return not encoding.startswith("utf")
