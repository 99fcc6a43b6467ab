"""A whole screening: rows in, chunks to whoever judges them, results out; earlier rows taken over."""

from __future__ import annotations

import hashlib
import json
import sqlite3
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any, Self

from configurator.errors import Fault, InputError, UsageError
from configurator.screen.changes import CAUSES, OUTCOMES, earlier_rows
from configurator.screen.chunk import (
    AskedOfChunks,
    Chunk,
    JudgedChunk,
    ListRow,
    Setup,
    Told_co,
    own_version,
    row_digests,
)
from configurator.screen.digests import rules_digest, shortened, tool_version
from configurator.screen.result_columns import KINDS, MEASURED, PURPOSES
from configurator.screen.results import LONGEST_CELL, NOT_JUDGED, Value
from configurator.screen.results_file import ANEW, Fingerprint
from configurator.screen.sources import Entry
from configurator.screen.store import Store
from configurator.screen.tally import Tally
from configurator.screen.verdict import NOT_READ
from configurator.units.display import plural


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
        found = (
            self._told(_rests_on({**of_row, "process_sha256": digest}))
            for digest in setup.process_digests
        )
        return tuple(told if told and setup.extras.holds(told) else None for told in found)

    def _told(self, rests_on: str) -> Mapping[str, Value] | None:
        query = "SELECT told FROM earlier WHERE rests_on = ?"
        found = self._base.execute(query, (rests_on,)).fetchone()
        told: Mapping[str, Value] | None = None if found is None else json.loads(found[0])
        return told


def _records(path: Path) -> Iterator[tuple[str, str]]:
    for row in earlier_rows(path):
        told = {name: row.get(name) for name in OUTCOMES if name != "fault"}
        told |= {
            each.name: row[each.name] or "" for each in (*PURPOSES, *MEASURED) if each.name in row
        }
        # A file may hold nothing where a verdict has an empty text.
        told |= {name: "" for name in told if told[name] is None and KINDS.get(name) is str}
        if row["state"] not in (NOT_READ, NOT_JUDGED) and not any(map(_is_cut, told.values())):
            yield _rests_on(row), json.dumps(told)


def _is_cut(value: Value) -> bool:
    """Whether a cell may hold less than was said: cut for a spreadsheet, or with escapes in it."""
    return isinstance(value, str) and (len(value) >= LONGEST_CELL or "\\" in value)


def _rests_on(row: Mapping[str, Any]) -> str:
    return " ".join(str(row.get(column) or "-") for column in CAUSES)


CHANGED = "rows changed since the run began"

Crew = Callable[[Setup, Iterator[Chunk]], Generator[JudgedChunk]]
"""Whoever judges: takes chunks as it needs them, gives them back judged and in order."""


FEWEST_SHARED = 64
"""Rows below which a chunk costs more by itself than a worker that waits for the end."""


@dataclass
class Pace:
    """How many rows make a chunk: few at first, then what takes about ten seconds.

    The results do not depend on it. Small chunks lose less when a run is killed, and no worker waits
    long for the last one; large ones share more work, but hardly more than some full batches do.
    """

    rows: int = 4
    most: int = 1024
    seconds: float = 10.0
    workers: int = 1
    about: int = 0
    """Rows that there are at most; 0 where nobody knows."""
    given: int = 0
    """Rows given out so far."""

    def next_rows(self) -> int:
        """Rows of the next chunk: of what is left no worker gets so many that others wait for it."""
        fair = (self.about - self.given) // (2 * self.workers)
        last = self.about > 0 and self.workers > 1
        rows = min(self.rows, max(fair, FEWEST_SHARED)) if last else self.rows
        self.given += rows
        return rows

    def heard(self, rows: int, seconds: float) -> None:
        """Set the size of the next chunks by the time that one took."""
        fitting = self.most if seconds <= 0.0 else int(rows * self.seconds / seconds)
        self.rows = max(1, min(4 * self.rows, fitting, self.most))


def fingerprint_of(setup: Setup, listed: str, options: Mapping[str, str]) -> Fingerprint:
    """Return what the results of a run follow from, each part by its name in plain words.

    The list's SHA-256 is empty for a pipe, whose rows are compared one by one alone; options are
    those of the command that move the results.
    """
    return {
        "list": shortened(listed),
        "columns of the list": ", ".join(setup.columns),
        "extra columns": ", ".join(setup.extras.names)
        + f" {setup.extras.questions or ''}".rstrip(),
        "processes": ", ".join(
            f"{process.name} ({digest})"
            for process, digest in zip(setup.processes, setup.process_digests, strict=True)
        ),
        "catalog": f"{setup.workshop.catalog.name} ({shortened(setup.workshop.catalog.sha256)})",
        "evidence": setup.evidence_digest,
        "rules": rules_digest(),
        "tool version": tool_version(),
        **{f"option {name}": value for name, value in options.items()},
    }


