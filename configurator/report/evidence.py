"""The shop's own record: its findings as table, JSON or CSV, and the heads that trials measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.chemistry.evidence_files import KEYS
from configurator.report.lines import WIDTH, columns, wrapped
from configurator.report.machine import answer_json, csv_text
from configurator.units.display import figures, plural
from configurator.workshop.head_record import HeadRecord

_RIGHT = frozenset({"degC", "h", "swell %", "Shore A"})
_HEAD_HEADS = (
    "date",
    "trial",
    "material",
    "cavity",
    "stator",
    "mL a turn",
    "slip mL/min",
    "verdict",
)
_HEADS = ("date", "material", "substance", "degC", "h", "swell %", "Shore A", "grade", "kind")


def evidence_table(evidence: Evidence, *, width: int = WIDTH) -> str:
    """Return the findings as text for people, oldest first."""
    ordered = sorted(evidence.records, key=lambda record: (record.date, record.line))
    if not ordered:
        return "No findings.\n"
    rows = [_row(record) for record in ordered]
    laid_out = columns(_HEADS, rows, width, right=_RIGHT)
    lines = [f"{plural(len(ordered), 'finding')}, all measured by the shop", "", *laid_out[0]]
    for record, texts in zip(ordered, laid_out[1:], strict=True):
        lines += texts
        if record.note:
            lines += wrapped(record.note, width, first="    ", rest="    ")
    return "\n".join(lines) + "\n"


def _row(record: EvidenceRecord) -> list[str]:
    compound = f" ({record.grade_name})" if record.grade_name else ""
    return [
        record.date.isoformat(),
        f"{record.material}{compound}",
        record.substance,
        f"{record.temperature_c:g}",
        f"{record.hours:g}",
        "-" if record.swelling_pct is None else f"{record.swelling_pct:g}",
        "-" if record.hardness_change is None else f"{record.hardness_change:+g}",
        record.grade,
        record.kind,
    ]


def evidence_json(evidence: Evidence, heads: Sequence[HeadRecord] = ()) -> str:
    """Return the findings as JSON, in the order of the file, and the measured heads beside them."""
    return answer_json(
        count=len(evidence.records),
        findings=[record.model_dump(mode="json") for record in evidence.records],
        head_trials=[head.model_dump(mode="json") for head in heads],
    )


def evidence_csv(evidence: Evidence) -> str:
    """Return the findings as CSV with their units in the cells, as `evidence import` reads it."""
    return csv_text(KEYS, map(list, map(_cells, evidence.records)))


def _cells(record: EvidenceRecord) -> Iterator[str | float | None]:
    written = {
        "date": record.date.isoformat(),
        "temperature": f"{record.temperature_c:g} degC",
        "time": f"{record.hours:g} h",
        "swelling": None if record.swelling_pct is None else f"{record.swelling_pct:g} %",
    }
    for key in KEYS:
        yield written[key] if key in written else getattr(record, key)


def records_table(records: Sequence[HeadRecord], *, width: int = WIDTH) -> str:
    """Return measured heads as text for people, in the order of the file; empty if there are none.

    The last trial of a cavity and kind of stator counts, so that the order is part of what is
    told.
    """
    if not records:
        return ""
    laid_out = columns(
        _HEAD_HEADS,
        [_head_row(record) for record in records],
        width,
        right=frozenset({"mL a turn", "slip mL/min"}),
    )
    lines = [f"{plural(len(records), 'side')} of measured heads", ""]
    lines += [line for entry in laid_out for line in entry]
    notes = [
        "slip: at the highest back pressure of the trial; of trials on one cavity the last counts"
    ]
    if not all(record.usable for record in records):
        notes.append("a rejected head is kept here and not used")
    return "\n".join([*lines, *wrapped("; ".join(notes) + ".", width)]) + "\n"


def _head_row(record: HeadRecord) -> list[str]:
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
