"""From the bytes of a list to numbered lines: decoded strictly, hashed, in bounded memory."""

from __future__ import annotations

import codecs
import hashlib
import io
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import cast

from configurator.errors import Fault, InputError, did_you_mean
from configurator.screen.header import MAX_LINE, place

ENCODINGS = ("utf-8", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252")
"""What may be stated; Python knows each by this name."""

CHUNK = 65_536

LIST_WANTED = "a list as CSV or JSON Lines"

_MARKS = (
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe\x00\x00", "utf-32"),  # before UTF-16, whose mark it begins with
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
_LONGEST_MARK = 4
_OTHER_FILES = (
    (b"PK\x03\x04", "a workbook or an archive"),
    (b"\xd0\xcf\x11\xe0", "a workbook"),
    (b"\x1f\x8b", "a compressed file"),
    (b"PAR1", "a Parquet file"),
)


class Source(io.BufferedIOBase):
    """Bytes on their way through: hashed, decoded strictly, and handed on as UTF-8.

    Without an encoding a mark at the beginning decides, else it is UTF-8. An owned stream is closed
    with this one.

    Raises
    ------
    InputError
        While reading: if the bytes are not text in that encoding, with line and byte.
    """

    def __init__(
        self, stream: io.BufferedIOBase, name: str, encoding: str | None, *, owned: bool = False
    ) -> None:
        super().__init__()
        self._owned = owned
        self._stream = stream
        self._name = name
        self._stated = encoding
        self._codec = ""
        self._decoder: codecs.IncrementalDecoder | None = None
        self._digest = hashlib.sha256()
        self._read = 0
        self._line = 1
        self._after_return = False
        self._ended = False
        self._ready = b""

    @property
    def sha256(self) -> str:
        """Of the bytes read so far."""
        return self._digest.hexdigest()

    @property
    def lines(self) -> int:
        """Line ends read so far."""
        return self._line - 1

    def readable(self) -> bool:
        """Bytes can be read."""
        return True

    def read1(self, size: int = -1, /) -> bytes:
        """Return some bytes of UTF-8; none at the end."""
        while not self._ready and not self._ended:
            self._ready = self._next().encode("utf-8")
        wanted = len(self._ready) if size < 0 else size
        piece, self._ready = self._ready[:wanted], self._ready[wanted:]
        return piece

    def close(self) -> None:
        """End reading."""
        if self._owned:
            self._stream.close()
        super().close()

    def drain(self) -> None:
        """Read to the end, for the hash and the lines of everything."""
        while not self._ended:
            self._next()

    def _next(self) -> str:
        raw = self._raw()
        if self._decoder is None:
            while len(raw) < _LONGEST_MARK and (more := self._raw()):
                raw += more
            mark, self._codec = self._begun(raw)
            raw = raw[len(mark) :]
            self._decoder = codecs.getincrementaldecoder(self._codec)("strict")
            # A file may be its mark and nothing else; what follows shows its end.
            self._ended = not raw and not mark
        else:
            self._ended = not raw
        try:
            text = self._decoder.decode(raw, final=self._ended)
        except UnicodeDecodeError as error:
            raise InputError([self._undecodable(error)]) from None
        self._count(text)
        return text

    def _raw(self) -> bytes:
        try:
            raw = self._stream.read1(CHUNK)
        except OSError as error:
            reason = error.strerror or "cannot be read"
            raise InputError([Fault(self._name, "file", reason, LIST_WANTED)]) from None
        self._digest.update(raw)
        self._read += len(raw)
        return raw

    def _begun(self, raw: bytes) -> tuple[bytes, str]:
        """The mark at the beginning and the encoding to read in."""
        for magic, what in _OTHER_FILES:
            if raw.startswith(magic):
                raise InputError([Fault(self._name, "file", what, LIST_WANTED)])
        stated = self._stated
        for mark, codec in _MARKS:
            if raw.startswith(mark):
                if codec == "utf-32" or (stated and not codec.startswith(stated)):
                    given = f"the mark of {codec.upper()} at the beginning"
                    accepted = f"bytes in the encoding stated, {stated}" if stated else LIST_WANTED
                    raise InputError([Fault(self._name, "encoding", given, accepted)])
                return mark, codec
        if stated == "utf-16":
            accepted = "UTF-16 with its mark, or the order of its bytes stated: utf-16-le"
            raise InputError([Fault(self._name, "encoding", "no mark", accepted)])
        if stated is None and b"\0" in raw[:_LONGEST_MARK]:
            accepted = "UTF-8, or UTF-16 with its mark"
            hint = f"if it is UTF-16, state --encoding utf-16-{'be' if raw[0] == 0 else 'le'}"
            raise InputError(
                [Fault(self._name, "encoding", "NUL bytes at the beginning", accepted, hint)]
            )
        return b"", stated or "utf-8"

    def _count(self, text: str) -> None:
        """Count line ends, so that a byte that cannot be read is named with its line."""
        if not text:
            return
        self._line += text.count("\n") + text.count("\r") - text.count("\r\n")
        if self._after_return and text[0] == "\n":
            self._line -= 1
        self._after_return = text[-1] == "\r"

    def _undecodable(self, error: UnicodeDecodeError) -> Fault:
        self._count(error.object[: error.start].decode(self._codec, "ignore"))
        byte = self._read - len(error.object) + error.start
        codec = self._codec.upper()
        guessed = self._stated is None and codec == "UTF-8"
        return Fault(
            place(self._name, self._line),
            f"byte {byte + 1}",
            f"{error.object[error.start]:#04x}, which is no {codec} here",
            "UTF-8, or UTF-16 with its mark" if guessed else f"text in {codec}",
            "if it was saved as Latin-1, state --encoding latin-1" if guessed else "",
        )


def checked_encoding(encoding: str | None) -> str | None:
    """Return a stated encoding in lower case; None if none is stated.

    Raises
    ------
    InputError
        If it is none of `ENCODINGS`.
    """
    if encoding is None:
        return None
    if (lower := encoding.lower()) in ENCODINGS:
        return lower
    near = did_you_mean(encoding, ENCODINGS)
    raise InputError([Fault("--encoding", "name", encoding, ", ".join(ENCODINGS), near)])


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
    r"""Lines that end in `\n`, `\r\n` or `\r`, one at a time; some can be put back."""

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
