"""What an answer tells: one part of a slot, and builds with their figures and findings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from configurator.catalog.parts import Part
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.error_budget import error_parts, error_slots, part_basis, rounded
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.rule import Build
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.side import Side
from configurator.rules.subject import Subject
from configurator.units.display import figures
from configurator.units.interval import Basis
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


class ErrorShare(NamedTuple):
    """What one part makes of the volume error, as a share of the volume; None where unknown."""

    before: float | None
    """Before the head is weighed."""
    weighed: float | None
    """Once it is set on the scale."""
    basis: Basis
    """What that rests on."""


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
    error_budget: Mapping[str, ErrorShare]
    """Each part of the volume error, by name; `a: ` or `b: ` before it names the side."""

    def leading_error(self, *, weighed: bool) -> str:
        """The part of the volume error that weighs most; one that nobody knows may be any."""
        shares = {
            name: part.weighed if weighed else part.before
            for name, part in self.error_budget.items()
        }
        return max(shares, key=lambda name: math.inf if shares[name] is None else shares[name] or 0)

    @property
    def error_words(self) -> tuple[str, str]:
        """The volume error before and after weighing, each with its leading part."""
        before, weighed = (
            self._error(
                "before weighing", "volume_error_unweighed_pct", self.leading_error(weighed=False)
            ),
            self._error("once weighed", "volume_error_pct", self.leading_error(weighed=True)),
        )
        return before, weighed

    def _error(self, when: str, figure: str, leading: str) -> str:
        whole, part = self.figures[figure], self.error_budget[leading]
        basis = part.basis.value
        if whole is None:
            return f"{when} unknown, as nobody knows the {leading}"
        return f"{when} {figures(whole)} %, most of it {leading} ({basis})"

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
    known = {
        figure.name: np.broadcast_to(figure.read(case), (len(rows),))
        for figure in FIGURES
        if figure.read is not None
    }
    budget = _Budget(case)
    told: dict[tuple[str, ...], Finding] = {}  # builds share most of the parts that a rule reads
    builds = []
    for row, places in enumerate(rows):
        parts = {
            slot: frame.parts[slot][place] for slot, place in zip(frame.slots, places, strict=True)
        }
        findings = []
        for rule in applied:
            key = (rule.title, *(parts[slot].name for slot in rule.scope))
            if key not in told:
                told[key] = rule.finding(row, parts)
            findings.append(told[key])
        builds.append(
            RankedBuild(
                rank=first_rank + row,
                parts=parts,
                state=max((finding.state for finding in findings), default=State.FITS),
                figures={**_of_findings(findings), **_known_at(known, row), **_OF_LISTS},
                findings=tuple(findings),
                error_budget=budget.of(parts, row),
            )
        )
    return tuple(builds)


_OF_LISTS: dict[str, float | None] = {
    figure.name: None for figure in FIGURES if figure.read is None and figure.of_finding is None
}
"""Figures that are worked out only where a list is about them: what is unknown in one build may be
unknown in all of them."""


class _Budget:
    """The parts of the volume error of builds that stand as rows."""

    def __init__(self, case: Case) -> None:
        self._case = case
        self._parts = [
            (side, name, rounded(part.before, case), rounded(part.weighed.hard, case))
            for side in case.sides
            for name, part in error_parts(case, side).items()
        ]
        self._bases: dict[tuple[str, ...], Basis] = {}

    def of(self, build: Build, row: int) -> dict[str, ErrorShare]:
        """Those of one row."""
        return {
            f"{side.prefix[:-1]}: {name}" if side.prefix else name: ErrorShare(
                _known(before, row), _known(weighed, row), self._basis(name, side, build)
            )
            for side, name, before, weighed in self._parts
        }

    def _basis(self, name: str, side: Side, build: Build) -> Basis:
        """Builds of a page share most of their parts, and looking figures up is dear."""
        slots = error_slots(name)
        key = (side.prefix, name, *(build[side.slot(slot)].name for slot in slots))
        if key not in self._bases:
            self._bases[key] = part_basis(name, self._case, side, build)
        return self._bases[key]


def _known(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]], row: int) -> float | None:
    """The value of a row; one that no part moves is the same on every row."""
    flat = np.asarray(values).reshape(-1)
    value = float(flat[row if flat.size > 1 else 0])
    return value if math.isfinite(value) else None


def _of_findings(findings: Sequence[Finding]) -> dict[str, float | None]:
    """Figures that are sums over the findings."""
    return {
        figure.name: float(sum(map(figure.of_finding, findings)))
        for figure in FIGURES
        if figure.of_finding is not None
    }


def _known_at(
    columns: Mapping[str, np.ndarray[tuple[int], np.dtype[np.float64]]], row: int
) -> dict[str, float | None]:
    """One row of named columns; None where a value is unknown or without end."""
    return {name: _known(values, row) for name, values in columns.items()}
