"""Writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path


def write(path: Path, text: str) -> None:
    """Write a file through one beside it, so that a crash leaves the old one.

    Parameters
    ----------
    path : Path
        Where; its folder has to be there.
    text : str
        What.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
