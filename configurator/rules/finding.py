"""What a rule says of one build: a state, the numbers behind it, and a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from configurator.units.interval import Basis


class State(IntEnum):
    """The four words, from best to worst; a build's state is the worst of its findings."""

    FITS = 0
    MARGINAL = 1
    UNPROVEN = 2
    RULED_OUT = 3

    @property
    def words(self) -> str:
        """The state as people read it."""
        return ("fits", "marginal", "unproven", "ruled out")[self]


LISTED = (State.FITS, State.MARGINAL, State.UNPROVEN)
"""States of builds that a list shows."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied to one build."""

    rule: str
    """The rule's name in plain words; `a: ` or `b: ` before it names the side."""
    state: State
    """fits, marginal, unproven or ruled out."""
    demand: float | str | None
    limit: float | str | None
    """What the duty asks and what the build stands, in `unit` (SI); words for a verdict, None when
    unknown."""
    unit: str
    """SI unit of demand and limit; `verdict` for words, empty for bare numbers."""
    at_least: bool
    """True if the limit is a floor, so that the demand must reach it."""
    margin: float | None
    """Share of the limit that is left; negative when the limit is passed."""
    corner: str
    """Which end of which range decided."""
    basis: Basis
    """What the weakest input rests on."""
    reason: str
    settle_with: str = ""
    """The test that would settle a verdict in words; empty where none is open."""
    short: int = 0
    strained: int = 0
    """Steps away from the middle of the window that the rule bounds."""
