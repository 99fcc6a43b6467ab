"""Errors planted into the shipped catalog: what the audit finds, and that the table says the same."""

from __future__ import annotations

from benchmarks.planted_errors.__main__ import HALVES, HERE, planted, stated
from configurator.catalog import believable, laws, records, series
from tests.catalog.test_audit import BREAKS

RARE = (
    "outlet nozzle-6",
    "mixing chamber-3",
    "outlet nozzle-8-flanged",
    "size h5",
    "cavity h3-0.12-2s",
    "drive gear-60",
    "drive ex-servo-3",
    "drive ex-gear-16",
    "drive ex-gear-75",
    "rotor titanium",
    "rotor chrome-l",
    "feed cartridge-310-dry",
    "wetted 316L",
    "wetted PP",
)
"""Whose errors only one check or another finds; every fifth of the others is tried."""


def test_nine_of_ten_planted_errors_are_found_and_every_check_finds_one() -> None:
    rows = stated()
    some = [row for place, row in enumerate(rows) if place % 5 == 0 or row[1] in RARE]
    judged = list(planted(some))
    heard = set[str]().union(*(each.checks for each in judged))
    checks = (*believable.CHECKS, *laws.CHECKS, *series.CHECKS, *records.CHECKS)

    assert len(rows) >= 120
    for half in HALVES:
        notes = [each.note for each in judged if each.half == half]
        assert sum(note is not None for note in notes) >= 0.9 * len(notes)
    assert {check.name for check in checks} - heard <= BREAKS.keys()


def test_the_table_holds_every_planted_error() -> None:
    results = (HERE / "RESULTS.md").read_text(encoding="utf-8")

    assert [row for row in stated() if f"| {row[1]}: `{row[2]}` |" not in results] == []
