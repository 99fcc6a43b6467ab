"""What a command writes: data to standard output, words about it to standard error."""

from __future__ import annotations

import contextlib
import os
import shutil
import sys
from typing import Self

from configurator.errors import UsageError, shown

WIDEST = 100
NARROWEST = 40


class OutputClosedError(Exception):
    """Whoever read the output has stopped reading, as `head` does: no fault of anyone."""


def put(text: str) -> None:
    """Write data to standard output.

    Raises
    ------
    OutputClosedError
        If nobody reads it any more.
    UsageError
        If there is no place to write to, or it is full.
    """
    if sys.stdout is None:
        if not text:
            return
        raise UsageError("standard output is closed: give it a place to write to")
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None:
        # A title in letters that the terminal's encoding lacks is no reason to stop; what goes to a
        # file or a program is UTF-8 whatever the locale, unless somebody asked for another one.
        chosen = "PYTHONIOENCODING" in os.environ or _on_terminal()
        reconfigure(encoding=None if chosen else "utf-8", errors="backslashreplace")
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_output()
        raise OutputClosedError from None
    except OSError as error:
        _drop_output()
        raise UsageError(f"standard output: {error.strerror or 'cannot be written'}") from None


def close_output() -> None:
    """Send what is still buffered, such as the help that click writes.

    Raises
    ------
    OutputClosedError
        If nobody reads it any more.
    """
    put("")


def _drop_output() -> None:
    """Point standard output at nothing, so that closing it at the end stays quiet."""
    with contextlib.suppress(OSError, ValueError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())


def occupy_streams() -> None:
    """Point streams that the caller has closed at nothing, so that no file takes their number."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


def complain(*lines: str) -> None:
    """Write lines to standard error; if that is closed too, there is nobody to tell."""
    if sys.stderr is None:
        return  # or they would go among the data
    with contextlib.suppress(OSError):
        for line in "\n".join(lines).split("\n") if lines else ():
            # A path as somebody typed it may hold what moves a terminal.
            plain = line if line.isprintable() else shown(line, 12 * len(line) + 4)
            print(plain, file=sys.stderr)  # noqa: T201 - this is the command's voice


def wants_colour() -> bool:
    """Whether state words may be coloured: on a terminal, and not with `NO_COLOR` set."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return _on_terminal()


def table_width() -> int:
    """Columns that a table may take: 100, or those of a narrower terminal, and 40 at least."""
    if not (_on_terminal() or os.environ.get("COLUMNS")):
        return WIDEST
    return min(max(shutil.get_terminal_size().columns, NARROWEST), WIDEST)


def _on_terminal() -> bool:
    return sys.stdout is not None and sys.stdout.isatty()


def watched() -> bool:
    """Whether a person looks at standard error, so that progress is worth a line there."""
    return sys.stderr is not None and sys.stderr.isatty()


class ProgressLine:
    """Tells on one line of the error stream how far a command is, if a person looks on."""

    def __init__(self) -> None:
        self._open = watched()
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __call__(self, text: str) -> None:
        """Write over the line."""
        if self._open:
            sys.stderr.write("\r" + text.ljust(self._width))
            sys.stderr.flush()
            self._width = len(text)

    def __exit__(self, *_: object) -> None:
        if self._width:
            sys.stderr.write("\r" + " " * self._width + "\r")
            sys.stderr.flush()
