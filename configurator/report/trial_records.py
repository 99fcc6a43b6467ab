"""Measured heads of a shop's record, as text and data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from configurator.report.lines import columns, wrapped
from configurator.report.table import WIDTH
from configurator.units.display import figures, plural
from configurator.workshop.head_record import HeadRecord

_HEADS = ("date", "trial", "material", "cavity", "stator", "mL a turn", "slip mL/min", "verdict")
_RIGHT = frozenset({"mL a turn", "slip mL/min"})


def records_table(records: Sequence[HeadRecord], *, width: int = WIDTH) -> str:
    """Return measured heads as text for people, in the order of the file; empty if there are none.

    The last trial of a cavity and kind of stator counts, so that the order is part of what is
    told.
    """
    if not records:
        return ""
    laid_out = columns(_HEADS, [_row(record) for record in records], width, right=_RIGHT)
    lines = [f"{plural(len(records), 'side')} of measured heads", ""]
    lines += [line for entry in laid_out for line in entry]
    notes = [
        "slip: at the highest back pressure of the trial; of trials on one cavity the last counts"
    ]
    if not all(record.usable for record in records):
        notes.append("a rejected head is kept here and not used")
    return "\n".join([*lines, *wrapped("; ".join(notes) + ".", width)]) + "\n"


def _row(record: HeadRecord) -> list[str]:
    side = f" {record.side}" if record.side else ""
    slip = f"{figures(record.slip_ml_min)} at {figures(record.pressure_bar)} bar"
    return [
        record.date or "-",
        record.trial,
        f"{record.material}{side}",
        record.cavity,
        record.stator,
        f"{record.displacement_ml:.5g} +/- {figures(record.displacement_half_ml)}",
        slip if record.slip_shows else f"up to {slip}",
        record.verdict,
    ]


def records_data(records: Sequence[HeadRecord]) -> list[dict[str, Any]]:
    """Return measured heads as data, in the order of the file."""
    return [record.model_dump(mode="json") for record in records]
