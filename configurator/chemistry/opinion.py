"""What one source says of one constituent on one wetted material: its grade, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from configurator.catalog.substances import Confidence
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
