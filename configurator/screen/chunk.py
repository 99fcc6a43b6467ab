"""Rows in chunks: the piece of work that a process or a machine gets, and judging it."""

from __future__ import annotations

import time
import warnings
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from configurator.errors import CatalogError, HeadwrightError, shown
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.digests import (
    content_digest,
    findings_digest,
    rules_digest,
    shortened,
    tool_version,
)
from configurator.screen.extras import Extras
from configurator.screen.judge import judge
from configurator.screen.results import (
    NOT_JUDGED,
    Form,
    Value,
    heads_of,
    result_cells,
    rows_bytes,
    verdict_cells,
)
from configurator.screen.verdict import NOT_READ, Verdict, verdict_on
from configurator.workshop.workshop import Workshop

LONGEST_FAULT = 600


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
    known: tuple[Mapping[str, Value] | None, ...] = ()
    """By process, what an earlier run has found for the very same; None where it has to be judged."""


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
    extras: Extras = field(default_factory=Extras)
    """What each row is asked for beside its verdict."""
    heads: tuple[str, ...] = field(init=False)
    process_digests: tuple[str, ...] = field(init=False)
    evidence_digest: str = field(init=False)

    def __post_init__(self) -> None:
        digests = tuple(content_digest(process) for process in self.processes)
        object.__setattr__(self, "heads", heads_of(self.columns, self.extras.names))
        object.__setattr__(self, "process_digests", digests)
        object.__setattr__(self, "evidence_digest", findings_digest(self.workshop))

    def judged(self, chunk: Chunk) -> JudgedChunk:
        """Judge a chunk."""
        return judge_chunk(self, chunk)


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


class Done(Protocol):
    """What came of a chunk."""

    @property
    def number(self) -> int:
        """Of the chunk."""


Told_co = TypeVar("Told_co", bound=Done, covariant=True)


class AskedOfChunks(Protocol[Told_co]):
    """What is asked of every chunk; it travels to whoever works on them."""

    def judged(self, chunk: Chunk) -> Told_co:
        """What comes of a chunk."""


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
    reused: int
    """Result rows that were taken over from an earlier run."""
    detours: int
    """Result rows that were judged one by one or the long way, because the quick one failed."""
    detour: str
    """How it failed the first time."""
    seconds: float
    """Time that it took."""
    version: str
    """Tool and rules of whoever judged it."""


@dataclass(frozen=True, slots=True)
class _Told:
    """What comes of one row for one process."""

    cells: dict[str, Value]
    """What to write, by column."""
    culprit: str = ""
    """Whose fault it is that the row was not judged: `catalog`, `program` or nobody's."""
    detour: str = ""
    """How the quick judge failed, if it did on this row or on those judged together with it."""


class DetourWarning(RuntimeWarning):
    """The quick judge failed in a way that nobody foresaw: a fault of the program.

    The rows are judged all the same; whoever turns warnings into errors, as the tests do, stops here.
    """


def own_version() -> str:
    """Tool and rules of this process."""
    return f"{tool_version()} {rules_digest()}"


def judge_chunk(setup: Setup, chunk: Chunk) -> JudgedChunk:
    """Judge the rows of a chunk for every process, and write them as lines."""
    start = time.perf_counter()
    shops = [setup.workshop.measured_on(row.material) for row in chunk.rows]
    by_process = [
        _told(process, chunk.rows, shops, number, setup.extras)
        for number, process in enumerate(setup.processes)
    ]
    counts: Counter[tuple[str, str]] = Counter()
    culprits: Counter[str] = Counter()
    detours: list[str] = []
    reused = sum(each is not None for row in chunk.rows for each in row.known)
    lines: list[Sequence[Value]] = []
    for place, row in enumerate(chunk.rows):
        of_row = _of_row(row, shops[place], setup)
        for process, digest, told in zip(
            setup.processes, setup.process_digests, by_process, strict=True
        ):
            found = told[place]
            of_process = {"process": process.name, "process_sha256": digest}
            ours = {**of_row, **of_process, **found.cells}
            lines.append(result_cells(row.cells, ours, setup.extras.names))
            counts[process.name, str(found.cells["state"])] += 1
            culprits[found.culprit] += 1
            if found.detour:
                detours.append(found.detour)
    return JudgedChunk(
        number=chunk.number,
        rows=len(chunk.rows),
        text=rows_bytes(setup.form, setup.heads, lines),
        counts=counts,
        catalog_faults=culprits["catalog"],
        program_faults=culprits["program"],
        reused=reused,
        detours=len(detours),
        detour=detours[0] if detours else "",
        seconds=time.perf_counter() - start,
        version=own_version(),
    )


