"""From the text of a cell to what a material file would hold in its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from configurator.screen.header import Form
from configurator.units.cell import CellFault, quantity
from configurator.units.grammar import UnitFault
from configurator.units.kinds import STRESS
from configurator.units.quantity import parse

MAX_ENTRIES = 200
"""Substances or points in one cell: more than any data sheet lists."""

MAX_ENTRY = 1000
"""Longest entry of a cell that holds several. [characters]"""

_YES = {"yes": True, "true": True, "no": False, "false": False}

_SHARE_ENTRY = 'a name and its share by mass, such as "xylene 5 %", or a name alone'
_POINT_ENTRY = 'a shear rate, then a viscosity or a stress, such as "10 1/s 58 Pa*s"'
_RATIO = 'parts of A to parts of B, such as "10:1"'

_NUMBER = r"[+\N{MINUS SIGN}-]?[0-9][0-9.,'_]*+(?:[eE][+-]?[0-9]++)?+"
_JOIN = r"(?:\.\.|to|\+/-|\+-|[\N{PLUS-MINUS SIGN}\N{EN DASH}-])"
_PER = r"(?:[A-Za-z.-]*+%|ppm|ppb)"
_BOUND = r"[<>=~\N{LESS-THAN OR EQUAL TO}\N{GREATER-THAN OR EQUAL TO}]*+\s*+"
_SHARE = re.compile(
    rf"(?:^|(?<=\s))(?=\S){_BOUND}{_NUMBER}\s*+"
    rf"(?:{_PER}(?:\s*+{_JOIN}\s*+{_BOUND}{_NUMBER}\s*+{_PER})?+"
    rf"|{_JOIN}\s*+{_BOUND}{_NUMBER}\s*+{_PER})"
    r"\s*+(?:\(.*\))?$",
    re.DOTALL,
)
_ENDS_IN_NUMBER = re.compile(rf"(?:^|(?<=\s))(?=\S){_BOUND}{_NUMBER}(?:\s*+{_JOIN}\s*+{_NUMBER})?$")
_QUOTED = re.compile(r'"((?:[^"]|"")*+)"\s*+(.*)', re.DOTALL)
_BEFORE_NUMBER = re.compile(r"(?<!\s)\s++(?=[+\N{MINUS SIGN}-]?[0-9])(?!1\s*/)")
_UNFINISHED = re.compile(r"(?:\+/-|\+-|\N{PLUS-MINUS SIGN}|\.\.|\sto|[*/])$")
_CLOCK = re.compile(r"[0-9]+:[0-9]+:[0-9]+.*", re.DOTALL)


def read_cell(form: Form, text: str) -> Any:
    """Return what a material file would hold in place of a cell.

    Raises
    ------
    CellFault
        If it is written otherwise. What the values are worth is for the model to say.

    Examples
    --------
    >>> read_cell(Form.RATIO, "10:1"), read_cell(Form.YES, "Yes")
    (('10', '1'), True)
    >>> read_cell(Form.SHARES, "xylene 5 %; undisclosed polymer")
    ({'name': 'xylene', 'mass_fraction': '5 %'}, {'name': 'undisclosed polymer'})
    >>> read_cell(Form.POINTS, "1 1/s 300 Pa*s; 10 1/s 580 Pa (measured)")[1]["stress"]
    {'value': '580 Pa', 'basis': 'measured'}
    """
    return _READERS[form](text)


def _yes(text: str) -> bool:
    answer = _YES.get(text.lower())
    if answer is None:
        raise CellFault(text, "yes or no, or true or false")
    return answer


def _ratio(text: str) -> tuple[str | dict[str, str], ...]:
    parts = [part.strip() for part in _split(text, ":")]
    if len(parts) != 2 or not all(parts):  # noqa: PLR2004 - A and B
        hint = "a spreadsheet may have made a time of it: make the column text"
        raise CellFault(text, _RATIO, hint if _CLOCK.fullmatch(text) else "")
    return tuple(quantity(part) for part in parts)


def _share(entry: str) -> dict[str, Any]:
    """One constituent. A number at the end of a name is never guessed to be one or the other."""
    if entry.startswith('"'):
        quoted = _QUOTED.fullmatch(entry)
        if quoted is None:
            raise CellFault(entry, 'a name in quotes, then its share: "polyamide 66" 5 %')
        return _named_share(quoted[1].replace('""', '"'), quoted[2])
    found = _SHARE.search(entry)
    name = (entry[: found.start()] if found else entry).strip()
    if _ENDS_IN_NUMBER.search(name):
        raise CellFault(
            entry,
            _SHARE_ENTRY,
            'a share has a unit; a name that ends in a number stands in quotes: "polyamide 66" 5 %',
        )
    if not name or (found is None and "%" in entry):
        raise CellFault(entry, _SHARE_ENTRY)
    return _named_share(name, entry[found.start() :].strip() if found else "")


def _named_share(name: str, share: str) -> dict[str, Any]:
    return {"name": name, "mass_fraction": quantity(share)} if share else {"name": name}


def _point(entry: str) -> dict[str, Any]:
    """One point: the second number begins where the first has its unit."""
    for gap in _BEFORE_NUMBER.finditer(entry):
        rate, value = entry[: gap.start()], entry[gap.end() :]
        if (
            any(map(str.isalpha, rate))
            and rate.count("(") == rate.count(")")
            and not _UNFINISHED.search(rate)
        ):
            return {"rate": quantity(rate), _key_of(value): quantity(value)}
    raise CellFault(entry, _POINT_ENTRY)


@lru_cache(maxsize=1024)  # a text that is no stress is worked out anew each time otherwise
def _key_of(value: str) -> str:
    """Whether a value is a stress; anything else is taken for a viscosity and refused as one."""
    if value.endswith(")"):
        value = value.partition("(")[0].strip()
    try:
        parse(value, STRESS)
    except UnitFault:
        return "viscosity"
    return "stress"


def _entries(text: str, what: str) -> Iterator[str]:
    """Entries of a cell; a semicolon in quotes or in brackets separates nothing."""
    entries = [entry.strip() for entry in _split(text, ";")]
    entries = [entry for entry in entries if entry]
    if len(entries) > MAX_ENTRIES:
        raise CellFault(f"{len(entries)} {what}", f"at most {MAX_ENTRIES} in a cell")
    for entry in entries:
        if len(entry) > MAX_ENTRY:
            raise CellFault(entry, f"{what} of at most {MAX_ENTRY} characters each")
        yield entry


def _split(text: str, separator: str) -> list[str]:
    if '"' not in text and "(" not in text:
        return text.split(separator)
    pieces, start, depth, quoted, blank = [], 0, 0, False, True
    for at, character in enumerate(text):
        if character == '"' and (quoted or blank):
            # A doubled quote opens again at once what it has closed.
            quoted, blank = not quoted, quoted
            continue
        blank = blank and character.isspace()
        if quoted:
            continue
        if character == "(":
            depth += 1
        elif character == ")":
            depth = max(0, depth - 1)
        elif character == separator and not depth:
            pieces.append(text[start:at])
            start, blank = at + 1, True
    return [*pieces, text[start:]]


_READERS: Mapping[Form, Callable[[str], Any]] = MappingProxyType(
    {
        Form.TEXT: str,
        Form.PATH: str,
        Form.YES: _yes,
        Form.QUANTITY: quantity,
        Form.WORDS: lambda text: tuple(_entries(text, "words")),
        Form.SHARES: lambda text: tuple(map(_share, _entries(text, "constituents"))),
        Form.POINTS: lambda text: tuple(map(_point, _entries(text, "points"))),
        Form.RATIO: _ratio,
    }
)
