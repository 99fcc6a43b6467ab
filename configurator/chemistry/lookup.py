"""What one source says of a constituent on a wetted material, and verdicts by pair.

The verdicts are found once for a set of substances and kept as long as it lives.
"""

from __future__ import annotations

import weakref
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Confidence, Grade, SwellGroup, SwellRow, VerdictGroup
from configurator.chemistry.reaction import ReactionRule
from configurator.chemistry.reactions import REACTION_RULES
from configurator.units.interval import Basis

ContactGrade = Literal["satisfactory", "limited", "unknown", "not satisfactory"]

GRADE_ORDER: tuple[ContactGrade, ...] = (
    "satisfactory",
    "limited",
    "unknown",
    "not satisfactory",
)
"""From best to worst. Unknown is worse than limited and never rules a part out by itself."""

_GRADE_RANK = {grade: rank for rank, grade in enumerate(GRADE_ORDER)}

CONFIDENCES: tuple[Confidence, ...] = ("high", "medium", "low")
"""From surest to least sure."""

_CONFIDENCE_RANK = {confidence: rank for rank, confidence in enumerate(CONFIDENCES)}

Kind = Literal[
    "measured",
    "verdict",
    "stand-in",
    "inert pair",
    "reaction",
    "screen",
    "chart alone",
    "no record",
]


def grade_rank(grade: ContactGrade) -> int:
    """Place of a grade in the order, 0 for the best."""
    return _GRADE_RANK[grade]


def confidence_rank(confidence: Confidence) -> int:
    """Place of a confidence in the order, 0 for the surest."""
    return _CONFIDENCE_RANK[confidence]


def less_sure(confidence: Confidence) -> Confidence:
    """Return the next lower confidence: what a stand-in is worth.

    Examples
    --------
    >>> less_sure("high"), less_sure("low")
    ('medium', 'low')
    """
    return CONFIDENCES[min(confidence_rank(confidence) + 1, len(CONFIDENCES) - 1)]


@dataclass(frozen=True, slots=True)
class Opinion:
    """One voice in the judgement of a contact."""

    constituent: str
    """Title of the constituent, or the text as typed where the tables lack it."""
    material: str
    """Code of the wetted material."""
    grade: ContactGrade
    kind: Kind
    """Where it comes from: a measurement of the shop, a verdict of the tables, a stand-in, an inert
    pair, a reaction rule, the swelling screen, a chart that nothing else bears out where it takes
    two, or the lack of any record."""
    basis: Basis
    source: str
    confidence: Confidence
    holds: bool = True
    """True if it was stated for the temperature asked. A bad grade stays in force above its
    temperature, a good one does not prove anything there."""
    used: bool = True
    """False if a measurement of the shop replaces it, or it was measured hotter than asked."""
    hazard: bool = False
    """True if it guards people or the cure, so that no soak test overrules it."""
    note: str = ""
    """A remark of the source, the rule's reason, or the nearest names."""
    swelling: float | None = None
    """Volume change that was seen. [-]"""

    def sort_key(self) -> tuple[str, int, int, int, str, str, str]:
        """Return a total order that does not depend on how the constituents were listed."""
        return (
            self.constituent,
            -grade_rank(self.grade),
            self.basis.rank,
            confidence_rank(self.confidence),
            self.kind,
            self.source,
            self.note,
        )


LONGEST_CHAIN = 4
"""Most stand-ins in a row: a chain of kinship soon means nothing."""


@dataclass(frozen=True, slots=True)
class GradedRecord:
    """One grade for one pair, by one source.

    Temperatures in K, fractions as shares; infinite bounds where the source states none.
    """

    group: VerdictGroup
    grade: Grade
    temperature_to: float
    temperature_from: float
    fraction_from: float
    fraction_to: float

    def covers_fraction(self, low: float | None, high: float | None) -> bool:
        """Whether any of the stated fractions lies within the record's band."""
        if low is None or high is None:
            return True
        return low <= self.fraction_to and high >= self.fraction_from

    def below_fraction(self, low: float | None) -> bool:
        """Whether the record was made at less than is stated, so that a bad grade stays."""
        return low is not None and self.fraction_from == 0.0 and low > self.fraction_to


