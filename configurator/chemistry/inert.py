"""Pairs that are satisfactory by their nature, so that no table needs to list them."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.catalog.substances import Confidence


@dataclass(frozen=True, slots=True)
class InertPair:
    """A class of constituents that leaves a class of wetted materials alone."""

    name: str
    """The pair in plain words."""
    constituent: str
    """Tag on the constituent."""
    material: str
    """Tag on the wetted material; empty for any."""
    temperature_to: float
    """Highest temperature at which it holds. [K]"""
    confidence: Confidence
    """How sure it is."""
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
"""Common practice, no source. Verdicts and reaction rules stand beside them: the worse counts."""


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
