"""Chemistry records: constituents, wetted materials and verdicts between them.

A record only holds what is known and from where. Judging a build with it is the
business of `configurator.chemistry`.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, StringConstraints, model_validator

from configurator.catalog.parts import Code, Name, Note, Title
from configurator.units import fields
from configurator.units.sheet_row import cas_fits, ec_fits, is_registry_number


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