@dataclass(frozen=True, slots=True)
class SwellRecord:
    """One change of volume of one pair, by one source."""

    group: SwellGroup
    row: SwellRow


@dataclass(frozen=True, slots=True)
class Lookup:
    """Records by pair, and how names are spelt."""

    records: Mapping[tuple[str, str], tuple[GradedRecord, ...]]
    """Records by (constituent name, material code)."""
    swell: Mapping[tuple[str, str], tuple[SwellRecord, ...]]
    """Changes of volume by the same pair."""
    spellings: Mapping[str, str]
    """Every name, title, synonym and CAS number in lower case, to the constituent's name."""
    code_chain: Mapping[str, tuple[str, ...]]
    name_chain: Mapping[str, tuple[str, ...]]
    """A code or name with those it may borrow from, nearest first."""
    name_tags: Mapping[str, frozenset[str]]
    """Chemical classes of each constituent."""
    rules: Mapping[str, tuple[ReactionRule, ...]]
    """The reaction rules that can concern each code."""
    meant: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Nearest titles of misspelt names, kept once they were looked for: that takes its time."""


_KEPT: dict[int, Lookup] = {}


def lookup_of(substances: Substances) -> Lookup:
    """Return the lookup of these substances, built at the first call."""
    key = id(substances)
    found = _KEPT.get(key)
    if found is None:
        found = _built(substances)
        _KEPT[key] = found
        # An id may be used again once its owner is gone, so the entry goes with it.
        weakref.finalize(substances, _KEPT.pop, key, None)
    return found


def _built(substances: Substances) -> Lookup:
    records: dict[tuple[str, str], list[GradedRecord]] = {}
    for group in substances.verdicts:
        graded: tuple[tuple[Grade, tuple[str, ...]], ...] = (
            ("satisfactory", group.satisfactory),
            ("limited", group.limited),
            ("not satisfactory", group.not_satisfactory),
        )
        for grade, codes in graded:
            if not codes:
                continue
            record = _record(group, grade)
            for code in codes:
                records.setdefault((group.constituent, code), []).append(record)
    swell: dict[tuple[str, str], list[SwellRecord]] = {}
    for source in substances.swell:
        for row in source.rows:
            swell.setdefault((row.constituent, row.code), []).append(SwellRecord(source, row))
    return Lookup(
        swell={pair: tuple(found) for pair, found in swell.items()},
        records={pair: tuple(found) for pair, found in records.items()},
        spellings=substances.by_spelling,
        code_chain=_chains({code: entry.like for code, entry in substances.wetted.items()}),
        name_chain=_chains({name: entry.like for name, entry in substances.constituents.items()}),
        name_tags={name: frozenset(entry.tags) for name, entry in substances.constituents.items()},
        rules={
            code: tuple(rule for rule in REACTION_RULES if not rule.material.isdisjoint(entry.tags))
            for code, entry in substances.wetted.items()
        },
    )


def _record(group: VerdictGroup, grade: Grade) -> GradedRecord:
    return GradedRecord(
        group=group,
        grade=grade,
        temperature_to=float("inf") if group.temperature_to is None else group.temperature_to.low,
        temperature_from=0.0 if group.temperature_from is None else group.temperature_from.low,
        fraction_from=0.0 if group.fraction_from is None else group.fraction_from.low,
        fraction_to=1.0 if group.fraction_to is None else group.fraction_to.high,
    )


def _chains(like: Mapping[str, str | None]) -> dict[str, tuple[str, ...]]:
    """Each name with its stand-ins; a loop of stand-ins ends where it began."""
    chains = {}
    for start in like:
        chain = [start]
        while len(chain) < LONGEST_CHAIN and (following := like.get(chain[-1])) is not None:
            if following in chain:
                break
            chain.append(following)
        chains[start] = tuple(chain)
    return chains
