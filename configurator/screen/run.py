"""A whole screening: rows in, chunks to whoever judges them, results out in the list's order."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from itertools import islice

from configurator.errors import Fault, InputError, UsageError
from configurator.screen.chunk import (
    AskedOfChunks,
    Chunk,
    JudgedChunk,
    ListRow,
    Setup,
    Told_co,
    own_version,
)
from configurator.screen.digests import rules_digest, shortened, tool_version
from configurator.screen.results_file import ANEW, Fingerprint
from configurator.screen.reuse import EarlierRows
from configurator.screen.sources import Entry
from configurator.screen.store import Store
from configurator.screen.tally import Tally
from configurator.units.display import plural

CHANGED = "rows changed since the run began"

Crew = Callable[[Setup, Iterator[Chunk]], Generator[JudgedChunk]]
"""Whoever judges: takes chunks as it needs them, gives them back judged and in order."""


@dataclass
class Pace:
    """How many rows make a chunk: few at first, then what takes about ten seconds.

    The results do not depend on it. Small chunks lose less when a run is killed, and no worker waits
    long for the last one; large ones share more work, but hardly more than some full batches do.
    """

    rows: int = 4
    most: int = 1024
    seconds: float = 10.0

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
    if earlier is not None:
        rows = (replace(row, known=earlier.known(row, setup)) for row in rows)
    sizes: dict[int, tuple[ListRow, ...]] = {}
    with closing(crew(setup, chunks_of(rows, pace, sizes))) as judged_chunks:
        for judged in judged_chunks:
            _check_version(judged)
            read = store.journal.rows_read
            for row in sizes.pop(judged.number):
                read = _chained(read, row)
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
    while some := tuple(islice(rows, pace.rows)):
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
    read, number = "", 0
    for row in islice(rows, done):
        read = _chained(read, row)
        number += 1
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


def _chained(before: str, row: ListRow) -> str:
    """Digest of all rows up to this one, as they were read."""
    material = None if row.material is None else row.material.model_dump_json()
    data = json.dumps([before, row.number, row.line, row.cells, row.fault, material])
    return hashlib.sha256(data.encode()).hexdigest()
