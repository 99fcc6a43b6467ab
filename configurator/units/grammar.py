"""The strict grammar of a quantity: what is a number, a unit, a range, a tolerance.

Nothing else is ever evaluated: a text that does not match is refused before any unit library
could see it, so expressions such as "9**9**9 m" or function calls cost nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from configurator.errors import did_you_mean
from configurator.units.dimension import PLAIN, Unit
from configurator.units.spellings import MISSPELT, REFUSED, SPELLINGS, TIME_TO_FLOW_INDEX

MAX_LENGTH = 200
_MAX_FACTORS = 8
_MOST_DIGITS = 60

# Escapes instead of the signs themselves: two micro signs look the same in an editor.
_PLAIN_SIGNS = {
    "\N{MICRO SIGN}": "u",
    "\N{GREEK SMALL LETTER MU}": "u",
    "\N{DEGREE SIGN}C": "degC",
    "\N{DEGREE SIGN}F": "degF",
    "\N{DEGREE CELSIUS}": "degC",
    "\N{DEGREE FAHRENHEIT}": "degF",
    "\N{DEGREE SIGN}": "deg",
    "\N{MIDDLE DOT}": "*",
    "\N{DOT OPERATOR}": "*",
    "\N{SUPERSCRIPT MINUS}\N{SUPERSCRIPT ONE}": "^-1",
    "\N{SUPERSCRIPT MINUS}\N{SUPERSCRIPT TWO}": "^-2",
    "\N{SUPERSCRIPT MINUS}\N{SUPERSCRIPT THREE}": "^-3",
    "\N{SUPERSCRIPT TWO}": "^2",
    "\N{SUPERSCRIPT THREE}": "^3",
    "\N{SUPERSCRIPT LATIN SMALL LETTER N}": "^n",
    "\N{PLUS-MINUS SIGN}": "+/-",
    "\N{MINUS SIGN}": "-",
    "\N{NO-BREAK SPACE}": " ",
    "\N{NARROW NO-BREAK SPACE}": " ",
}

_NUMBER = r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?"
_NAME = r"[A-Za-z%][A-Za-z0-9_%]*"
_POWER = r"(?:\^|\*\*)(?:-?[0-9](?:\.[05])?|n)"
_FACTOR = rf"{_NAME}(?:{_POWER})?"
_JOIN = r"(?: *[*/.] *| +)"
_AMOUNT = re.compile(rf"({_NUMBER}) *(.*)")
_UNIT = re.compile(rf"(?:1? *(?=/))?(?:/ *)?{_FACTOR}(?:{_JOIN}{_FACTOR}){{0,{_MAX_FACTORS - 1}}}")
_STEP = re.compile(rf" *([*/. ]?) *({_NAME})(?:(?:\^|\*\*)(-?[0-9](?:\.[05])?|n))?")
_TRAILING_POWER = re.compile(r"([A-Za-z]+)([23])")
_SPLIT_RANGE = re.compile(r"(?<!\.)\.\.(?!\.)| to ")
_SPLIT_TOLERANCE = re.compile(r"\+/-|\+-")

_COMMA = re.compile(r"[0-9],[0-9]")
_THOUSANDS = re.compile(r",[0-9]{3}(?![0-9])|,[0-9]+[.,][0-9]|[0-9]\.[0-9]+,")
_GAP = re.compile(r"(?<![0-9A-Za-z^-])[0-9]+(?:\.[0-9]+)? +(?!1 */)[0-9]")
_OTHER_SEPARATOR = re.compile(r"[0-9]['_][0-9]")
_HYPHEN = re.compile(rf"((?>{_NUMBER})) *([^0-9.^-]*?) *[-\N{{EN DASH}}] *({_NUMBER}.*)")
_EDGE_POINT = re.compile(r"(?:^|[^0-9.])\.[0-9]|[0-9]\.(?:[^0-9.]|$)")
_MISSPELT = re.compile(rf"(?<![A-Za-z*/])(?:{'|'.join(MISSPELT)})(?![A-Za-z*^])")
_LARGEST = Fraction(10) ** 30
_SMALLEST = Fraction(1, 10**30)


class UnitFault(ValueError):
    """A text is not a quantity of the kind that was wanted; a likely correction may be empty."""

    def __init__(self, given: str, accepted: str, hint: str = "") -> None:
        self.given = given
        self.accepted = accepted
        self.hint = hint
        super().__init__(given, accepted, hint)

    def __str__(self) -> str:
        return f"accepted: {self.accepted}" + (f"; {self.hint}" if self.hint else "")


class UnreadableError(Exception):
    """The text breaks the grammar; the message is the hint. Never leaves this package."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A number and the text of its unit; the text is empty when there is none."""

    number: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class Phrase:
    """What a text says: one amount, a range of two, or an amount with a tolerance."""

    first: Amount
    last: Amount | None = None
    tolerance: Amount | None = None


def normalised(text: str) -> str:
    """Return the text with its typographic signs replaced by plain ones."""
    for sign, plain in _PLAIN_SIGNS.items():
        text = text.replace(sign, plain)
    return text.strip(" ")


