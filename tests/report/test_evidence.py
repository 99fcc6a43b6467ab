"""The shop's findings as text."""

from __future__ import annotations

import json
from datetime import date

from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.report.evidence import evidence_csv, evidence_json, evidence_table


def record(**changes):
    values = {
        "date": date(2026, 3, 4),
        "material": "NBR",
        "substance": "toluene",
        "temperature_c": 23.0,
        "hours": 168.0,
        "grade": "not satisfactory",
    }
    return EvidenceRecord.model_validate({**values, **changes})


def test_no_findings_are_told_as_such():
    assert evidence_table(Evidence()) == "No findings.\n"
    assert json.loads(evidence_json(Evidence()))["count"] == 0
    assert evidence_csv(Evidence()).count("\n") == 1


def test_the_oldest_stands_first_and_the_file_keeps_its_order_in_json():
    late, early = record(), record(date=date(2025, 1, 1), material="FKM")
    evidence = Evidence((late, early))

    table = evidence_table(evidence)
    assert table.index("2025-01-01") < table.index("2026-03-04")
    assert [entry["material"] for entry in json.loads(evidence_json(evidence))["findings"]] == [
        "NBR",
        "FKM",
    ]


def test_escapes_in_a_note_are_shown_and_not_sent():
    evidence = Evidence((record(substance="x\x1b[31m", note="a\x1b[2Jb"),))

    for text in (evidence_table(evidence), evidence_csv(evidence), evidence_json(evidence)):
        assert text.replace("\n", "").isprintable()


def test_lines_fit_the_width():
    evidence = Evidence((record(substance="s" * 120, grade_name="g" * 80, note="n " * 150),))

    assert max(map(len, evidence_table(evidence, width=80).splitlines())) <= 80
