"""How it looks: three themes, and the few characters beyond words that charts are drawn with."""

from __future__ import annotations

import locale
import os
import sys
from dataclasses import dataclass

from textual.theme import Theme

COLOURS = {
    "ground": ("#10181c", "#fbfbf7", "#000000"),
    "raised": ("#1c2a30", "#e9ebe4", "#000000"),
    "text": ("#e4ecee", "#1b2226", "#e6e6e6"),
    "strong": ("#ffffff", "#000000", "#ffffff"),
    "fits": ("#8fd18a", "#1f6424", "#e6e6e6"),
    "marginal": ("#f0c15c", "#7a4b00", "#e6e6e6"),
    "unproven": ("#d0a6ee", "#6a2c91", "#e6e6e6"),
    "out": ("#f2958a", "#9c2117", "#e6e6e6"),
    "pick": ("#7fd3e0", "#00596b", "#ffffff"),
    "fault": ("#ffa89c", "#a3130a", "#ffffff"),
    "accent": ("#8cc4ff", "#0b4f8a", "#e6e6e6"),
    "line": ("#5d7883", "#6b7a80", "#a0a0a0"),
    "cursor": ("#ffffff", "#ffffff", "#000000"),
    "cursorground": ("#1d5470", "#1d4f66", "#e6e6e6"),
}
"""Colours of grounds, text and every style of a span, in the order of `THEMES`.

Every text colour stands at least 4.5:1 against every ground it is drawn on; a test measures it
on the screens themselves. Nothing is said by colour alone.
"""


def _theme(name: str, place: int, *, dark: bool) -> Theme:
    colours = {style: of_themes[place] for style, of_themes in COLOURS.items()}
    return Theme(
        name=name,
        dark=dark,
        primary=colours["accent"],
        secondary=colours["accent"],
        accent=colours["accent"],
        warning=colours["marginal"],
        error=colours["fault"],
        success=colours["fits"],
        foreground=colours["text"],
        background=colours["ground"],
        surface=colours["ground"],
        panel=colours["raised"],
        text_alpha=1.0,
        variables={f"hw-{style}": colour for style, colour in colours.items()},
    )


THEMES = {
    "dark": _theme("river-night", 0, dark=True),
    "light": _theme("river-day", 1, dark=False),
    "mono": _theme("river-mono", 2, dark=True),
}
"""By the word that `--theme` takes."""


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
