"""What a reaction rule is: a class of constituents that harms a class of wetted materials."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.catalog.substances import Confidence, Grade
from configurator.units.interval import Basis

ROOM = 0.0
"""A rule that needs no heat."""


@dataclass(frozen=True, slots=True)
class ReactionRule:
    """A constituent class that harms a class of wetted materials."""

    name: str
    """The rule in plain words."""
    grade: Grade
    """What the contact is at best where the rule applies."""
    constituent: frozenset[str]
    """Any of these tags on the constituent triggers the rule."""
    material: frozenset[str]
    """Any of these tags on the wetted material triggers the rule."""
    reason: str
    """Why, as half a sentence."""
    basis: Basis = Basis.FROM_MEMORY
    """What the rule rests on."""
    source: str = "common chemistry"
    """Where it was seen."""
    confidence: Confidence = "medium"
    """How sure it is."""
    temperature_from: float = ROOM
    """Lowest temperature at which it applies. [K]"""
    with_all: frozenset[str] = frozenset()
    """Further tags that the constituent must all carry."""
    without: frozenset[str] = frozenset()
    """Tags that keep the rule off."""
    hazard: bool = False
    """True if it guards people or the cure and not only the part: then no soak test of the shop
    overrules it."""

    def applies(
        self,
        *,
        constituent_tags: frozenset[str],
        material_tags: frozenset[str],
        temperature: float,
    ) -> bool:
        """Whether a pair of these chemical classes meets the rule up to a temperature [K]."""
        return (
            temperature >= self.temperature_from
            and not self.material.isdisjoint(material_tags)
            and not self.constituent.isdisjoint(constituent_tags)
            and self.with_all <= constituent_tags
            and self.without.isdisjoint(constituent_tags)
        )


def rule(
    name: str,
    grade: Grade,
    constituent: str,
    material: str,
    reason: str,
    *,
    basis: Basis = Basis.FROM_MEMORY,
    source: str = "common chemistry",
    confidence: Confidence = "medium",
    celsius: float | None = None,
    with_all: str = "",
    without: str = "",
    hazard: bool = False,
) -> ReactionRule:
    """Return a rule whose tags are written as text with commas, its temperature in degC."""
    return ReactionRule(
        name=name,
        grade=grade,
        constituent=tags_in(constituent),
        material=tags_in(material),
        reason=reason,
        basis=basis,
        source=source,
        confidence=confidence,
        temperature_from=ROOM if celsius is None else celsius + 273.15,
        with_all=tags_in(with_all),
        without=tags_in(without),
        hazard=hazard,
    )


def tags_in(text: str) -> frozenset[str]:
    """Return the tags that stand in a text, with commas between."""
    return frozenset(tag.strip() for tag in text.split(",") if tag.strip())
