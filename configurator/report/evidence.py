"""The shop's findings, as table, JSON or CSV; the CSV can be imported again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.chemistry.evidence_files import KEYS
from configurator.report.lines import columns, wrapped
from configurator.report.machine import csv_text, json_text
from configurator.report.table import WIDTH
from configurator.units.display import plural

SCHEMA = 1

_RIGHT = frozenset({"degC", "h", "swell %", "Shore A"})
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


def evidence_json(evidence: Evidence, heads: Sequence[Mapping[str, Any]] = ()) -> str:
    """Return the findings as JSON, in the order of the file, and the measured heads beside them."""
    findings = [record.model_dump(mode="json") for record in evidence.records]
    return json_text(
        {
            "schema": SCHEMA,
            "count": len(findings),
            "findings": findings,
            "head_trials": list(heads),
        }
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
