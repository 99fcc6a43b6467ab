"""Builds with their figures and findings: every rule asked again over them as rows."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.metering import error_parts
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.workshop.figures import FIGURES
from configurator.workshop.told import RankedBuild


def described(
    subject: Subject,
    among: Frame,
    rows: np.ndarray[tuple[int, int], np.dtype[np.intp]],
    *,
    first_rank: int = 1,
) -> tuple[RankedBuild, ...]:
    """Figures and findings of builds.

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
