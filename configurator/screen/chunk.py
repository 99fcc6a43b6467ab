"""Rows in chunks: the piece of work that a process or a machine gets, and what comes back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.digests import content_digest, findings_digest
from configurator.screen.result_columns import heads_of
from configurator.screen.writers import Form
from configurator.workshop.workshop import Workshop


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row of the list as a worker needs it; plain, so that it travels."""

    number: int
    """From 1."""
    line: int
    """Line of the list on which it begins."""
    cells: tuple[str, ...]
    """In the order of the list's columns."""
    material: Material | None
    """None if it could not be read."""
    fault: str = ""
    """Why not."""


@dataclass(frozen=True)
class Setup:
    """What all chunks of a run have in common."""

    columns: tuple[str, ...]
    """Of the list."""
    form: Form
    """csv, jsonl or parquet."""
    processes: tuple[Process, ...]
    """What each row is asked for, in order."""
    workshop: Workshop
    """What can be built from, and what was measured."""
    heads: tuple[str, ...] = field(init=False)
    process_digests: tuple[str, ...] = field(init=False)
    evidence_digest: str = field(init=False)

    def __post_init__(self) -> None:
        digests = tuple(content_digest(process) for process in self.processes)
        object.__setattr__(self, "heads", heads_of(self.columns))
        object.__setattr__(self, "process_digests", digests)
        object.__setattr__(self, "evidence_digest", findings_digest(self.workshop))


@dataclass(frozen=True, slots=True)
class Chunk:
    """Rows that follow one another, and the place of the chunk among all."""

    number: int
    rows: tuple[ListRow, ...]

    @property
    def words(self) -> str:
        """Which rows these are, for a person."""
        first, last = self.rows[0].number, self.rows[-1].number
        return f"row {first}" if first == last else f"rows {first} to {last}"


@dataclass(frozen=True, slots=True)
class JudgedChunk:
    """A judged chunk."""

    number: int
    """Of the chunk."""
    rows: int
    """Rows of the list in it."""
    text: bytes
    """Whole lines of the results file, all processes of a row together."""
    counts: Mapping[tuple[str, str], int]
    """Result rows by process and state."""
    catalog_faults: int
    program_faults: int
    """Rows that were not judged, by whose fault that is."""
    detours: int
    """Result rows that were judged the long way, because the quick one failed."""
    detour: str
    """How it failed the first time."""
    seconds: float
    """Time that it took."""
    version: str
    """Tool and rules of whoever judged it."""
