"""What rules of chemistry are made of: classes that harm one another, and pairs that are inert."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from configurator.catalog.substances import Confidence, Grade
from configurator.units.interval import Basis

ROOM = 0.0
"""A rule that needs no heat."""


@dataclass(frozen=True, slots=True)
class ReactionRule:
    """A constituent class that harms a class of wetted materials."""

    name: str
    grade: Grade
    """What the contact is at best where the rule applies."""
    constituent: frozenset[str]
    """Any of these tags on the constituent triggers the rule."""
    material: frozenset[str]
    """Any of these tags on the wetted material triggers the rule."""
    reason: str
    """Why, as half a sentence."""
    basis: Basis = Basis.FROM_MEMORY
    source: str = "common chemistry"
    confidence: Confidence = "medium"
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
    celsius: float = ROOM - 273.15,
    with_all: str = "",
    without: str = "",
    **rest: Any,
) -> ReactionRule:
    """Return a rule whose tags are written as text with commas, its temperature in degC."""
    return ReactionRule(
        name,
        grade,
        tags_in(constituent),
        tags_in(material),
        reason,
        temperature_from=celsius + 273.15,
        with_all=tags_in(with_all),
        without=tags_in(without),
        **rest,
    )


def tags_in(text: str) -> frozenset[str]:
    """Return the tags that stand in a text, with commas between."""
    return frozenset(tag.strip() for tag in text.split(",") if tag.strip())


@dataclass(frozen=True, slots=True)
class InertPair:
    """A class of constituents that leaves a class of wetted materials alone."""

    name: str
    constituent: str
    """Tag on the constituent."""
    material: str
    """Tag on the wetted material; empty for any."""
    temperature_to: float
    """Highest temperature at which it holds. [K]"""
    confidence: Confidence
    reason: str
    """Why, as half a sentence."""


INERT_PAIRS: tuple[InertPair, ...] = (
    InertPair(
        name="solid or dissolved polymer",
        constituent="inert solid",
        material="",
        temperature_to=float("inf"),
        confidence="high",
        reason="it does not enter a part: the liquid around it decides, and hardness elsewhere",
    ),
    InertPair(
        name="clean metal or ceramic in a neutral organic liquid",
        constituent="neutral organic",
        material="inert to organics",
        temperature_to=393.15,
        confidence="high",
        reason="a dry, neutral organic liquid neither corrodes nor enters it",
    ),
)
"""Common practice, no source. Verdicts and reaction rules stand beside them: the worse counts.

A perfluorocarbon rubber in hydrocarbons is no such pair: its charts grade still seals, the solubility
parameters lie 2 to 3 MPa^0.5 apart (from memory), which forbids no swelling, and no number was seen that
shows less than the 3 % of a stator. So it stays marginal there until it was soaked."""


def inert_pair(
    constituent_tags: frozenset[str], material_tags: tuple[str, ...]
) -> InertPair | None:
    """Return the pair that two classes make, or None."""
    for pair in INERT_PAIRS:
        if pair.constituent in constituent_tags and (
            not pair.material or pair.material in material_tags
        ):
            return pair
    return None
