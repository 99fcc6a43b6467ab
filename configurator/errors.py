"""Every error that a user can cause: what was given, what is accepted, and a hint.

Text from outside (file content, names, paths) is never printed raw: ``shown`` escapes control
characters, line breaks, terminal escapes and bidirectional controls, and truncates.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate

_ELLIPSIS = "..."
_LARGEST_SHOWN = 10**30


def shown(text: str, limit: int = 120) -> str:
    r"""Make foreign text fit for one line of a terminal.

    Parameters
    ----------
    text : str
        Any text, trusted or not.
    limit : int
        Longest result in characters, at least 4.

    Returns
    -------
    str
        Printable text without line breaks; cut text ends in three dots.

    Examples
    --------
    >>> shown("two\nlines")
    'two\\nlines'
    >>> shown("a" * 10, limit=8)
    'aaaaa...'
    """
    if limit <= len(_ELLIPSIS):
        raise ValueError(f"limit must be above {len(_ELLIPSIS)}, got {limit}")
    if len(text) <= limit and text.isprintable():
        return text
    # Slicing first keeps a megabyte of hostile text from being escaped for nothing.
    pieces = [_escaped(character) for character in text[: limit + 1]]
    line = "".join(pieces)
    if len(line) <= limit and len(text) <= limit:
        return line
    # Whole pieces only: half an escape sequence would read as something else.
    ends = accumulate(map(len, pieces))
    room = limit - len(_ELLIPSIS)
    return (
        "".join(piece for piece, end in zip(pieces, ends, strict=True) if end <= room) + _ELLIPSIS
    )


def _escaped(character: str) -> str:
    if character.isprintable():
        return character
    return character.encode("unicode_escape").decode("ascii")


def described(value: object) -> str:
    """Return what a value of a file is, as the reader of the file would say.

    Examples
    --------
    >>> described(True), described({"a": 1}), described([1, 2]), described(None), described(6.5)
    ('true', 'a table', 'a list of 2', 'nothing', '6.5')
    """
    match value:
        case bool():
            return str(value).lower()
        case int() if abs(value) > _LARGEST_SHOWN:
            # Python refuses to write out a number of thousands of digits.
            return "a number beyond any real quantity"
        case Mapping():
            return "a table"
        case list() | tuple():
            return f"a list of {len(value)}"
        case None:
            return "nothing"
        case _:
            return str(value)


def nearest(name: str, names: Iterable[str], limit: int = 3) -> tuple[str, ...]:
    """Return the names that a misspelt name most likely meant, best first.

    Names that differ in letter case only come first, as "mpa" may be "mPa" or "MPa".

    Parameters
    ----------
    name : str
        The name as given.
    names : iterable of str
        The names that exist.
    limit : int
        Most names to return.

    Returns
    -------
    tuple of str
        At most ``limit`` names; empty when nothing is close.

    Examples
    --------
    >>> nearest("densty", ["viscosity", "density"])
    ('density',)
    """
    folded = name[:120].casefold()
    spellings: dict[str, list[str]] = {}
    for known in dict.fromkeys(names):
        spellings.setdefault(known.casefold(), []).append(known)
    close = difflib.get_close_matches(folded, spellings, n=max(limit, 1), cutoff=0.6)
    return tuple(known for fold in close for known in spellings[fold])[:limit]


def did_you_mean(name: str, names: Iterable[str]) -> str:
    """Return "did you mean X?" for the nearest names, or nothing when none is close.

    Examples
    --------
    >>> did_you_mean("densty", ["viscosity", "density"])
    'did you mean density?'
    """
    close = nearest(name, names)
    return f"did you mean {' or '.join(close)}?" if close else ""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong in what a user gave."""

    where: str
    """File path or option as the user gave it."""
    field: str
    """Dotted path in that file, such as ``component.density`` or ``cavity[3].displacement``."""
    given: str
    """What stood there."""
    accepted: str
    """What is accepted in its place, with an example."""
    hint: str = ""
    """A likely correction, such as ``did you mean density?``; may be empty."""

    def line(self) -> str:
        """Return the fault as exactly one printable line."""
        parts = [
            f"{shown(self.where, 200)}: {shown(self.field)}: given '{shown(self.given)}'",
            f"accepted: {shown(self.accepted, 400)}",
        ]
        if self.hint:
            parts.append(shown(self.hint, 300))
        return "; ".join(parts)


class HeadwrightError(Exception):
    """Anything the user can put right; ends a command with ``exit_code``."""

    exit_code: int = 2


MOST_TOLD = 200
"""Faults that are told one by one: of more, something else is wrong than each of them."""


class _FaultsError(HeadwrightError):
    """An error that carries every fault found in one go."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        if not self.faults:
            raise ValueError("an input error needs at least one fault")
        # A tuple as the only argument keeps the exception picklable across workers.
        super().__init__(self.faults)

    def __str__(self) -> str:
        lines = [fault.line() for fault in self.faults[:MOST_TOLD]]
        if more := len(self.faults) - len(lines):
            lines.append(f"and {more} more")
        return "\n".join(lines)


class InputError(_FaultsError):
    """A request file or option has faults."""

    exit_code = 2


class CatalogError(_FaultsError):
    """A catalog has faults."""

    exit_code = 3


class NoBuildError(HeadwrightError):
    """A command is about a build, and there is none."""

    exit_code = 1


class UsageError(HeadwrightError):
    """A command was called in a way that has no meaning."""

    exit_code = 2

    def __init__(self, message: str, hint: str = "") -> None:
        self.message = message
        self.hint = hint
        super().__init__(message, hint)

    def __str__(self) -> str:
        line = shown(self.message, 400)
        return f"{line}; {shown(self.hint, 300)}" if self.hint else line
