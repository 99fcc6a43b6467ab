"""Rows of an earlier results file that rest on the same as now: taken over and not judged again.

What a row says follows from its digests alone: of material, process, catalog, findings, rules and
version. Where all six are the same, so is what came of it. The earlier rows wait in a database file
of the system's temporary folder, so that memory stays flat.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Self

from configurator.errors import Fault, InputError
from configurator.screen.changes import CAUSES, OUTCOMES, earlier_rows
from configurator.screen.chunk import ListRow, Setup, row_digests
from configurator.screen.results import KINDS, LONGEST_CELL, NOT_JUDGED, Value
from configurator.screen.verdict import NOT_READ


class EarlierRows:
    """What came of the rows of an earlier results file, by all that it followed from.

    Raises
    ------
    InputError
        If it cannot be read, is no results file, or there is no room for its rows.
    """

    def __init__(self, path: Path) -> None:
        self._base = sqlite3.connect("", isolation_level=None, check_same_thread=False)
        try:
            self._base.execute("PRAGMA journal_mode = OFF")
            self._base.execute("CREATE TABLE earlier (rests_on TEXT PRIMARY KEY, told TEXT)")
            self._base.execute("BEGIN")
            self._base.executemany("INSERT OR IGNORE INTO earlier VALUES (?, ?)", _records(path))
            self._base.execute("COMMIT")
        except sqlite3.Error as error:
            accepted = "room in the folder for temporary files"
            raise InputError([Fault(str(path), "--reuse", str(error), accepted)]) from None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._base.close()

    def known(self, row: ListRow, setup: Setup) -> tuple[Mapping[str, Value] | None, ...]:
        """What came of a row for each process of a run; None where that is not known."""
        if row.material is None:
            return ()
        of_row = row_digests(row.material, setup.workshop.measured_on(row.material), setup)
        return tuple(
            self._told(_rests_on({**of_row, "process_sha256": digest}))
            for digest in setup.process_digests
        )

    def _told(self, rests_on: str) -> Mapping[str, Value] | None:
        query = "SELECT told FROM earlier WHERE rests_on = ?"
        found = self._base.execute(query, (rests_on,)).fetchone()
        told: Mapping[str, Value] | None = None if found is None else json.loads(found[0])
        return told


def _records(path: Path) -> Iterator[tuple[str, str]]:
    for row in earlier_rows(path):
        told = {name: row.get(name) for name in OUTCOMES if name != "fault"}
        # A file may hold nothing where a verdict has an empty text.
        told |= {name: "" for name in told if told[name] is None and KINDS[name] is str}
        if row["state"] not in (NOT_READ, NOT_JUDGED) and not any(map(_is_cut, told.values())):
            yield _rests_on(row), json.dumps(told)


def _is_cut(value: Value) -> bool:
    """Whether a cell may hold less than was said: cut for a spreadsheet, or with escapes in it."""
    return isinstance(value, str) and (len(value) >= LONGEST_CELL or "\\" in value)


def _rests_on(row: Mapping[str, Any]) -> str:
    return " ".join(str(row.get(column) or "-") for column in CAUSES)