def _of_row(row: ListRow, workshop: Workshop, setup: Setup) -> dict[str, Value]:
    """What is said of a row whatever its process."""
    return {
        "row": row.number,
        "line": row.line,
        "material_name": None if row.material is None else row.material.name,
        **row_digests(row.material, workshop, setup),
    }


def row_digests(material: Material | None, workshop: Workshop, setup: Setup) -> dict[str, Value]:
    """All that a row rests on beside its process, by column."""
    return {
        "material_sha256": None if material is None else content_digest(material),
        "catalog_sha256": shortened(
            workshop.catalog.digest_for(two_part=material is None or material.two_part)
        ),
        "evidence_sha256": setup.evidence_digest,
        "rules_sha256": rules_digest(),
        "tool_version": tool_version(),
    }


def _told(
    process: Process,
    rows: Sequence[ListRow],
    workshops: Sequence[Workshop],
    number: int,
    extras: Extras,
) -> list[_Told]:
    """What comes of each row; those that share a catalog are judged together."""
    found = [_Told({"state": NOT_READ, "fault": row.fault}) for row in rows]
    shared: dict[int, list[tuple[int, Material]]] = {}
    for place, (row, workshop) in enumerate(zip(rows, workshops, strict=True)):
        known = row.known[number] if row.known else None
        if known is not None:
            found[place] = _Told(dict(known))
        elif row.material is not None:
            shared.setdefault(id(workshop), []).append((place, row.material))
    for entries in shared.values():
        workshop = workshops[entries[0][0]]
        materials = [material for _, material in entries]
        try:
            together = judge(materials, process, workshop)
            told = [_Told(_cells(verdict)) for verdict in together]
        except Exception as error:  # noqa: BLE001 - the rows at fault are found one by one, and told
            cause = _cause(error)
            told = [_alone(material, process, workshop, cause) for material in materials]
        for (place, material), one in zip(entries, told, strict=True):
            if extras.columns and one.cells["state"] not in (NOT_READ, NOT_JUDGED):
                one.cells.update(extras.cells(material, process, workshop))
            found[place] = one
    return found


def _alone(material: Material, process: Process, workshop: Workshop, detour: str) -> _Told:
    """Judge one row by itself: quickly, else the long way, else say why neither goes."""
    try:
        return _Told(_cells(judge([material], process, workshop)[0]), detour=detour)
    except Exception as error:  # noqa: BLE001 - the long way has its own say
        detour = _cause(error)
    try:
        verdict = verdict_on(material, process, workshop)
    except HeadwrightError as error:
        cells: dict[str, Value] = {
            "state": NOT_JUDGED,
            "fault": shown(str(error), LONGEST_FAULT),
        }
        return _Told(cells, culprit="catalog" if isinstance(error, CatalogError) else "")
    except Exception as error:  # noqa: BLE001 - a night's work must not end with one row
        return _Told({"state": NOT_JUDGED, "fault": _internal(error)}, culprit="program")
    return _Told(_cells(verdict), detour=detour)


def _cause(error: Exception) -> str:
    """How the quick judge failed; empty if that is no fault of the program."""
    if isinstance(error, HeadwrightError):
        return ""
    said = _internal(error)
    warnings.warn(f"rows are judged one by one: {said}", DetourWarning, stacklevel=2)
    return said


def _internal(error: Exception) -> str:
    return f"internal error: {type(error).__name__}: {shown(str(error), LONGEST_FAULT)}"


def _cells(verdict: Verdict) -> dict[str, Value]:
    if verdict.state == NOT_READ:
        # The row was read well; it is the judge that found nothing to judge in it.
        return {"state": NOT_JUDGED, "fault": verdict.reason}
    return verdict_cells(verdict)
