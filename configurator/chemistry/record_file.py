"""The shop's record: a file of JSON lines that only ever grows.

One line is one finding, so a line that was cut off by a crash costs that finding alone. Findings
of several kinds may stand in one file: each kind knows its own lines. Adding the same finding
again changes nothing.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from configurator.errors import Fault, InputError
from configurator.units.fields import Frozen

LARGEST_FILE = 20_000_000
"""A record beyond this is not one that people wrote. [bytes]"""


class RecordLine(Frozen):
    """One finding of any kind."""

    @property
    def line(self) -> str:
        """The record as its line of the file; equal findings give equal lines."""
        return json.dumps(self.model_dump(mode="json"), sort_keys=True, ensure_ascii=True)


Finding = TypeVar("Finding", bound=RecordLine)


def read_lines(
    path: Path, kind: type[Finding], is_one: Callable[[bytes], bool], wanted: str
) -> tuple[tuple[Finding, ...], tuple[Fault, ...]]:
    """Read the findings of a kind, each once, and a fault for each of its lines that is none.

    A file that does not exist yet holds no findings. `wanted` says what a line should be.

    Raises
    ------
    InputError
        If the file itself cannot be read, or is far beyond what people write.
    """
    if not path.exists():
        return (), ()
    accepted = "a file of JSON lines, one finding a line"
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError([Fault(str(path), "file", "more than 20 MB", accepted)])
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or "unreadable"
        raise InputError([Fault(str(path), "file", reason, accepted)]) from None
    records: dict[str, Finding] = {}
    faults: list[Fault] = []
    for number, line in enumerate(raw.split(b"\n"), start=1):
        if is_one(line):
            try:
                record = kind.model_validate_json(line)
            except ValidationError as error:
                first = error.errors(include_url=False)[0]
                field = f"line {number} {'.'.join(map(str, first['loc']))}".rstrip()
                given = line.decode("utf-8", "replace")[:120]
                hint = own_words(first["type"], first["msg"])
                faults.append(Fault(str(path), field, given, wanted, hint))
            else:
                records.setdefault(record.line, record)
    return tuple(records.values()), tuple(faults)


def own_words(kind: str, message: str) -> str:
    """Return what a check of this program says of a value; a library's own words are none.

    Examples
    --------
    >>> own_words("value_error", "Value error, the measured change makes this limited")
    'the measured change makes this limited'
    >>> own_words("greater_than", "Input should be greater than 0")
    ''
    """
    return message.removeprefix("Value error, ") if kind == "value_error" else ""


def add_lines(
    path: Path, held: Iterable[RecordLine], records: Iterable[RecordLine], accepted: str
) -> int:
    """Add findings that the file does not hold already, and return how many these are.

    The file is only ever appended to, in one write, and flushed to the disk, so what it held
    before stays as it was. It and its folder are made if they do not exist.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    known = {record.line for record in held}
    new = [line for line in dict.fromkeys(record.line for record in records) if line not in known]
    if not new:
        return 0
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("ab+") as file:
            whole = True
            if file.seek(0, os.SEEK_END):
                file.seek(-1, os.SEEK_END)
                whole = file.read(1) == b"\n"
            # A line that a crash cut off must not swallow the first new one.
            text = ("" if whole else "\n") + "".join(f"{line}\n" for line in new)
            file.write(text.encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        reason = error.strerror or "cannot be written"
        raise InputError([Fault(str(path), "file", reason, accepted)]) from None
    return len(new)
