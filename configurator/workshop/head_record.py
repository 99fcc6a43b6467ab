"""What a trial leaves behind: measured displacement and slip of a head, in a file that grows.

One line of JSON is one side of one trial. The file may be that of the shop's other findings:
lines of another kind are passed over.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, ValidationError

from configurator.errors import Fault, InputError
from configurator.units.frozen import Frozen

KIND = "head trial"
"""Value of `kind` that tells these lines from others in the same file."""

LARGEST_FILE = 20_000_000

Name = Annotated[str, StringConstraints(max_length=60)]
Positive = Annotated[float, Field(gt=0.0, lt=1e9)]
NotNegative = Annotated[float, Field(ge=0.0, lt=1e9)]


class HeadRecord(Frozen):
    """One side of one trial; units as in a laboratory."""

    kind: Literal["head trial"] = "head trial"
    trial: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{12}$")]
    date: Annotated[str, StringConstraints(max_length=40)]
    material: Name
    side: Literal["", "a", "b"]
    cavity: Name
    stator: Name
    rigid: bool
    verdict: Literal["accept", "extend", "reject"]
    displacement_ml: Positive
    displacement_half_ml: NotNegative
    slip_ml_min: NotNegative
    """Upper end of its interval where slip does not show: no better than was seen."""
    slip_shows: bool
    pressure_bar: NotNegative
    opening_bar: NotNegative | None
    """Over the whole stator; None where slip follows the pressure, or does not show."""
    speed_rpm: Positive
    temperature_c: Annotated[float, Field(ge=-100.0, le=400.0)]

    @property
    def usable(self) -> bool:
        """Whether anything may rest on it: nothing does on a head that was rejected."""
        return self.verdict != "reject"

    @property
    def line(self) -> str:
        """The record as its line of the file; equal records give equal lines."""
        return json.dumps(self.model_dump(mode="json"), sort_keys=True, ensure_ascii=True)


def load_records(path: Path) -> tuple[tuple[HeadRecord, ...], tuple[Fault, ...]]:
    """Read the head records of a file.

    Parameters
    ----------
    path : Path
        A file of JSON lines; one that does not exist yet holds none.

    Returns
    -------
    tuple
        Every record of this kind, and a fault for each line of this kind that cannot be read.

    Raises
    ------
    InputError
        If the file itself cannot be read.
    """
    if not path.exists():
        return (), ()
    accepted = "a file of JSON lines, one finding a line"
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError([Fault(str(path), "file", "more than 20 MB", accepted)])
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            [Fault(str(path), "file", error.strerror or "unreadable", accepted)]
        ) from None
    records: dict[str, HeadRecord] = {}
    faults: list[Fault] = []
    for number, line in enumerate(raw.split(b"\n"), start=1):
        if not is_head_record(line):
            continue
        try:
            record = HeadRecord.model_validate_json(line)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            at = ".".join(str(step) for step in first["loc"])
            given = line.decode("utf-8", "replace")[:120]
            field = f"line {number} {at}".rstrip()
            wanted = "a head record, as `headwright trial evaluate --into` writes it"
            faults.append(Fault(str(path), field, given, wanted))
        else:
            records[record.line] = record
    return tuple(records.values()), tuple(faults)


def is_head_record(line: bytes) -> bool:
    """Whether a line of a record file is one of these."""
    if KIND.encode() not in line:
        return False
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return False
    return isinstance(data, dict) and data.get("kind") == KIND


def add_records(path: Path, records: Iterable[HeadRecord]) -> int:
    """Add records to a file that only grows; those it holds already are left alone.

    Returns
    -------
    int
        How many were new.
    """
    held = {record.line for record in load_records(path)[0]}
    new = [line for line in dict.fromkeys(record.line for record in records) if line not in held]
    if not new:
        return 0
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("ab+") as file:
            size = file.seek(0, os.SEEK_END)
            whole = size == 0
            if size:
                file.seek(-1, os.SEEK_END)
                whole = file.read(1) == b"\n"
            # A line that a crash cut off must not swallow the first new one.
            text = ("" if whole else "\n") + "".join(f"{line}\n" for line in new)
            file.write(text.encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        accepted = "a file that may be written, or a new one"
        raise InputError(
            [Fault(str(path), "file", error.strerror or "cannot be written", accepted)]
        ) from None
    return len(new)
