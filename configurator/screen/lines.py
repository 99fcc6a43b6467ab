"""Lines of a text, in bounded memory and with their numbers."""

from __future__ import annotations

import io
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from configurator.screen.decoding import CHUNK
from configurator.screen.row import MAX_LINE


@dataclass(frozen=True, slots=True)
class ListLine:
    """One line."""

    number: int
    """The first is 1."""
    text: str
    """Without its end; empty if it is too long."""
    end: str
    """Its line end as it stands in the file; the last line may have none."""
    too_long: bool = False
    """Whether it has more than `MAX_LINE` characters."""


class Lines(Iterator[ListLine]):
    r"""Lines that end in `\n`, `\r\n` or `\r`, one at a time; some can be put back.

    Parameters
    ----------
    source : io.BufferedIOBase
        UTF-8.
    """

    def __init__(self, source: io.BufferedIOBase) -> None:
        # An empty newline: universal line ends, each as it stands. All of a buffered reader that
        # the wrapper asks for is read1.
        buffered = cast("io.BufferedReader", source)
        self._text = io.TextIOWrapper(buffered, encoding="utf-8", newline="")
        self._back: deque[ListLine] = deque()
        self._ahead = ""
        self._number = 0

    def __next__(self) -> ListLine:
        if self._back:
            return self._back.popleft()
        limit = MAX_LINE + len("\r\n")
        text, self._ahead = self._ahead, ""
        if text == "\r":
            text += self._line_feed()
        elif not text or text != "\n":
            text += self._text.readline(limit - len(text))
        if not text:
            raise StopIteration
        self._number += 1
        end = _end_of(text)
        if len(text) - len(end) > MAX_LINE:
            self._skip(text)
            return ListLine(self._number, "", "\n", too_long=True)
        return ListLine(self._number, text.removesuffix(end), end)

    def put_back(self, lines: Sequence[ListLine]) -> None:
        """Hand out lines once more, in this order, before all others."""
        self._back.extendleft(reversed(lines))

    def _skip(self, text: str) -> None:
        """Read on to the end of a line without keeping it."""
        while text and not _end_of(text):
            text = self._text.readline(CHUNK)
        if text.endswith("\r"):
            # A limit may have cut a line end in two.
            self._line_feed()

    def _line_feed(self) -> str:
        """Return the line feed if it comes next; anything else is kept for the next line."""
        following = self._text.readline(1)
        if following == "\n":
            return following
        self._ahead = following
        return ""


def _end_of(text: str) -> str:
    if text.endswith("\r\n"):
        return "\r\n"
    return text[-1] if text.endswith(("\n", "\r")) else ""
