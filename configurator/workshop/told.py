"""What an answer tells: one part of a slot, and builds with their figures and findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Part
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.metering import error_parts
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.workshop.figures import FIGURES


@dataclass(frozen=True)
class Choice:
    """One part of one slot under the picks."""

    part: Part
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


def described(
    subject: Subject,
    among: Frame,
    rows: np.ndarray[tuple[int, int], np.dtype[np.intp]],
    *,
    first_rank: int = 1,
) -> tuple[RankedBuild, ...]:
    """Figures and findings of builds: every rule asked again over them as rows.

    Parameters
    ----------
    subject : Subject
        The question worked out.
    among : Frame
        Grid over the parts that the builds are made of.
    rows : ndarray of int
        Shape (builds, slots): places among these parts.
    first_rank : int
        Rank of the first row.
    """
    frame = among.with_rows(rows)
    case = Case(subject, frame)
    applied = apply_rules(case, RULEBOOK)
    figures = {figure.name: np.broadcast_to(figure.read(case), (len(rows),)) for figure in FIGURES}
    budget = {
        f"{side.prefix[:-1]}: {name}" if side.prefix else name: np.broadcast_to(
            part.hard, (len(rows),)
        )
        for side in case.sides
        for name, part in error_parts(case, side).items()
    }
    builds = []
    for row, places in enumerate(rows):
        parts = {
            slot: frame.parts[slot][place] for slot, place in zip(frame.slots, places, strict=True)
        }
        findings = tuple(rule.finding(row, parts) for rule in applied)
        builds.append(
            RankedBuild(
                rank=first_rank + row,
                parts=parts,
                state=max((finding.state for finding in findings), default=State.FITS),
                figures=_known_at(figures, row),
                findings=findings,
                error_budget=_known_at(budget, row),
            )
        )
    return tuple(builds)


def _known_at(
    columns: Mapping[str, np.ndarray[tuple[int], np.dtype[np.float64]]], row: int
) -> dict[str, float | None]:
    """One row of named columns; None where a value is unknown or without end."""
    return {
        name: float(values[row]) if np.isfinite(values[row]) else None
        for name, values in columns.items()
    }
