"""Short digests of what a row rests on, so that a later comparison can say what has changed.

Each is the first 12 hexadecimal digits of a SHA-256: enough to tell a shop's versions apart,
and no proof against somebody who wants two of them to look alike.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Self

from pydantic import BaseModel

from configurator.errors import Fault, InputError
from configurator.rules.rulebook import RULEBOOK
from configurator.screen.changes import CAUSES, OUTCOMES, earlier_rows
from configurator.screen.chunk import ListRow, Setup, row_digests
from configurator.screen.results import KINDS, LONGEST_CELL, NOT_JUDGED, Value
from configurator.screen.verdict import NOT_READ
from configurator.workshop.workshop import Workshop

LENGTH = 12
"""Hexadecimal digits that are kept."""

DIGITS = 9
"""Significant digits of a quantity: a comparison tells no closer ones apart."""

REMARKS = frozenset({"title", "note", "invented"})
"""Keys of a material or process that no rule reads."""


def short(raw: bytes) -> str:
    """Return the short digest of bytes."""
    return hashlib.sha256(raw).hexdigest()[:LENGTH]


def shortened(sha256: str) -> str:
    """Return the short form of a whole digest."""
    return sha256[:LENGTH]


def content_digest(asked: BaseModel) -> str:
    """Return the digest of what a material or process states.

    Quantities count by their SI bounds and basis, so that `20 Pa*s` and `20000 mPa*s` are the same.
    Titles, notes and keys that are left out do not count.
    """
    dumped = asked.model_dump(mode="json", exclude_defaults=True)
    content = {key: value for key, value in dumped.items() if key not in REMARKS}
    return short(_canonical(_plain(content)))


def _canonical(data: object) -> bytes:
    return json.dumps(data, sort_keys=True, ensure_ascii=True, separators=(",", ":")).encode()


def _plain(value: Any) -> Any:
    """The value with each quantity as its bounds, unit and basis alone."""
    match value:
        case {"low": low, "nominal": nominal, "high": high, "unit": unit, "basis": basis}:
            return [*(f"{bound:.{DIGITS}g}" for bound in (low, nominal, high)), unit, basis]
        case Mapping():
            return {key: _plain(entry) for key, entry in value.items()}
        case list() | tuple():
            return [_plain(entry) for entry in value]
        case _:
            return value


def findings_digest(workshop: Workshop) -> str:
    """Return the digest of what a shop has measured, on pairs and on heads; empty without any."""
    lines = [record.line for record in workshop.evidence.records]
    text = "\n".join([*lines, *(record.line for record in workshop.heads)])
    return short(text.encode()) if text else ""


@cache
def rules_digest() -> str:
    """Return the digest of all rules: names, what they read, sentences and sources, in order."""
    return short(
        _canonical(
            [
                {
                    "name": rule.name,
                    "family": rule.family,
                    "parts": rule.parts,
                    "asks": rule.asks,
                    "practice": rule.practice,
                    "sentence": rule.sentence,
                    "source": rule.source,
                    "whole": rule.whole,
                }
                for rule in RULEBOOK
            ]
        )
    )


@cache
def tool_version() -> str:
    """Return the version of the installed package; `unknown` in a checkout without one."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("headwright")
    except PackageNotFoundError:
        return "unknown"


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
