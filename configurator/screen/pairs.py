"""A list of jobs: pairs of a material and a process, each a file or a shipped example."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import TypeVar

from configurator.errors import Fault, InputError, shown
from configurator.reading import is_file
from configurator.request.load import load_material, load_process
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.csv_rows import CsvRows
from configurator.screen.header import Header, Row, place
from configurator.screen.lines import Lines, Source

COLUMNS = ("material", "process")
WANTED = "a CSV file with the columns material and process"

Read = TypeVar("Read", Material, Process)


@dataclass(frozen=True)
class Job:
    """One row of the list."""

    line: int
    """Of the file."""
    material: Material
    process: Process

    @property
    def title(self) -> str:
        """Names of material and process."""
        return f"{self.material.name}, {self.process.name}"


def read_pairs(path: Path, *, folder: Path, most: int) -> tuple[Job, ...]:
    """Read a list of jobs.

    Parameters
    ----------
    path : Path
        The file; paths in it start from its folder.
    folder : Path
        Folder of the shipped examples.
    most : int
        Rows that are accepted.

    Raises
    ------
    InputError
        With every fault, each with its line and column.
    """
    name = str(path)
    try:
        opened = path.open("rb")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no name of a file"
        raise InputError([Fault(name, "file", reason, WANTED)]) from None
    with opened, Source(opened, name, None) as source:
        try:
            found = list(islice(CsvRows(Lines(source), name, _header), most + 1))
        except OSError as error:
            raise InputError([Fault(name, "file", str(error.strerror), WANTED)]) from None
    if not 1 <= len(found) <= most:
        given = "no row below the header" if not found else f"more than {most} rows"
        raise InputError([Fault(name, "file", given, f"1 to {most} pairs")])
    jobs: list[Job] = []
    faults: list[Fault] = []
    for row in found:
        try:
            jobs.append(_job(row, name, path.parent, folder))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return tuple(jobs)


def _header(columns: Sequence[str], where: str) -> Header:
    for wanted in COLUMNS:
        if wanted not in columns:
            hint = f"there is no column {wanted}"
            raise InputError([Fault(where, "header", ", ".join(columns), WANTED, hint)])
    return Header(tuple(columns), {})


def _job(row: Row, name: str, base: Path, folder: Path) -> Job:
    if row.fault is not None:
        raise InputError([row.fault])
    where = place(name, row.line)
    material = _read(load_material, row.cells["material"], "material", where, base, folder)
    process = _read(load_process, row.cells["process"], "process", where, base, folder)
    return Job(row.line, material, process)


def _read(  # noqa: PLR0917 - a cell, and where it stands
    load: Callable[..., Read], text: str, column: str, where: str, base: Path, folder: Path
) -> Read:
    """Read the file or the example that a cell names; a fault names the cell, or the file."""
    text = text.strip()
    own = base / text
    of_file = bool(text) and is_file(own)
    try:
        return load(own if of_file else text, folder=folder)
    except InputError as error:
        if of_file:
            raise
        accepted, hint = error.faults[0].accepted, error.faults[0].hint
        given = shown(text) or "nothing"
        raise InputError([Fault(where, column, given, accepted, hint)]) from None
