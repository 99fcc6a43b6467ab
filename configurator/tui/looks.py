"""How it looks: lines made of named pieces, three themes for their styles, characters of charts."""

from __future__ import annotations

import locale
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from textual.theme import Theme

from configurator.errors import shown
from configurator.report.lines import LONGEST_TEXT, cells, cut, padded, wrapped
from configurator.rules.finding import State
from configurator.units.display import figures, spaced

Span: TypeAlias = tuple[str, str]
"""A text and the name of its style; the empty name is plain."""

Spans: TypeAlias = Sequence[Span]

BOLD = ("strong", "pick", "fault")
"""Styles that stand out without colour too; every one is said in words or marks as well."""

STATE_STYLES = {
    State.FITS: "fits",
    State.MARGINAL: "marginal",
    State.UNPROVEN: "unproven",
    State.RULED_OUT: "out",
}

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

_FULL_DIGITS = 999_999
_PREFIXES = "kMGTPEZY"


def printable(text: str) -> str:
    """A text that does nothing to the terminal."""
    return text if text.isprintable() else shown(text, LONGEST_TEXT)


def fitted(spans: Spans, width: int) -> list[Span]:
    r"""Make spans printable and exactly as wide as asked, in cells.

    Examples
    --------
    >>> fitted([("tip", "strong"), (" 14g\x1b", "")], 10)
    [('tip', 'strong'), (' 14g\\x1', '')]
    """
    found: list[Span] = []
    left = width
    for text, style in spans:
        if left <= 0:
            break
        clean = printable(text)
        if cells(clean) > left:
            clean = _cropped(clean, left)
        found.append((clean, style))
        left -= cells(clean)
    if left > 0:
        found.append((" " * left, ""))
    return found


def _cropped(text: str, width: int) -> str:
    kept, used = "", 0
    for character in text:
        used += cells(character)
        if used > width:
            break
        kept += character
    return kept


def column(text: str, width: int, *, right: bool = False) -> str:
    """A text in a column of its own: cut or filled to a width."""
    short = cut(text, width) if width > 0 else ""
    return " " * (width - cells(short)) + short if right else padded(short, width)


def paragraph(text: str, width: int, style: str = "", *, indent: str = "") -> list[Spans]:
    """A text over as many lines as it takes."""
    return [[(line, style)] for line in wrapped(text, max(width, 10), first=indent, rest=indent)]


def flowed(texts: Sequence[str], width: int, *, gap: int = 0) -> list[list[int]]:
    """Places of texts that share a line, over as many lines as it takes."""
    lines: list[list[int]] = []
    used = 0
    for place, text in enumerate(texts):
        if lines and used + gap + cells(text) <= width:
            lines[-1].append(place)
            used += gap + cells(text)
        else:
            lines.append([place])
            used = cells(text)
    return lines


def short_count(number: int) -> str:
    """A count in at most seven characters: all digits where they fit, else three with a prefix.

    Examples
    --------
    >>> short_count(141960), short_count(7179264), short_count(50598035012112)
    ('141 960', '7.18 M', '50.6 T')
    """
    if number <= _FULL_DIGITS:
        return spaced(number)
    value, prefix = float(number), ""
    for letter in _PREFIXES:
        if value < 999.5:  # noqa: PLR2004 - beyond, three digits round up to the next prefix
            break
        value, prefix = value / 1000.0, letter
    places = 2 if value < 9.995 else 1 if value < 99.95 else 0  # noqa: PLR2004 - three digits
    return f"{value:.{places}f} {prefix}"


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
    braille: bool
    """True if curves are drawn in dots, eight to a cell."""


ASCII = Glyphs("|", "-", "+", "|", "=", ".", "#", ".", "ascii", braille=False)
LINES = Glyphs(
    "\u2502",
    "\u2500",
    "\u2514",
    "\u2506",
    "\u2550",
    "\u00b7",
    "\u2588",
    "\u00b7",
    "solid",
    braille=True,
)


def margin_bar(margin: float, room: int, glyphs: Glyphs) -> str:
    """What is left of a limit as a bar and a number; what is over it is said, and has no bar.

    Examples
    --------
    >>> margin_bar(0.5, 4, ASCII), margin_bar(-0.05, 4, ASCII)
    ('##..    50 %', '>>>>    -5 %')
    """
    filled = round(min(max(margin, 0.0), 1.0) * room)
    bar = ">" * room if margin < 0.0 else glyphs.full * filled + glyphs.rest * (room - filled)
    return f"{bar} {figures(100.0 * margin):>5} %"


def needs_ascii() -> bool:
    """Whether the terminal is one of those that show box characters badly or not at all."""
    if os.environ.get("TERM") in ("linux", "dumb", "vt100", "vt220"):
        return True
    if sys.platform == "win32" and not os.environ.get("WT_SESSION"):
        return True  # the old console window
    encoding = (sys.stdout.encoding or locale.getpreferredencoding(do_setlocale=False)).lower()
    return not encoding.startswith("utf")
