"""Which constituent a name or number of a safety data sheet means.

Registry numbers decide first, and never by likeness. A name is compared by its letters and
digits, with the endings in which English and German differ taken off. What stands in brackets or
behind a name is left out only where it cannot mean another substance.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from configurator.catalog.substances import Constituent
from configurator.units.sheet_row import cas_numbers, ec_numbers, is_registry_number, is_secret

_LETTERS = str.maketrans(
    {
        "\N{LATIN SMALL LETTER A WITH DIAERESIS}": "ae",
        "\N{LATIN SMALL LETTER O WITH DIAERESIS}": "oe",
        "\N{LATIN SMALL LETTER U WITH DIAERESIS}": "ue",
        "\N{GREEK SMALL LETTER ALPHA}": "alpha",
        "\N{GREEK SMALL LETTER BETA}": "beta",
        "\N{GREEK SMALL LETTER GAMMA}": "gamma",
    }
)
_SPELLINGS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"saeure\b"), "ic acid"),
    (re.compile(r"aluminum"), "aluminium"),
    (re.compile(r"sulph"), "sulf"),
    (re.compile(r"silikat"), "silicat"),
    (re.compile(r"aeth"), "eth"),
    (re.compile(r"chlorhydrin"), "chlorohydrin"),
    (re.compile(r"oxi"), "oxy"),
    (re.compile(r"(an|en|on)e(?=di|tri)"), r"\1"),
    (re.compile(r"(?<=[a-z]{2})(at|yd|id|an|en|in|(?<!silic)on|ol|am|yl|it)e\b"), r"\1"),
)
"""Spellings of one word in English and German, or of old and new; both sides are folded alike."""

_BRACKET = re.compile(r"^(.*\S)\s*[(\[]([^()\[\]]*)[)\]]\s*$", re.DOTALL)
_HARMLESS = re.compile(
    r"[0-9.,<>=%\s-]*|.*[0-9] ?%.*|.*\bisomers?\b.*|.*isomeren.*|techn.*|stabili[sz]ed|inhibited"
    r"|anhydrous|solution|aqueous|in powder form.*|.*respirable.*|petroleum|(?:cas|ec)\b.*",
    re.IGNORECASE | re.DOTALL,
)
_ABBREVIATION = re.compile(r"(?!(?:I{1,3}|IV|VI{0,2})$)(?=.*[A-Z])[A-Za-z0-9'/-]{2,10}")
_STRENGTH = re.compile(r"[\s,]+(?:\.\.\.|\N{HORIZONTAL ELLIPSIS}|[0-9][0-9.,]*)\s*%.*$", re.DOTALL)
_BEHIND = re.compile(
    r"[\s,]+(?:aqueous solution|w(?:ae|\N{LATIN SMALL LETTER A WITH DIAERESIS})ssrige l.*sung"
    r"|solution|l.{1,2}sung|tech\w*\.?( grade)?|stabili[sz]ed|inhibited|mixed isomers"
    r"|isomerengemisch|isomers)$",
    re.IGNORECASE,
)


def folded(spelling: str) -> str:
    """Return a name by its letters and digits, in one spelling of English and German.

    Examples
    --------
    >>> folded("Isophorondiamin") == folded("isophorone diamine")
    True
    >>> folded("Silicon") == folded("silicone")
    False
    """
    return _all_folded([spelling])[0]


def _all_folded(spellings: Iterable[str]) -> list[str]:
    """As `folded` of each; they are searched as the lines of one text, which is quicker by far."""
    lines = "\n".join(each.replace("\n", " ") for each in spellings)
    text = lines.casefold().translate(_LETTERS)
    for pattern, written in _SPELLINGS:
        text = pattern.sub(written, text)
    return ["".join(filter(str.isalnum, line)) for line in text.split("\n")]


class Names:
    """Names and numbers of constituents, each to the constituent that it means."""

    def __init__(self, constituents: Mapping[str, Constituent]) -> None:
        self._numbers: dict[str, str] = {}
        self._names: dict[str, str] = {}
        self._found: dict[tuple[str, str], Constituent | None] = {}
        self._constituents = constituents
        self.clashes: list[tuple[str, str, str]] = []
        """Spellings that two constituents claim, with both names."""
        claims = [(each, name) for name, held in constituents.items() for each in _spellings(held)]
        for (spelling, name), key in zip(claims, _all_folded(s for s, _ in claims), strict=True):
            number = is_registry_number(spelling)
            known = self._numbers if number else self._names
            held = known.setdefault(spelling if number else key, name)
            if held != name:
                self.clashes.append((spelling, held, name))
        self._secret = next(
            (entry for entry in constituents.values() if entry.kind == "undisclosed"), None
        )

    def find(self, text: str, numbers: str = "") -> Constituent | None:
        """Return the constituent that a name and its registry numbers mean, or None."""
        key = (text, numbers)
        if key not in self._found:
            self._found[key] = self._identified(text, numbers)
        return self._found[key]

    def _identified(self, text: str, numbers: str) -> Constituent | None:
        both = f"{numbers} {text}"
        for written in (cas_numbers(both), ec_numbers(both)):
            if meant := {self._numbers[each] for each in written if each in self._numbers}:
                return self._constituents[meant.pop()] if len(meant) == 1 else None
        for number in (*cas_numbers(text), *ec_numbers(text)):
            text = text.replace(number, "").strip(" ,;")
        found = next(filter(None, map(self._named, _shortened(text, self._names))), None)
        # A word that says nothing of the chemistry does not lift the secret.
        says_nothing = found is None or (found.kind == "class" and not found.tags)
        return self._secret if says_nothing and is_secret(both) else found

    def _named(self, text: str) -> Constituent | None:
        """Return what a name means, or each of several names that stand for one substance."""
        name = self._names.get(folded(text))
        if name is None:
            meant = {self._names.get(folded(part)) for part in text.split(";") if part.strip()}
            # Two names that differ mean neither, and a salt is written with a semicolon as well.
            name = meant.pop() if len(meant) == 1 else None
        return None if name is None else self._constituents[name]


def _spellings(constituent: Constituent) -> Iterator[str]:
    given = (constituent.name, constituent.title, *constituent.synonyms)
    yield from dict.fromkeys(
        spelling for spelling in (*given, constituent.cas, constituent.ec) if spelling
    )


def _shortened(text: str, names: Mapping[str, str]) -> Iterator[str]:
    """Yield a name, then the same without what stands behind it and means nothing else."""
    while True:
        yield text
        bracket = _BRACKET.match(text)
        if bracket is None:
            shorter = _BEHIND.sub("", _STRENGTH.sub("", text))
        else:
            shorter = bracket[1] if _means_nothing_else(bracket[1], bracket[2], names) else text
        if shorter == text:
            return
        text = shorter


def _means_nothing_else(before: str, inside: str, names: Mapping[str, str]) -> bool:
    if _HARMLESS.fullmatch(inside) or is_secret(inside):
        return True
    other, meant = names.get(folded(inside)), names.get(folded(before))
    if other is not None:
        return other == meant
    return _ABBREVIATION.fullmatch(inside) is not None
