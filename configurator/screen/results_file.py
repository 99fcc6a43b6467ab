"""The file that grows, and the journal beside it that says how far it is whole."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sys
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any, Self

from configurator.errors import Fault, InputError, described
from configurator.screen.tally import Tally

PIECE = 4096
"""Bytes that go to the system at once: a kill falls between two calls, hardly ever into one."""

BLOCK = 1 << 20

SCHEMA = 1
"""Version of the journal and of the results' columns; another one is not gone on from."""

LARGEST = 1_000_000
"""A journal is a few kilobytes. [bytes]"""

ANEW = "--force begins anew"

Fingerprint = Mapping[str, str]
"""What the results follow from, each part by its name in plain words."""


class ResultsFile:
    """A file that is appended to in whole lines, by one run at a time.

    It is made if it is not there, and never emptied by opening it.

    Raises
    ------
    InputError
        If it cannot be opened, or another run is writing it.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0)
        try:
            self._handle = os.open(path, flags, 0o666)
        except OSError as error:
            raise self._fault(error, "a file that may be written") from None
        self._digest = hashlib.sha256()
        self.length = 0
        try:
            self._lock()
        except BaseException:
            os.close(self._handle)
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(OSError):
            os.close(self._handle)

    @property
    def sha256(self) -> str:
        """Digest of all that was written."""
        return self._digest.hexdigest()

    def _lock(self) -> None:
        """Keep other runs out for as long as the file is open; a kill lets go of it too."""
        if sys.platform == "win32":
            return
        import fcntl

        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            given, accepted = "a file that another run is writing", "a name of its own for each run"
            raise InputError([Fault(str(self.path), "file", given, accepted)]) from None
        except OSError:
            return  # a file system without locks

    def keep(self, length: int, sha256: str) -> None:
        """Go on behind the first bytes of the file, and cut off what follows them.

        Raises
        ------
        InputError
            If the file does not begin with these bytes.
        """
        digest = hashlib.sha256()
        left = length
        try:
            os.lseek(self._handle, 0, os.SEEK_SET)
            while left and (block := os.read(self._handle, min(left, BLOCK))):
                digest.update(block)
                left -= len(block)
            if left or digest.hexdigest() != sha256:
                given = "a file that was changed since" if not left else "a file that lost its end"
                accepted = "the file as the run left it"
                raise InputError([Fault(str(self.path), "file", given, accepted, ANEW)])
            os.ftruncate(self._handle, length)
            os.lseek(self._handle, length, os.SEEK_SET)
        except OSError as error:
            raise self._fault(error, "a file that may be written") from None
        self.length, self._digest = length, digest

    def append(self, lines: bytes) -> None:
        """Write whole lines, and have them on the disk before this returns.

        Raises
        ------
        OSError
            If they cannot be written; what was there before is then all there is.
        InputError
            If the file has been moved or removed: what is written would be lost.
        """
        try:
            for piece in _pieces(lines):
                _write_all(self._handle, piece)
            os.fsync(self._handle)
        except OSError:
            self.cut(self.length)
            raise
        if not self._is_there():
            given, accepted = "moved or removed during the run", "the file where it was"
            hint = "put it back, and --resume goes on"
            raise InputError([Fault(str(self.path), "file", given, accepted, hint)])
        self._digest.update(lines)
        self.length += len(lines)

    def _is_there(self) -> bool:
        try:
            return os.path.samestat(self.path.stat(), os.fstat(self._handle))
        except OSError:
            return False

    def cut(self, length: int) -> None:
        """Cut the file to a length; a full disk allows that too."""
        with contextlib.suppress(OSError):
            os.ftruncate(self._handle, length)
            os.lseek(self._handle, length, os.SEEK_SET)

    def _fault(self, error: OSError, accepted: str) -> InputError:
        reason = error.strerror or "cannot be used"
        return InputError([Fault(str(self.path), "file", reason, accepted)])


def _pieces(lines: bytes) -> Iterator[memoryview]:
    """Whole lines, as many at once as fit into a piece, or one that is longer."""
    view, start = memoryview(lines), 0
    while start < len(lines):
        end = lines.rfind(b"\n", start, start + PIECE) + 1
        if end <= start:
            end = lines.find(b"\n", start) + 1 or len(lines)
        yield view[start:end]
        start = end


def _write_all(handle: int, piece: memoryview) -> None:
    while piece:
        piece = piece[os.write(handle, piece) :]


@dataclass(frozen=True, slots=True)
class Journal:
    """How far a run has come."""

    fingerprint: Fingerprint
    """What the results follow from."""
    tally: Tally = field(default_factory=Tally)
    """Rows that are done, and what became of them."""
    rows_read: str = ""
    """Digest of all rows that are done, as they were read."""
    length: int = 0
    """Bytes of the file that are whole."""
    sha256: str = hashlib.sha256().hexdigest()
    """Digest of these bytes."""
    seconds: float = 0.0
    """Time spent so far, over all sittings."""
    done: bool = False
    """True once the whole list is through."""

    def further(self, **changes: Any) -> Journal:
        """The journal after another step."""
        return replace(self, **changes)


def journal_path(out: Path) -> Path:
    """Where the journal of a results file is kept: beside it."""
    return out.with_name(f"{out.name}.journal")


def save_journal(path: Path, journal: Journal) -> None:
    """Replace a journal in one go, and have it on the disk before this returns.

    Raises
    ------
    OSError
        If it cannot be written; the earlier one is then still there.
    """
    data = {"schema": SCHEMA, **asdict(journal), "tally": journal.tally.as_json()}
    text = json.dumps(data, indent=1, ensure_ascii=True) + "\n"
    beside = path.with_name(f"{path.name}.new")
    try:
        with beside.open("w", encoding="ascii", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def load_journal(path: Path) -> Journal | None:
    """Read a journal; None where there is none.

    Raises
    ------
    InputError
        If it cannot be read or is of another version.
    """
    if not path.exists():
        return None
    accepted = "the journal that a run of this version left"
    try:
        with path.open("rb") as file:
            data = json.loads(file.read(LARGEST))
        if data["schema"] != SCHEMA:
            given = f"version {described(data['schema'])}"
            raise InputError([Fault(str(path), "schema", given, f"version {SCHEMA}", ANEW)])
        return Journal(
            fingerprint={str(name): str(value) for name, value in data["fingerprint"].items()},
            tally=Tally.from_json(data["tally"]),
            rows_read=str(data["rows_read"]),
            length=int(data["length"]),
            sha256=str(data["sha256"]),
            seconds=float(data["seconds"]),
            done=bool(data["done"]),
        )
    except OSError as error:
        given = error.strerror or "unreadable"
        raise InputError([Fault(str(path), "file", given, accepted)]) from None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise InputError([Fault(str(path), "file", "no such journal", accepted, ANEW)]) from None


def refuse_changes(out: Path, then: Fingerprint, now: Fingerprint) -> None:
    """Refuse to go on if anything that the results follow from is another one.

    Raises
    ------
    InputError
        Naming each part that has changed.
    """
    faults = [
        Fault(
            str(out),
            f"{name} changed since the run began",
            now.get(name, "") or "none",
            f"{then.get(name, '') or 'none'}, as then",
            ANEW,
        )
        for name in dict.fromkeys([*then, *now])
        if then.get(name, "") != now.get(name, "")
    ]
    if faults:
        raise InputError(faults)
