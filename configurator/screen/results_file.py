"""The file that grows: whole lines only, on the disk before the journal says so."""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Self

from configurator.errors import Fault, InputError

PIECE = 4096
"""Bytes that go to the system at once: a kill falls between two calls, hardly ever into one."""

BLOCK = 1 << 20


class ResultsFile:
    """A file that is appended to in whole lines, by one run at a time.

    Parameters
    ----------
    path : Path
        Where it is; made if it is not there, never emptied by opening it.

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
            fault = Fault(
                str(self.path),
                "file",
                "a file that another run is writing",
                "a name of its own for each run",
            )
            raise InputError([fault]) from None
        except OSError:
            return  # a file system without locks

    def keep(self, length: int, sha256: str) -> None:
        """Go on behind the first bytes of the file, and cut off what follows them.

        Parameters
        ----------
        length : int
            Bytes to keep.
        sha256 : str
            Their digest.

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
                raise InputError(
                    [
                        Fault(
                            str(self.path),
                            "file",
                            given,
                            "the file as the run left it",
                            "--force begins anew",
                        )
                    ]
                )
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
        """
        try:
            for piece in _pieces(lines):
                _write_all(self._handle, piece)
            os.fsync(self._handle)
        except OSError:
            self.cut(self.length)
            raise
        self._digest.update(lines)
        self.length += len(lines)

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
