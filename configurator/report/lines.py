"""Text for a terminal: wrapping, columns and marks, measured in cells and free of escapes."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from configurator.errors import shown
from configurator.rules.finding import State

if TYPE_CHECKING:
    from configurator.explain.paragraphs import Paragraph

WIDTH = 100
"""Columns of a terminal that a table takes at most."""

GAP = 2
"""Blanks between two columns."""

_ELLIPSIS = "..."

LONGEST_TEXT = 1000
"""Of one foreign text, in characters: a reason or a note, never a whole file."""

# Select Graphic Rendition, ISO/IEC 6429; the words are there with and without.
_COLOURS = {
    State.FITS: "\x1b[32m",
    State.MARGINAL: "\x1b[33m",
    State.UNPROVEN: "\x1b[35m",
    State.RULED_OUT: "\x1b[31m",
}
_PLAIN = "\x1b[0m"


def cells(text: str) -> int:
    r"""Return how many columns of a terminal a text takes.

    Examples
    --------
    >>> cells("seal"), cells("\u5bc6\u5c01"), cells("e\u0301")
    (4, 4, 1)
    """
    if text.isascii():
        return len(text)
    return sum(_cell(character) for character in text)


def _cell(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def padded(text: str, width: int) -> str:
    """Return a text filled with blanks on its right up to a width in cells."""
    return text + " " * (width - cells(text))


def wrapped(text: str, width: int, *, first: str = "", rest: str = "") -> list[str]:
    """Break a text at its blanks into lines no wider than a width.

    Parameters
    ----------
    text : str
        Foreign text is welcome: control characters and escapes are shown, not sent.
    width : int
        In cells.
    first, rest : str
        What the first line and the others begin with.

    Examples
    --------
    >>> wrapped("tip needs 18 bar", 12, first="- ", rest="  ")
    ['- tip needs', '  18 bar']
    """
    lines: list[str] = []
    line, empty = first, True
    for word in shown(text, LONGEST_TEXT).split():
        for piece in _pieces(word, width - max(cells(first), cells(rest))):
            if not empty and cells(line) + 1 + cells(piece) > width:
                lines.append(line)
                line, empty = rest, True
            line += piece if empty else f" {piece}"
            empty = False
    return [*lines, line]


def _pieces(word: str, room: int) -> Iterable[str]:
    """Cut a word into pieces that fit a line; most words are one."""
    piece = ""
    for character in word:
        if piece and cells(piece) + _cell(character) > room:
            yield piece
            piece = ""
        piece += character
    yield piece


def cut(text: str, width: int) -> str:
    r"""Return a text made printable and, where it is wider than a width, cut at its end.

    Examples
    --------
    >>> cut("needle-14g-50", 10), cut("\t", 10)
    ('needle-...', '\\t')
    """
    line = shown(text, LONGEST_TEXT)
    if cells(line) <= width:
        return line
    kept, used = "", len(_ELLIPSIS)
    for character in line:
        used += _cell(character)
        if used > width:
            break
        kept += character
    return kept + _ELLIPSIS[:width]


def listed(head: str, texts: Iterable[str], width: int) -> list[str]:
    """Lay out texts below a head, indented; nothing where there is no text."""
    below = [line for text in texts for line in wrapped(text, width, first="  ", rest="    ")]
    return [*wrapped(head, width), *below] if below else []


def labelled(pairs: Iterable[tuple[str, str]], width: int) -> list[str]:
    """Lay out labels with their texts, all texts starting in the same column."""
    entries = [(label, text) for label, text in pairs if text]
    indent = max((cells(label) for label, _ in entries), default=0) + GAP
    lines: list[str] = []
    for label, text in entries:
        lines += wrapped(text, width, first=padded(label, indent), rest=" " * indent)
    return lines


BEFORE: dict[str, tuple[str, str]] = {
    "heading": ("", ""),
    "plain": ("", ""),
    "item": ("  - ", "    "),
    "step": ("  ", "     "),
    "under": ("     ", "       "),
    "entry": ("", "   "),
    "below": ("   ", "   "),
}
"""What the first line of a sentence and its others begin with, by its form."""


def laid_out(paragraphs: Iterable[Paragraph], width: int) -> list[str]:
    """Lay out paragraphs of an explanation with a free line between two."""
    lines: list[str] = []
    for paragraph in paragraphs:
        lines += [""] if lines else []
        for sentence in paragraph:
            first, rest = BEFORE[sentence.form]
            lines += wrapped(sentence.text, width, first=first, rest=rest)
    return lines


def columns(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    width: int,
    *,
    right: frozenset[str] = frozenset(),
) -> list[list[str]]:
    """Lay out a table; where it is too wide, a row goes on in a line below, indented.

    Parameters
    ----------
    heads : sequence of str
        Column heads.
    rows : sequence of sequence of str
        One text a column, without line breaks.
    width : int
        Widest line in cells.
    right : frozenset of str
        Heads of the columns that are set to the right.

    Returns
    -------
    list of list of str
        The lines of the head, then those of each row.
    """
    # The first column stays free below itself, so it may not take the whole line.
    firsts = [cut(row[0], width // 2) for row in rows]
    room = width - GAP - max(map(cells, [*heads[:1], *firsts]), default=0)
    texts = [
        list(heads),
        *(
            [first, *(cut(text, room) for text in row[1:])]
            for first, row in zip(firsts, rows, strict=True)
        ),
    ]
    wide = [max(cells(row[place]) for row in texts) for place in range(len(heads))]
    breaks = _breaks(wide, width, wide[0] + GAP if wide else 0)
    indent = " " * (wide[0] + GAP) if wide else ""
    return [
        [
            (indent if number else "")
            + (" " * GAP)
            .join(
                " " * (wide[at] - cells(row[at])) + row[at]
                if heads[at] in right
                else padded(row[at], wide[at])
                for at in group
            )
            .rstrip()
            for number, group in enumerate(breaks)
        ]
        for row in texts
    ]


def _breaks(wide: Sequence[int], width: int, indent: int) -> list[list[int]]:
    """Which columns share a line."""
    groups: list[list[int]] = []
    used = 0
    for at, size in enumerate(wide):
        if not groups or used + GAP + size > width:
            used = (indent if groups else 0) + size
            groups.append([at])
        else:
            used += GAP + size
            groups[-1].append(at)
    return groups


def coloured(line: str, state: State, *, colour: bool) -> str:
    """Return a line with its first state word in the colour of the state, if colour is wanted."""
    if not colour:
        return line
    return line.replace(state.words, f"{_COLOURS[state]}{state.words}{_PLAIN}", 1)
