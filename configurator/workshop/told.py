"""What an answer tells: one part of a slot, one build, one rule that cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from configurator.catalog.parts import Part
from configurator.rules.finding import Finding, State


@dataclass(frozen=True)
class Choice:
    """One part of one slot under the picks."""

    part: Part
    """The part."""
    state: State
    """Best state of any build that holds it."""
    builds: int
    """Builds left if it were picked."""
    picked: bool
    """True if the request fixes it."""
    reasons: tuple[Finding, ...]
    """Where it is ruled out by itself: the findings that do so."""
    blocked: tuple[str, ...]
    """Where only its partners rule it out: names that together leave no build."""


@dataclass(frozen=True)
class RankedBuild:
    """One valid build."""

    rank: int
    """From 1 for the best."""
    parts: Mapping[str, Part]
    """One part a slot."""
    state: State
    """Worst of its findings."""
    figures: Mapping[str, float | None]
    """By name, the unit in the name; None where it does not apply."""
    findings: tuple[Finding, ...]
    """One a rule, in the order of the rulebook."""
    error_budget: Mapping[str, float | None]
    """Share of the volume that each part of the volume error makes, by name; `a: ` or `b: ` before
    it names the side."""

    @property
    def dominant_error(self) -> str | None:
        """The part of the volume error that weighs most, or None if none is known."""
        known = {name: share for name, share in self.error_budget.items() if share is not None}
        return max(known, key=lambda name: known[name], default=None)

    @property
    def tightest(self) -> Finding | None:
        """The finding with the least margin, or None if none has one."""
        measured = [finding for finding in self.findings if finding.margin is not None]
        return min(measured, key=lambda finding: finding.margin or 0.0, default=None)
