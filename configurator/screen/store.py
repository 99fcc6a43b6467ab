"""Where results go: a file with its journal, which can be gone on with, or a stream."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path
from typing import Protocol, Self

from configurator.errors import Fault, InputError
from configurator.screen.result_columns import KINDS
from configurator.screen.results import Form
from configurator.screen.results_file import (
    ANEW,
    Fingerprint,
    Journal,
    ResultsFile,
    journal_path,
    load_journal,
    refuse_changes,
    save_journal,
    sync_folder,
)
from configurator.screen.tally import Tally
from configurator.units.display import plural


class Store(Protocol):
    """What a run writes to."""

    journal: Journal

    def add(self, lines: bytes, tally: Tally, rows_read: str, seconds: float) -> None:
        """Take another chunk of whole lines, and what is done with it."""

    def finish(self, seconds: float) -> None:
        """Note that the list is through."""


class Stream:
    """Results that go on to another program, the head before the first; nothing of them is kept."""

    def __init__(self, put: Callable[[str], None], head: bytes) -> None:
        self.journal = Journal({})
        self._put = put
        self._head = head

    def add(self, lines: bytes, tally: Tally, rows_read: str, seconds: float) -> None:
        """Hand on a chunk, the head before the first."""
        self._put((self._head + lines).decode("utf-8"))
        self._head = b""
        self.journal = self.journal.further(tally=tally, rows_read=rows_read, seconds=seconds)

    def finish(self, seconds: float) -> None:
        """Hand on the head of an empty list."""
        if self._head:
            self._put(self._head.decode("utf-8"))
        self.journal = self.journal.further(seconds=seconds, done=True)


class Kept:
    """Results in a file that grows chunk by chunk, with its journal beside it.

    Parquet can only be written as a whole: its rows gather in JSON Lines beside it, and the
    file appears when all are there. `resume` goes on with one that is there, `force` replaces it.

    Raises
    ------
    InputError
        If the file is there and may not be touched, or cannot be gone on with.
    """

    def __init__(
        self,
        out: Path,
        *,
        form: Form,
        heads: tuple[str, ...],
        head: bytes,
        fingerprint: Fingerprint,
        resume: bool,
        force: bool,
    ) -> None:
        self.out = out
        self.heads = heads
        self._whole_at_end = form == "parquet"
        self._growing = out.with_name(f"{out.name}.part.jsonl") if self._whole_at_end else out
        self._journal_path = journal_path(out)
        self._file: ResultsFile | None = None
        found = self._found(fingerprint, resume=resume, force=force)
        if found is not None and found.done and self._whole_at_end:
            self.journal = found
            self._growing.unlink(missing_ok=True)
            return
        if found is None and not self._growing.exists():
            # A journal whose file was moved away says nothing of the one that begins here.
            self._journal_path.unlink(missing_ok=True)
        self._file = ResultsFile(self._growing)
        try:
            self._begin(found or Journal(fingerprint), head)
        except BaseException:
            self._file.__exit__()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._file is not None:
            self._file.__exit__()

    def _found(self, fingerprint: Fingerprint, *, resume: bool, force: bool) -> Journal | None:
        """The journal to go on from; None to begin."""
        if self.out.exists() and not self.out.is_file():
            fault = Fault(str(self.out), "file", "no plain file", "the name of a file, or no --out")
            raise InputError([fault])
        if force:
            return None
        there = next((path for path in (self.out, self._growing) if _holds_something(path)), None)
        if not resume:
            if there is not None or self.out.exists():
                hint = "--resume goes on with it, --force replaces it"
                path = str(there or self.out)
                raise InputError([Fault(path, "file", "a file that is there", "a new name", hint)])
            return None
        journal = load_journal(self._journal_path)
        if journal is None:
            if there is not None:
                given, accepted = "no journal beside it", f"the file {self._journal_path.name}"
                raise InputError([Fault(str(there), "--resume", given, accepted, ANEW)])
            return None
        ended = self.out if journal.done else self._growing
        if not ended.exists():
            return None
        refuse_changes(self.out, journal.fingerprint, fingerprint)
        return journal

    def _begin(self, journal: Journal, head: bytes) -> None:
        assert self._file is not None
        self.journal = journal
        if journal.length:
            self._file.keep(journal.length, journal.sha256)
            return
        self._saving(lambda: save_journal(self._journal_path, journal))
        self._file.cut(0)
        sync_folder(self.out.parent)
        if head:
            self.add(head, journal.tally, journal.rows_read, journal.seconds)

    @property
    def rows_kept(self) -> int:
        """Rows of the list from which the next run goes on, by what the disk says."""
        journal = load_journal(self._journal_path)
        return 0 if journal is None else journal.tally.rows

    def add(self, lines: bytes, tally: Tally, rows_read: str, seconds: float) -> None:
        """Write a chunk, then say in the journal that it is there.

        Raises
        ------
        InputError
            If it cannot be written; the file then ends with the chunk before.
        """
        file = self._file
        assert file is not None

        def save() -> None:
            file.append(lines)
            further = self.journal.further(
                tally=tally,
                rows_read=rows_read,
                length=file.length,
                sha256=file.sha256,
                seconds=seconds,
            )
            save_journal(self._journal_path, further)
            self.journal = further

        self._saving(save)

    def finish(self, seconds: float) -> None:
        """Note that the list is through; a Parquet file is made now.

        Raises
        ------
        InputError
            If it cannot be written.
        """
        if self.journal.done:
            return

        def save() -> None:
            if self._whole_at_end:
                from configurator.screen.parquet import write_parquet

                kinds = {head: KINDS.get(head, str) for head in self.heads}
                write_parquet(self._growing, self.out, kinds)
                sync_folder(self.out.parent)
            further = self.journal.further(seconds=seconds, done=True)
            save_journal(self._journal_path, further)
            self.journal = further

        self._saving(save)
        if self._whole_at_end:
            self._growing.unlink(missing_ok=True)

    def _saving(self, save: Callable[[], None]) -> None:
        try:
            save()
        except OSError as error:
            assert self._file is not None
            self._file.cut(self.journal.length)
            rows = plural(self.journal.tally.rows, "row")
            fault = Fault(
                str(self.out),
                "file",
                error.strerror or "cannot be written",
                f"a disk that takes all of it; {rows} of the list are kept",
                "--resume goes on from there",
            )
            raise InputError([fault]) from None


def _holds_something(path: Path) -> bool:
    with contextlib.suppress(OSError):
        return path.stat().st_size > 0
    return False
