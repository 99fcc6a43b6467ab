"""An earlier results file against a newer one: which row is which, what became of it, and why.

A row states digests of all that it rests on. What differs between two rows differs for a reason
that one of these digests shows; where several differ, all are named, as they may act together.

Rows are the same by material and process. A material is known by its name; a row that was not
read by what its name column says, or its file; rows without any name by all their cells. Of
several rows with one name, those with the same digest of the material belong together first,
then the others in their order. A renamed material is one that is gone and one that is new.

The earlier rows wait in a database file of the system's temporary folder, so that memory stays
flat however long the lists are.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from hashlib import blake2b
from itertools import count
from pathlib import Path, PurePath
from typing import Any, Literal, Self

from configurator.errors import Fault, InputError, described, shown
from configurator.screen.header import FILE
from configurator.screen.result_columns import NAMES
from configurator.screen.results import LONGEST_CELL, Form, read_results
from configurator.screen.results_file import journal_path, load_journal
from configurator.screen.tally import STATES
from configurator.screen.verdict import NOT_READ
from configurator.units.cell import short_name

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

KEPT = ("row", "line", "process", "material_name", *OUTCOMES, *CAUSES)
"""Columns of a row that a comparison needs."""

Key = tuple[bytes, str]
"""Which row this is, by material and process; and the digest of what the material states."""


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

    `same_material` says that the material is known to be the same whatever its digest says.
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


def earlier_rows(path: Path, form: Form | None = None) -> Iterator[dict[str, Any]]:
    """Yield the rows of a results file, each seen to be one.

    Raises
    ------
    InputError
        If it cannot be read, or is no results file.
    """
    rows = read_results(path, form)
    for number in count(1):
        try:
            row = next(rows, None)
        except (ValueError, TypeError) as error:
            raise _no_results(path, number, str(error)) from None
        if row is None:
            return
        state, process = row.get("state"), row.get("process")
        if state not in STATES or not isinstance(state, str):
            raise _no_results(path, number, f"state {described(state)}")
        if not isinstance(process, str) or not isinstance(row.get("row"), int):
            raise _no_results(path, number, "no process or no number of a row")
        yield row


def _no_results(path: Path, number: int, given: str) -> InputError:
    accepted = "a results file of `headwright screen`"
    return InputError([Fault(str(path), f"result row {number}", given, accepted)])


def check_earlier(path: Path, form: Form | None = None) -> str:
    """See that a file can be compared with, before a night's work begins.

    Returns
    -------
    str
        What is doubtful about it, in a line; else empty.

    Raises
    ------
    InputError
        If it cannot be read, or is no results file.
    """
    for _ in earlier_rows(path, form):
        pass
    try:
        journal = load_journal(journal_path(path))
    except InputError:
        return ""  # a journal of another version says nothing about the rows
    if journal is not None and not journal.done:
        return f"{path}: that run was not finished; rows that it lacks will be told as new"
    return ""


def changes_between(
    earlier: Path,
    now: Path,
    *,
    processes: Collection[str],
    forms: tuple[Form | None, Form | None] = (None, None),
) -> Iterator[Change]:
    """Yield what became of every row: those there are now in their order, then those gone.

    Parameters
    ----------
    earlier, now : Path
        Results files.
    processes : collection of str
        What the newer run was asked for.
    forms : tuple
        Forms of the two files; None follows from the suffix.

    Raises
    ------
    InputError
        If one of them cannot be read.
    """
    try:
        with Waiting() as waiting:
            yield from _compared(earlier, now, processes, forms, waiting)
    except sqlite3.Error as error:
        accepted = "room in the folder for temporary files"
        raise InputError([Fault(str(earlier), "comparison", str(error), accepted)]) from None


def _compared(
    earlier: Path,
    now: Path,
    processes: Collection[str],
    forms: tuple[Form | None, Form | None],
    waiting: Waiting,
) -> Iterator[Change]:
    waiting.fill(earlier_rows(earlier, forms[0]))
    for place, row in enumerate(earlier_rows(now, forms[1])):
        waiting.claim(place, _key(row))
    for place, row in enumerate(earlier_rows(now, forms[1])):
        was = waiting.claimed(place, _key(row))
        if was is not None:
            yield change_of(was, row, same_material=_nameless(row))
        else:
            known = row["process"] in waiting.processes
            reason = ROW_NEW if known or not waiting.processes else PROCESS_NEW
            yield Change("new", (reason,), (), None, row)
    for was in waiting.left():
        reason = ROW_GONE if was["process"] in processes else PROCESS_GONE
        yield Change("gone", (reason,), (), was, None)


class Waiting:
    """The rows of the earlier file, until the newer file's rows have claimed them."""

    def __init__(self) -> None:
        self.processes: set[str] = set()
        # An empty name is a file that the database makes where temporary files are kept, and
        # that is gone with the connection.
        self._base = sqlite3.connect("", isolation_level=None)
        self._base.execute("PRAGMA journal_mode = OFF")
        self._base.execute("PRAGMA synchronous = OFF")
        self._base.execute(
            "CREATE TABLE earlier (place INTEGER PRIMARY KEY, who BLOB, digest TEXT, "
            "row TEXT, taker INTEGER)"
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._base.close()

    def fill(self, rows: Iterable[Mapping[str, Any]]) -> None:
        """Take in all rows."""
        self._base.execute("BEGIN")
        self._base.executemany(
            "INSERT INTO earlier (who, digest, row) VALUES (?, ?, ?)", self._records(rows)
        )
        for name, columns in (("by_material", "who, digest, place"), ("by_name", "who, place")):
            self._base.execute(f"CREATE INDEX {name} ON earlier ({columns}) WHERE taker IS NULL")
        self._base.execute("CREATE INDEX by_taker ON earlier (taker) WHERE taker IS NOT NULL")
        self._base.execute("COMMIT")

    def _records(self, rows: Iterable[Mapping[str, Any]]) -> Iterator[tuple[bytes, str, str]]:
        for row in rows:
            self.processes.add(row["process"])
            yield *_key(row), json.dumps({name: row.get(name) for name in KEPT})

    def claim(self, place: int, key: Key) -> None:
        """Put by the first free row of that name and material for a row of the newer file."""
        self._take(place, "INDEXED BY by_material WHERE who = ? AND digest = ?", key)

    def claimed(self, place: int, key: Key) -> Mapping[str, Any] | None:
        """Return the row that was put by, else the first free one of that name, else None."""
        query = "SELECT row FROM earlier WHERE taker = ?"
        found = self._base.execute(query, (place,)).fetchone()
        if found is None and self._take(place, "INDEXED BY by_name WHERE who = ?", key[:1]):
            found = self._base.execute(query, (place,)).fetchone()
        return None if found is None else _loaded(found[0])

    def _take(self, place: int, which: str, values: tuple[object, ...]) -> bool:
        taken = self._base.execute(
            "UPDATE earlier SET taker = ? WHERE place = (SELECT place FROM earlier "  # noqa: S608
            f"{which} AND taker IS NULL ORDER BY place LIMIT 1)",
            (place, *values),
        )
        return taken.rowcount > 0

    def left(self) -> Iterator[Mapping[str, Any]]:
        """Yield the rows that nobody has claimed, in their order."""
        query = "SELECT row FROM earlier WHERE taker IS NULL ORDER BY place"
        for (row,) in self._base.execute(query):
            yield _loaded(row)


def _loaded(text: str) -> Mapping[str, Any]:
    row: Mapping[str, Any] = json.loads(text)
    return row


def _key(row: Mapping[str, Any]) -> Key:
    """Which row this is, the same for both files."""
    name = "" if _nameless(row) else short_name(row.get("material_name") or _stated_name(row))
    if name:
        parts = [name, row["process"]]
    else:
        own = {key: text for key, text in row.items() if key not in NAMES and text}
        parts = ["", row["process"], json.dumps(own, sort_keys=True, default=str)]
    digest = row.get("material_sha256") or ""
    return blake2b(json.dumps(parts).encode(), digest_size=16).digest(), str(digest)


def _nameless(row: Mapping[str, Any]) -> bool:
    """Whether a material is called by the number of its row, as nothing names it."""
    return row.get("material_name") == f"row-{row['row']}" and not _stated_name(row)


def _stated_name(row: Mapping[str, Any]) -> str:
    """The name that a row's own cells give its material, as far as can be told unread."""
    for column in ("name", "title"):
        if isinstance(text := row.get(column), str) and (short := short_name(text)):
            return short
    file = row.get(FILE)
    return PurePath(file.strip()).stem if isinstance(file, str) else ""
