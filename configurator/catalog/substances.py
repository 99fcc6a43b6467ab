"""Chemistry records: constituents, wetted materials and verdicts between them.

A record only holds what is known and from where. Judging a build with it is the
business of `configurator.chemistry`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, StringConstraints, model_validator

from configurator.catalog.parts import Code, Name, Note, Title
from configurator.units import fields
from configurator.units.cell import (
    cas_fits,
    cas_numbers,
    ec_fits,
    ec_numbers,
    is_registry_number,
    is_secret,
)


def _registered(number: str) -> str:
    if is_registry_number(number) and not (cas_fits(number) or ec_fits(number)):
        raise ValueError("the check digit of the number does not fit")
    return number


CasNumber = Annotated[
    str,
    StringConstraints(pattern=r"^[1-9][0-9]{1,6}-[0-9]{2}-[0-9]$"),
    AfterValidator(_registered),
]
EcNumber = Annotated[
    str, StringConstraints(pattern=r"^[1-9][0-9]{2}-[0-9]{3}-[0-9]$"), AfterValidator(_registered)
]
Synonym = Annotated[str, AfterValidator(_registered)]
Tag = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9 -]{1,39}$")]
BasisWord = Literal["measured", "published", "datasheet", "common practice", "from memory"]
Confidence = Literal["high", "medium", "low"]
Grade = Literal["satisfactory", "limited", "not satisfactory"]


class Hansen(fields.Frozen):
    """Hansen solubility parameters, and the sphere radius for a polymer."""

    dispersion: fields.SolubilityParameter
    polar: fields.SolubilityParameter
    hydrogen: fields.SolubilityParameter
    radius: fields.SolubilityParameter | None = None
    radius_uncertainty: fields.Fraction | None = None
    source: Note


class Constituent(fields.Frozen):
    """A substance in a material, or a family of them that behaves alike."""

    name: Name
    title: Title
    kind: Literal["substance", "class", "undisclosed"] = "substance"
    """A class is what a word such as "ester" names; undisclosed is what its maker keeps secret."""
    cas: CasNumber | None = None
    ec: EcNumber | None = None
    synonyms: tuple[Synonym, ...] = ()
    """Other names and registry numbers."""
    tags: tuple[Tag, ...] = ()
    """Chemical classes that reaction rules look for, as `primary amine` or `ketone`."""
    hazards: tuple[Tag, ...] = ()
    """Hazard topics that trigger cautions, as `isocyanate` or `flammable`."""
    counts_from: fields.Fraction
    """Mass fraction from which the substance is judged."""
    density: fields.Density | None = None
    """For the volume share in a blend; left out, it counts as that of water."""
    mohs: fields.HardnessMohs | None = None
    """Usual hardness of a solid: what has one counts as a filler."""
    flash_point: fields.Temperature | None = None
    flash_source: Note = ""
    hansen: Hansen | None = None
    like: Name | None = None
    """Another constituent whose verdicts stand in where this one has none."""
    note: Note = ""


class WettedMaterial(fields.Frozen):
    """A material that the dispensed substance touches."""

    code: Code
    title: Title
    family: Literal["elastomer", "plastic", "metal", "ceramic", "coating"]
    standard: str = ""
    """The standard that defines the code, where one does."""
    tags: tuple[Tag, ...] = ()
    """What reaction rules look for, as `aluminium`, `iron`, `vdf`, `nitrile`, `permeable`."""
    temperature_low: fields.Temperature
    temperature_high: fields.Temperature
    expansion: fields.Expansion | None = None
    hansen: Hansen | None = None
    like: Code | None = None
    note: Note = ""


class VerdictGroup(fields.Frozen):
    """How wetted materials stand one constituent, by one source.

    A grade holds up to `temperature_to`. Above it nothing is claimed, but a bad grade stays:
    heat never makes a contact better. A group with `temperature_from` was seen at that
    temperature and says nothing of cooler contact, so it may only hold bad grades.
    """

    constituent: Name
    basis: BasisWord
    source: Note
    confidence: Confidence
    temperature_to: fields.Temperature | None = None
    temperature_from: fields.Temperature | None = None
    fraction_from: fields.Fraction | None = None
    fraction_to: fields.Fraction | None = None
    swelling: fields.Fraction | None = None
    """Volume change that was seen, where one is stated."""
    satisfactory: tuple[Code, ...] = ()
    limited: tuple[Code, ...] = ()
    not_satisfactory: tuple[Code, ...] = ()
    note: Note = ""

    @model_validator(mode="after")
    def _one_grade_for_each_code(self) -> Self:
        codes = (*self.satisfactory, *self.limited, *self.not_satisfactory)
        if not codes:
            raise ValueError("a verdict names at least one wetted material")
        if len(set(codes)) != len(codes):
            raise ValueError("a wetted material has one grade in a group of verdicts")
        if self.temperature_from is not None and (self.satisfactory or self.limited):
            raise ValueError("temperature_from goes with not_satisfactory only")
        return self


class SwellRow(fields.Frozen):
    """How far one constituent swells one elastomer."""

    constituent: Name
    code: Code
    change: fields.RelativeChange
    """Change of volume, with its range; shrinking is negative."""
    hardness_change: str = ""
    """In points Shore A, where the source states it."""


class SwellGroup(fields.Frozen):
    """Changes of volume by one source: numbers, and no grades; what they mean hangs on the place."""

    basis: Literal["measured", "published", "calculated"]
    source: Note
    seen: Literal["whole", "excerpt", "abstract"]
    """How much of the source was looked at."""
    temperature: fields.Temperature
    hours: Annotated[str, StringConstraints(max_length=40)] = ""
    """How long, in words of the source; empty at equilibrium."""
    liquid: Note = ""
    """The test liquid, where it is not the constituent itself."""
    confidence: Confidence
    note: Note = ""
    rows: tuple[SwellRow, ...]


class SubstanceFile(fields.Frozen):
    """One file of `catalogs/substances`."""

    schema_version: fields.SchemaVersion
    title: Title
    note: Note = ""
    constituent: tuple[Constituent, ...] = ()
    wetted: tuple[WettedMaterial, ...] = ()
    verdicts: tuple[VerdictGroup, ...] = ()
    swell: tuple[SwellGroup, ...] = ()


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