def read_phrase(text: str) -> Phrase:
    """Split a text of at most ``MAX_LENGTH`` characters into its amounts.

    Their units are not yet looked up.

    Raises
    ------
    UnreadableError
        If the text is anything else.
    """
    _refuse_foreign(text)
    plain = normalised(text)
    if not plain:
        raise UnreadableError("it is empty")
    _refuse_habits(plain)
    match _SPLIT_TOLERANCE.split(plain), _SPLIT_RANGE.split(plain):
        case [_], [_]:
            return Phrase(_amount(plain))
        case [value, width], [_]:
            return _with_tolerance(_amount(value), _amount(width))
        case [_], [low, high]:
            return _range(_amount(low), _amount(high))
    raise UnreadableError("write one range or one tolerance")


def respelt(text: str) -> str:
    """Return a text with misspelt units put right; the same one if there are none.

    Examples
    --------
    >>> respelt("25 Pas"), respelt("20..25 mpas +/- 5 %"), respelt("6 bar")
    ('25 Pa*s', '20..25 mPa*s +/- 5 %', '6 bar')
    """
    return _MISSPELT.sub(lambda found: MISSPELT[found[0]], text)


def _with_tolerance(value: Amount, width: Amount) -> Phrase:
    # "20 +/- 2 Pa*s" has one unit for both; "20 +/- 15 %" has none for the value.
    if not value.unit and width.unit != "%":
        value = Amount(value.number, width.unit)
    return Phrase(value, tolerance=width)


def _range(low: Amount, high: Amount) -> Phrase:
    if low.unit and not high.unit:
        raise UnreadableError("write the unit after the second number")
    return Phrase(Amount(low.number, low.unit or high.unit), last=high)


def _refuse_foreign(text: str) -> None:
    if len(text) > MAX_LENGTH:
        raise UnreadableError(f"it is longer than {MAX_LENGTH} characters")
    if not text.isprintable():
        raise UnreadableError("it holds a line break, a tab or another control character")


def _refuse_habits(text: str) -> None:
    """Refuse what people do write, with the correction."""
    if _COMMA.search(text):
        if _THOUSANDS.search(text):
            raise UnreadableError("no thousands separators, and a point for decimals")
        raise UnreadableError(f"write {re.sub(r'(?<=[0-9]),(?=[0-9])', '.', text)}")
    if text[0] in "<>=~\N{LESS-THAN OR EQUAL TO}\N{GREATER-THAN OR EQUAL TO}":
        raise UnreadableError("a bound on one side says too little: write a range such as 2..5")
    if _OTHER_SEPARATOR.search(text) or _GAP.search(text):
        raise UnreadableError("write the number without separators, such as 1000")
    if "..." in text:
        raise UnreadableError("a range has two dots, such as 2..5")
    if _EDGE_POINT.search(text):
        raise UnreadableError("write a digit on both sides of the point, such as 0.5")
    if "+" not in text and (match := _HYPHEN.fullmatch(text)):
        low, unit, high = match.groups()
        if unit in high:
            raise UnreadableError(f"write {low}{' ' * bool(unit)}{unit}..{high}")


def _amount(text: str) -> Amount:
    match = _AMOUNT.fullmatch(text.strip(" "))
    if match is None:
        raise UnreadableError("write a number, then its unit")
    number = _fraction(match[1])
    if number and not _SMALLEST < abs(number) < _LARGEST:
        raise UnreadableError("the number is beyond any real quantity")
    return Amount(number, match[2])


def _fraction(text: str) -> Fraction:
    if len(text) > _MOST_DIGITS:
        raise UnreadableError("the number has too many digits")
    return Fraction(text)


def read_unit(text: str, look_up: Callable[[str], Unit | None]) -> Unit:
    """Return the unit that a text such as "mL/min" or "1/s" stands for.

    Names are joined by ``*``, ``.``, a space or ``/``, each with an optional power. Products and
    quotients are taken from left to right: "J/mol*K" is (J/mol)*K. What the table of spellings
    lacks is asked of `look_up`, which returns None for a name that it does not know either.

    Raises
    ------
    UnreadableError
        If the text breaks the grammar or a name is unknown.
    """
    if text in REFUSED:
        raise UnreadableError(REFUSED[text])
    if not _UNIT.fullmatch(text):
        raise UnreadableError("a unit is made of names joined by * or /, such as mL/min or N*m")
    steps = text.removeprefix("1") if text[0] == "1" else text
    total = PLAIN
    for place, (join, name, power) in enumerate(_STEP.findall(steps)):
        unit = _raised(name, power, look_up)
        # The first name is taken as it is, for a product would lose the offset of a degC.
        if place == 0 and join != "/":
            total = unit
        else:
            total = total * (unit**-1 if join == "/" else unit)
    return total


def _raised(name: str, power: str, look_up: Callable[[str], Unit | None]) -> Unit:
    if power == "n":
        if name not in ("s", "sec"):
            raise UnreadableError("the power n goes with s only, as in Pa*s^n")
        return TIME_TO_FLOW_INDEX
    exponent = float(power) if power else 1.0
    if exponent == 0:
        raise UnreadableError("a unit to the power zero says nothing")
    unit = _single(name, look_up)
    if unit is None and not power and (match := _TRAILING_POWER.fullmatch(name)):
        # "cm3" is how most data sheets are typed.
        unit, exponent = _single(match[1], look_up), float(match[2])
    if unit is None:
        raise UnreadableError(did_you_mean(name, SPELLINGS) or f"the unit {name} is unknown")
    return unit**exponent


def _single(name: str, look_up: Callable[[str], Unit | None]) -> Unit | None:
    if name in REFUSED:
        raise UnreadableError(REFUSED[name])
    spelling = SPELLINGS.get(name)
    return spelling.unit if spelling is not None else look_up(name)
