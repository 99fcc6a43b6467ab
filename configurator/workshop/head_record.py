"""What a trial leaves in the shop's record: measured displacement and slip of a side of a head."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from configurator.chemistry.evidence import RecordLine, add_lines, read_lines
from configurator.errors import Fault

KIND = "head trial"
"""Value of `kind` that tells these lines from others in the same file."""

Name = Annotated[str, StringConstraints(max_length=60)]
Positive = Annotated[float, Field(gt=0.0, lt=1e9)]
NotNegative = Annotated[float, Field(ge=0.0, lt=1e9)]


class HeadRecord(RecordLine):
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
    delivered_ml: Positive | None = None
    """A turn at the nominal flow, as the head was set by; None in a record of older trials."""
    tolerance_pct: Positive | None = None
    drift_pct_h: Annotated[float, Field(gt=-1e6, lt=1e6)] | None = None
    """Change of a whole shot over the hours of the trial; None where none was told."""
    drift_half_pct_h: NotNegative | None = None
    """Half-width of its 95 % interval."""

    @property
    def usable(self) -> bool:
        """Whether anything may rest on it: nothing does on a head that was rejected."""
        return self.verdict != "reject"


def load_records(path: Path) -> tuple[tuple[HeadRecord, ...], tuple[Fault, ...]]:
    """Read the head records of a shop's record, as `record_file.read_lines`."""
    wanted = "a head record, as `headwright trial evaluate --into` writes it"
    return read_lines(path, HeadRecord, _is_head_record, wanted)


def _is_head_record(line: bytes) -> bool:
    """Whether a line of a record file is one of these."""
    if KIND.encode() not in line:
        return False
    try:
        data = json.loads(line)
    except (ValueError, RecursionError):
        return False
    return isinstance(data, dict) and data.get("kind") == KIND


def add_records(path: Path, records: Iterable[HeadRecord]) -> int:
    """Add records to a shop's record, as `record_file.add_lines`; return how many were new."""
    accepted = "a file that may be written, or a new one"
    return add_lines(path, load_records(path)[0], records, accepted)
