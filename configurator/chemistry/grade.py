"""Grades of a contact, their order, and how sure a verdict is."""

from __future__ import annotations

from typing import Literal

from configurator.catalog.substances import Confidence

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