def alone(asked: AskedOfChunks[Told_co], chunks: Iterator[Chunk]) -> Generator[Told_co]:
    """Judge all chunks in this process."""
    for chunk in chunks:
        yield asked.judged(chunk)


def screen(
    entries: Iterable[Entry],
    setup: Setup,
    store: Store,
    crew: Crew = alone,
    *,
    tell: Callable[[Tally], None] | None = None,
    pace: Pace | None = None,
    earlier: EarlierRows | None = None,
) -> Tally:
    """Judge all rows of a list that the store does not hold yet.

    Parameters
    ----------
    entries : iterable of Entry
        The whole list from its first row.
    setup : Setup
        What is asked of every row.
    store : Store
        Where the results go, and how far they are there.
    crew : callable
        Who judges.
    tell : callable, optional
        Told_co after each chunk what is done.
    pace : Pace, optional
        How many rows make a chunk.
    earlier : EarlierRows, optional
        What an earlier run has found, taken over for rows that rest on the very same.

    Returns
    -------
    Tally
        Over all rows of the list, those of earlier sittings with them.

    Raises
    ------
    InputError
        If the rows that are done read otherwise now, or the results cannot be written.
    UsageError
        If whoever judges has another version.
    """
    start = time.perf_counter() - store.journal.seconds
    pace = pace or Pace()
    columns = setup.columns
    rows = (_row(entry, columns) for entry in entries)
    _pass_over(rows, store)
    pace.given = store.journal.tally.rows
    if earlier is not None:
        rows = (replace(row, known=earlier.known(row, setup)) for row in rows)
    sizes: dict[int, tuple[ListRow, ...]] = {}
    with closing(crew(setup, chunks_of(rows, pace, sizes))) as judged_chunks:
        for judged in judged_chunks:
            _check_version(judged)
            read = store.journal.rows_read
            for row in sizes.pop(judged.number):
                read = chained(read, row)
            tally = store.journal.tally.plus(judged)
            store.add(judged.text, tally, read, time.perf_counter() - start)
            pace.heard(judged.rows, judged.seconds)
            if tell is not None:
                tell(tally)
    store.finish(time.perf_counter() - start)
    return store.journal.tally


def _row(entry: Entry, columns: tuple[str, ...]) -> ListRow:
    """An entry as a worker needs it: plain values, the list's cells in the order of its columns."""
    cells = tuple(str(entry.cells.get(column, "")) for column in columns)
    return ListRow(entry.number, entry.line, cells, entry.material, entry.fault)


def chunks_of(
    rows: Iterator[ListRow], pace: Pace, kept: dict[int, tuple[ListRow, ...]]
) -> Iterator[Chunk]:
    """Rows in chunks, which are kept by their number until somebody takes them out."""
    number = 0
    while some := tuple(islice(rows, pace.next_rows())):
        kept[number] = some
        yield Chunk(number, some)
        number += 1


def _check_version(judged: JudgedChunk) -> None:
    """Refuse rows of another version: a machine of a cluster, or a worker after an update."""
    if judged.version != own_version():
        raise UsageError(
            f"a worker has headwright {judged.version}, this run {own_version()} "
            "(version, digest of the rules)",
            "install the same version on every machine",
        )


def _pass_over(rows: Iterator[ListRow], store: Store) -> None:
    """Read the rows that are done, and see that they are those of the earlier sittings."""
    done = store.journal.tally.rows
    if not done and not store.journal.done:
        return
    number, read = read_again(rows, done)
    if number < done or read != store.journal.rows_read:
        accepted = f"the {plural(done, 'row')} that are done, as they were"
        given = (
            plural(number, "row") if number < done else "the same list, of which a row reads anew"
        )
        hint = f"a file that a row names may have changed; {ANEW}"
        raise InputError([Fault("LIST", CHANGED, given, accepted, hint)])
    if store.journal.done and next(rows, None) is not None:
        rows_then = plural(done, "row")
        raise InputError([Fault("LIST", CHANGED, "more rows", rows_then, ANEW)])


def read_again(rows: Iterator[ListRow], done: int) -> tuple[int, str]:
    """Read so many rows; return how many there were and the digest of them all."""
    number, read = 0, ""
    for number, row in enumerate(islice(rows, done), 1):  # noqa: B007 - it is the last that counts
        read = chained(read, row)
    return number, read


def chained(before: str, row: ListRow) -> str:
    """Return the digest of all rows up to this one, as they were read."""
    material = None if row.material is None else row.material.model_dump_json()
    data = json.dumps([before, row.number, row.line, row.cells, row.fault, material])
    return hashlib.sha256(data.encode()).hexdigest()
