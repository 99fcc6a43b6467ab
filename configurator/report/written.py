"""Writing the files that a command makes: whole or not at all, and never over another by chance."""

from __future__ import annotations

import os
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from configurator.errors import Fault, InputError


def refuse_existing(path: Path, *, force: bool) -> None:
    """Refuse a file that is there, unless it may be replaced."""
    if path.exists() and not force:
        raise InputError(
            [Fault(str(path), "file", "a file that is there", "a new name", "--force replaces it")]
        )


def write_file(path: Path, content: str | bytes | Iterable[bytes], *, force: bool) -> None:
    """Write a file whole or not at all, so that not even a failing machine leaves a part of it.

    Parameters
    ----------
    path : Path
        Where to.
    content : str, bytes or iterable of bytes
        Text is written as UTF-8 with plain line breaks, pieces as they come.
    force : bool
        True to replace a file that is there.

    Raises
    ------
    InputError
        If the file is there, or cannot be written.
    """
    refuse_existing(path, force=force)
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        _write(path, (raw,) if isinstance(raw, bytes) else raw, durable=True)
    except OSError as error:
        reason = error.strerror or "cannot be written"
        raise InputError([Fault(str(path), "file", reason, "a file that may be written")]) from None


def write_text(path: Path, text: str) -> None:
    """Write a text whole or not at all, quickly enough for every key; an OSError if it cannot be."""
    _write(path, (text.encode("utf-8"),), durable=False)


def _write(path: Path, pieces: Iterable[bytes], *, durable: bool) -> None:
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with beside.open("wb") as file:
            file.writelines(pieces)
            if durable:
                file.flush()
                os.fsync(file.fileno())
        beside.replace(path)
    finally:
        with suppress(OSError):
            beside.unlink()
