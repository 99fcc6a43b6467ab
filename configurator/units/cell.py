"""Text of one cell of a table or of a row of a safety data sheet, and what it says."""

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


_CAS = re.compile(r"(?<![0-9-])([1-9][0-9]{1,6})-([0-9]{2})-([0-9])(?![0-9-])")
_EC = re.compile(r"(?<![0-9-])([1-9][0-9]{2})-([0-9]{3})-([0-9])(?![0-9-])")

_AMOUNT = r"([0-9]+(?:[.,][0-9]+)?)"
_PER = r"\s*(%|ppm)?"
_MASS = re.compile(
    r"\(?(?:w/w|m/m|wt\.?-?|gew\.?-?|by weight|by mass|mass)\)?(?=\s|%|$)", re.IGNORECASE
)
_BETWEEN = re.compile(
    rf"(?:>=?|from|von)?\s*{_AMOUNT}{_PER}\s*(?:-|\.\.|to|bis|and|und)\s*(?:<=?)?\s*{_AMOUNT}{_PER}"
)
_BELOW = re.compile(rf"(?:<=?|up to|bis|max\.?|at most)\s*{_AMOUNT}{_PER}")
_ABOVE = re.compile(rf"(?:>=?|from|ab|min\.?|at least)\s*{_AMOUNT}{_PER}")
_SIGNS = {"\N{GREATER-THAN OR EQUAL TO}": ">=", "\N{LESS-THAN OR EQUAL TO}": "<=", "=>": ">="}
_DASHES = re.compile("[\N{EN DASH}\N{EM DASH}\N{MINUS SIGN}]")

_SECRET = re.compile(
    r"secret|proprietary|confidential|geheimnis|undisclosed|not disclosed|withheld", re.IGNORECASE
)


def cas_numbers(text: str) -> tuple[str, ...]:
    """Return the CAS numbers in a text whose check digit fits.

    Examples
    --------
    >>> cas_numbers("acetone, 67-64-1, and not 67-64-2")
    ('67-64-1',)
    """
    return tuple(found[0] for found in _CAS.finditer(text) if cas_fits(found[0]))


def ec_numbers(text: str) -> tuple[str, ...]:
    """Return the EC numbers in a text whose check digit fits.

    Examples
    --------
    >>> ec_numbers("EC 200-662-2 or 200-662-3")
    ('200-662-2',)
    """
    return tuple(found[0] for found in _EC.finditer(text) if ec_fits(found[0]))


def cas_fits(number: str) -> bool:
    """Whether a text is a CAS number, check digit and all."""
    found = _CAS.fullmatch(number)
    if found is None:
        return False
    digits = reversed(found[1] + found[2])
    return sum(at * int(digit) for at, digit in enumerate(digits, 1)) % 10 == int(found[3])


def ec_fits(number: str) -> bool:
    """Whether a text is an EC number, check digit and all."""
    found = _EC.fullmatch(number)
    if found is None:
        return False
    digits = found[1] + found[2]
    return sum(at * int(digit) for at, digit in enumerate(digits, 1)) % 11 == int(found[3])


def is_registry_number(text: str) -> bool:
    """Whether a text has the form of a CAS or EC number, its check digit right or wrong."""
    return _CAS.fullmatch(text) is not None or _EC.fullmatch(text) is not None


def is_secret(text: str) -> bool:
    """Whether a row says that its maker keeps the substance to himself."""
    return _SECRET.search(text) is not None


def share_in_range(text: str) -> str:
    """Return a share as sheets write it as a range with two dots; other text as it is.

    A range without a unit is in per cent, as the column of the sheet is, unless it stays within 1,
    where nobody can tell a per cent from a share. An open end counts as closed.

    Examples
    --------
    >>> share_in_range(">= 10 - < 25 %"), share_in_range("< 5 %"), share_in_range("10-25")
    ('10..25 %', '0..5 %', '10..25 %')
    >>> share_in_range("5 %"), share_in_range("0.1 - 0.5")
    ('5 %', '0.1 - 0.5')
    """
    plain = text.strip()
    for sign, written in _SIGNS.items():
        plain = plain.replace(sign, written)
    plain = " ".join(_MASS.sub("", _DASHES.sub("-", plain)).split()).replace("()", "").strip()
    if between := _BETWEEN.fullmatch(plain):
        low, first, high, second = between.groups()
        return _in_unit(text, low, high, second or first, first or second)
    if below := _BELOW.fullmatch(plain):
        return _in_unit(text, "0", below[1], below[2], below[2])
    if above := _ABOVE.fullmatch(plain):
        if above[2] == "ppm":
            return text
        return _in_unit(text, above[1], "100", above[2], above[2])
    return text


def _in_unit(text: str, low: str, high: str, unit: str | None, other: str | None) -> str:
    low, high = low.replace(",", "."), high.replace(",", ".")
    if unit != other or (unit is None and float(high) <= 1.0):
        return text
    return f"{low}..{high} {unit or '%'}"
