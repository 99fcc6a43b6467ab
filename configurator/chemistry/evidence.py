"""What this shop has measured itself: immersion results and trial findings, with dates."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import Field, StringConstraints, ValidationError, model_validator

from configurator.catalog.parts import Code
from configurator.catalog.substances import Grade
from configurator.errors import Fault, InputError
from configurator.units.fields import Frozen
from configurator.units.grouped import grouped

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


SATISFACTORY_SWELL = 0.03
"""Greatest volume change of a satisfactory immersion (common practice, no source). [-]"""

LIMITED_SWELL = 0.08
"""Greatest volume change of a limited immersion (common practice, no source). [-]"""

SATISFACTORY_HARDNESS = 5.0
"""Greatest change of hardness of a satisfactory immersion (common practice). [Shore A]"""

LIMITED_HARDNESS = 10.0
"""Greatest change of hardness of a limited immersion (common practice, no source). [Shore A]"""

Text = Annotated[str, StringConstraints(min_length=1, max_length=120, strip_whitespace=True)]
Remark = Annotated[str, StringConstraints(max_length=400)]

EARLIEST = date(1970, 1, 1)
"""Records from before this are slips of the pen."""

GRADES: tuple[Grade, ...] = ("satisfactory", "limited", "not satisfactory")
"""From best to worst."""


class EvidenceRecord(RecordLine):
    """One finding of the shop: a substance, or a whole product, on one wetted material.

    Temperatures are in degC and changes in per cent or Shore A points, as they are written
    down in a laboratory.
    """

    date: date
    material: Code
    """Code of the wetted material."""
    grade_name: Annotated[str, StringConstraints(max_length=80)] = ""
    """The compound or alloy that was tested, as its maker names it; empty if any."""
    substance: Text
    """A constituent, or the name of a whole product."""
    kind: Literal["immersion", "trial", "withdrawal"] = "immersion"
    """A withdrawal takes away every finding on the pair up to its date."""
    temperature_c: Annotated[float, Field(ge=-100.0, le=400.0)]
    hours: Annotated[float, Field(gt=0.0, le=100_000.0)]
    swelling_pct: Annotated[float, Field(ge=-100.0, le=2000.0)] | None = None
    hardness_change: Annotated[float, Field(ge=-100.0, le=100.0)] | None = None
    grade: Grade
    """What the shop made of it; never better than the numbers allow."""
    note: Remark = ""

    @model_validator(mode="before")
    @classmethod
    def _grade_from_numbers(cls, value: Any) -> Any:
        if isinstance(value, dict) and "grade" not in value:
            graded = grade_from_immersion(
                swelling=_number(value.get("swelling_pct"), 0.01),
                hardness_change=_number(value.get("hardness_change"), 1.0),
            )
            if graded is not None:
                return {**value, "grade": graded}
        return value

    @model_validator(mode="after")
    def _not_better_than_measured(self) -> Self:
        if not EARLIEST <= self.date <= date.today() + timedelta(days=1):  # noqa: DTZ011 - local
            raise ValueError(f"no finding is from before {EARLIEST.year}, and none from the future")
        graded = grade_from_immersion(
            swelling=None if self.swelling_pct is None else self.swelling_pct / 100.0,
            hardness_change=self.hardness_change,
        )
        if graded is not None and GRADES.index(self.grade) < GRADES.index(graded):
            raise ValueError(f"the measured change makes this {graded}, not {self.grade}")
        return self

    @property
    def temperature(self) -> float:
        """Temperature of the contact in K."""
        return self.temperature_c + 273.15

    @property
    def swelling(self) -> float | None:
        """Volume change as a share."""
        return None if self.swelling_pct is None else self.swelling_pct / 100.0


def _number(value: Any, factor: float) -> float | None:
    plain = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) * factor if plain else None


def grade_from_immersion(*, swelling: float | None, hardness_change: float | None) -> Grade | None:
    """Grade an immersion by the worse of its changes; None when nothing was measured.

    Parameters
    ----------
    swelling : float or None
        Relative volume change; shrinking is negative and counts alike. [-]
    hardness_change : float or None
        Change of hardness. [Shore A]

    Examples
    --------
    >>> grade_from_immersion(swelling=0.02, hardness_change=-7.0)
    'limited'
    """
    pairs = (
        (swelling, SATISFACTORY_SWELL, LIMITED_SWELL),
        (hardness_change, SATISFACTORY_HARDNESS, LIMITED_HARDNESS),
    )
    worst = max(
        (
            (abs(value) > good) + (abs(value) > fair)
            for value, good, fair in pairs
            if value is not None
        ),
        default=None,
    )
    return None if worst is None else GRADES[worst]


@dataclass(frozen=True)
class Evidence:
    """All findings of a shop."""

    records: tuple[EvidenceRecord, ...] = ()
    """Those that could be read, in the order of the file."""
    faults: tuple[Fault, ...] = ()
    """One for each line that could not."""
    _by_pair: dict[tuple[str, str], tuple[EvidenceRecord, ...]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        pairs = grouped(self.records, lambda each: (_folded(each.substance), each.material))
        self._by_pair.update({pair: tuple(found) for pair, found in pairs.items()})

    @cached_property
    def _compounds(self) -> frozenset[str]:
        return frozenset(record.material for record in self.records if record.grade_name)

    def names_compounds(self, material: str) -> bool:
        """Whether a finding on a wetted material speaks of one compound or alloy of it alone."""
        return material in self._compounds

    def speaks_of(self, substance: str) -> bool:
        """Whether there is a finding on a substance or product under this spelling."""
        return _folded(substance) in self._substances

    @cached_property
    def _substances(self) -> frozenset[str]:
        return frozenset(substance for substance, _ in self._by_pair)

    def on(self, material: str, *spellings: str) -> tuple[EvidenceRecord, ...]:
        """Return the findings on a wetted material for a substance under any of its spellings."""
        keys = dict.fromkeys(_folded(spelling) for spelling in spellings if spelling)
        return tuple(record for key in keys for record in self._by_pair.get((key, material), ()))


def _folded(text: str) -> str:
    return " ".join(text.split()).casefold()


HEAD_TRIAL = b'"kind": "head trial"'
"""Marks a line that is the trial of a head and no finding on a pair."""


def load_evidence(path: Path) -> Evidence:
    """Read a shop's record, as `record_file.read_lines`."""
    wanted = "one finding with date, material, substance, temperature_c, hours and grade"
    return Evidence(*read_lines(path, EvidenceRecord, _is_finding, wanted))


def _is_finding(line: bytes) -> bool:
    # The trials of whole heads stand in the same record, for another reader.
    return bool(line.strip()) and HEAD_TRIAL not in line


def add_evidence(path: Path, records: Iterable[EvidenceRecord]) -> int:
    """Add findings to a shop's record, as `record_file.add_lines`; return how many were new."""
    return add_lines(path, load_evidence(path).records, records, "a file that may be added to")


def import_evidence(
    path: Path, source: Path, read: Callable[[Path], Evidence] = load_evidence
) -> tuple[int, Sequence[Fault]]:
    """Take over the findings of another record, `source`, into the shop's own file.

    Returned are how many findings were new, and the lines of the source that could not be read.
    """
    found = read(source)
    return add_evidence(path, found.records), found.faults
