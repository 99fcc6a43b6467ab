"""Lines made of named pieces: what panels draw, and what charts are, with no screen in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from configurator.errors import shown
from configurator.report.lines import LONGEST_TEXT, cells, cut, padded, wrapped
from configurator.rules.finding import State
from configurator.units.display import spaced

Span: TypeAlias = tuple[str, str]
"""A text and the name of its style; the empty name is plain."""

Spans: TypeAlias = Sequence[Span]

STYLES = ("strong", "fits", "marginal", "unproven", "out", "pick", "fault", "accent")
"""Names that a theme gives a colour; every one is said in words or marks as well."""

STATE_STYLES = {
    State.FITS: "fits",
    State.MARGINAL: "marginal",
    State.UNPROVEN: "unproven",
    State.RULED_OUT: "out",
}

_FULL_DIGITS = 999_999
_PREFIXES = "kMGTPEZY"


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
        clean = text if text.isprintable() else shown(text, LONGEST_TEXT)
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
