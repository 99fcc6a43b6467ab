"""Text of one cell of a table: a quantity, and behind it in brackets what it rests on."""

from __future__ import annotations

import re
import unicodedata

from configurator.units.grammar import UnitFault

_REMARK = (
    "a basis, a note or both in brackets: (measured), (measured, note: our scale), (note: p. 3)"
)

LONGEST_SHORT_NAME = 60
"""Of a material or process."""

_OTHER = re.compile(r"[^a-z0-9.+]+")


class CellFault(UnitFault):
    """A cell is not written as its column wants it."""


def quantity(text: str) -> str | dict[str, str]:
    """Split a basis and a note off a quantity: they stand in brackets behind it.

    Raises
    ------
    CellFault
        If the brackets hold anything else.

    Examples
    --------
    >>> quantity("1.2 g/cm^3 (measured, note: our scale)")
    {'value': '1.2 g/cm^3', 'basis': 'measured', 'note': 'our scale'}
    >>> quantity("20 Pa*s")
    '20 Pa*s'
    """
    if not text.endswith(")") or "(" not in text:
        return text
    value, _, remark = text[:-1].partition("(")
    return {"value": value.strip(), **_remark(remark.strip())}


def _remark(text: str) -> dict[str, str]:
    said: dict[str, str] = {}
    rest = text
    if not rest.startswith("note:"):
        basis, comma, rest = text.partition(",")
        said["basis"] = basis.strip()
        rest = rest.strip()
        if not said["basis"] or (comma and not rest.startswith("note:")):
            raise CellFault(f"({text})", _REMARK)
    if rest:
        said["note"] = rest.removeprefix("note:").strip()
    return said


def short_name(text: str, longest: int = LONGEST_SHORT_NAME) -> str:
    """Make a short name of free text; empty if it has no letter or digit that such a name takes.

    Examples
    --------
    >>> short_name("Sealant No. 7 (grey)"), short_name("\N{LATIN SMALL LETTER E WITH ACUTE}poxy")
    ('sealant-no.-7-grey', 'epoxy')
    """
    plain = unicodedata.normalize("NFKD", text[:1000])
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign)).lower()
    return _OTHER.sub("-", plain).strip("-.+")[:longest].strip("-.+")
