"""What has changed between a row of an earlier screening and the same row now, and why.

A row states digests of all that it rests on. What differs between two rows differs for a reason
that one of these digests shows; where several differ, all are named, as they may act together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from configurator.errors import shown
from configurator.screen.tally import STATES
from configurator.screen.verdict import NOT_READ
from configurator.screen.writers import LONGEST_CELL

Kind = Literal["better", "worse", "changed", "new", "gone", "same"]

KINDS: tuple[Kind, ...] = ("better", "worse", "changed", "new", "gone", "same")
"""What may have become of a row, in the order in which a summary tells it."""

CAUSES: Mapping[str, str] = {
    "catalog_sha256": "catalog",
    "material_sha256": "material",
    "process_sha256": "process",
    "evidence_sha256": "evidence",
    "rules_sha256": "rules",
    "tool_version": "tool version",
}
"""Columns that say what a row rests on, each with its name in words."""

OUTCOMES = (
    "state",
    "builds",
    "fits",
    "marginal",
    "unproven",
    "best_build",
    "tightest_margin",
    "tightest_rule",
    "reason",
    "measure_first",
    "fault",
)
"""Columns that say what came of a row."""

TOLD = ("state", "builds", "fits", "marginal", "unproven", "best_build", "reason", "fault")
"""Outcomes that a change shows as they were and as they are."""

UNEXPLAINED = "nothing that the rows state"
"""Same inputs, other outcome: the tool was changed without another version, or a file edited."""

ROW_NEW, ROW_GONE = "row not in the earlier list", "row not in the list any more"
PROCESS_NEW, PROCESS_GONE = "process not asked then", "process not asked any more"

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Change:
    """What has become of one row and process."""

    kind: Kind
    """One of `KINDS`."""
    because: tuple[str, ...]
    """What differs behind it; empty for a row that is the same."""
    differs: tuple[str, ...]
    """Columns of the outcome that differ."""
    was: Row | None
    now: Row | None
    """The rows of the two files; None for what was not there."""

    @property
    def row(self) -> Row:
        """The row now, or as it was if it is gone."""
        row = self.now if self.now is not None else self.was
        assert row is not None  # one of the two is there
        return row


def change_of(was: Row, now: Row, *, same_material: bool = False) -> Change:
    """Say what has become of a row that is in both files.

    Parameters
    ----------
    was, now : Mapping
        Its columns in either file.
    same_material : bool
        True if the material is known to be the same whatever its digest says.
    """
    differs = tuple(name for name in OUTCOMES if _plain(was.get(name)) != _plain(now.get(name)))
    if not differs:
        return Change("same", (), (), was, now)
    worse = STATES.index(now["state"]) - STATES.index(was["state"])
    kind: Kind = "worse" if worse > 0 else "better" if worse < 0 else "changed"
    return Change(kind, _causes(was, now, same_material=same_material), differs, was, now)


def _causes(was: Row, now: Row, *, same_material: bool) -> tuple[str, ...]:
    """What differs behind two outcomes that differ."""
    unlike = [column for column in CAUSES if _plain(was.get(column)) != _plain(now.get(column))]
    if same_material:
        unlike = [column for column in unlike if column != "material_sha256"]
    if NOT_READ in {was["state"], now["state"]}:
        # A row that is not read is judged by nobody: only its text and the reader matter.
        kept = {"material_sha256", "tool_version"}
        unlike = [column for column in unlike if column in kept]
        if not unlike:
            return ("material",)
    return tuple(CAUSES[column] for column in unlike) or (UNEXPLAINED,)


def _plain(value: object) -> object:
    """A value as every form of a results file holds it."""
    if value is None or value == "":
        return None
    if isinstance(value, str) and not (value.isprintable() and len(value) <= LONGEST_CELL):
        return shown(value, LONGEST_CELL)
    return value
