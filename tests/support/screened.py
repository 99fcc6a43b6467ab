"""Small lists to screen: a stand-in for the readers, invented materials, and a quick judge."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from small_catalog import SMALL

from configurator.catalog.catalog import Catalog
from configurator.request.load import material_from, process_from
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.chunk import Chunk, JudgedChunk, ListRow, Setup, judge_chunk
from configurator.screen.results import Form, head_bytes
from configurator.screen.results_file import Fingerprint
from configurator.screen.run import fingerprint_of
from configurator.screen.store import Kept
from configurator.screen.verdict import Verdict
from configurator.workshop.workshop import Workshop

COLUMNS = ("name", "viscosity")


@dataclass(frozen=True)
class Entry:
    """One row, in the shape that the readers give."""

    number: int
    line: int
    cells: Mapping[str, str]
    material: Material | None
    fault: str = ""


@dataclass(frozen=True)
class StandIn:
    """A list that is in memory."""

    entries: Sequence[Entry]
    columns: tuple[str, ...] = COLUMNS
    warnings: tuple[str, ...] = ()

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries)


@cache
def catalog() -> Catalog:
    return SMALL.catalog


@cache
def process(name: str = "pour") -> Process:
    return process_from({**SMALL.process, "name": name}, name)


def material(number: int, viscosity: str = "") -> Material:
    tables = SMALL.having(
        {"component.flow.viscosity": viscosity or f"{10 + number % 7} Pa*s"}
    ).material
    return material_from({**tables, "name": f"m{number}"}, "row")


def rows(count: int, *, bad: Sequence[int] = ()) -> StandIn:
    """Rows of an invented list; those numbered in `bad` could not be read."""
    return StandIn([entry(number, bad=number in bad) for number in range(1, count + 1)])


def entry(number: int, *, bad: bool = False, viscosity: str = "") -> Entry:
    made = None if bad else material(number, viscosity)
    stated = "many" if bad else viscosity or f"{10 + number % 7} Pa*s"
    fault = f"line {number + 1}: viscosity: given 'many'; accepted: a viscosity" if bad else ""
    return Entry(number, number + 1, {"name": f"m{number}", "viscosity": stated}, made, fault)


def setup(form: Form = "csv", processes: Sequence[str] = ("pour",)) -> Setup:
    return Setup(COLUMNS, form, tuple(process(name) for name in processes), Workshop(catalog()))


@dataclass
class QuickJudge:
    """Stands for the judge where only the way of the rows is looked at."""

    asked: list[int] = field(default_factory=list)

    def __call__(
        self, materials: Sequence[Material], process: Process, *_: object
    ) -> list[Verdict]:
        self.asked.append(len(materials))
        return [quick_verdict(material, process) for material in materials]


def quick_verdict(material: Material, process: Process) -> Verdict:
    number = int(material.name.removeprefix("m"))
    state = ("fits", "marginal", "unproven", "ruled out")[number % 4]
    return Verdict(
        state,
        fits=number * 10**11 if state == "fits" else 0,
        marginal=number if state in {"fits", "marginal"} else 0,
        unproven=0 if state == "ruled out" else 1,
        best_build=""
        if state == "ruled out"
        else f"size=small, cavity=one-ml, feed={process.name}",
        margin=None if state == "ruled out" else number / 7 - 1,
        margin_rule="volume error",
        reason="" if state == "fits" else "+volume error: off by 5 %, \N{DEGREE SIGN}",
        measure_first="",
    )


def kept(
    out: Path,
    asked: Setup,
    *,
    resume: bool = False,
    force: bool = False,
    changes: Fingerprint | None = None,
) -> Kept:
    """The store of a results file, as the command makes it."""
    fingerprint = {**fingerprint_of(asked, "", {"--format": asked.form}), **(changes or {})}
    return Kept(
        out,
        form=asked.form,
        heads=asked.heads,
        head=head_bytes(asked.form, asked.heads),
        fingerprint=fingerprint,
        resume=resume,
        force=force,
    )


def with_entry(listed: StandIn, number: int, other: Entry) -> StandIn:
    """The list with another row in place of one."""
    changed = [other if entry.number == number else entry for entry in listed.entries]
    return replace(listed, entries=changed)


def chunks(count: int, size: int = 2) -> Iterator[Chunk]:
    for number in range(count):
        listed = [entry(1 + number * size + place) for place in range(size)]
        yield Chunk(
            number,
            tuple(
                ListRow(each.number, each.line, tuple(each.cells.values()), each.material)
                for each in listed
            ),
        )


def texts(judged: Iterable[JudgedChunk]) -> list[bytes]:
    return [each.text for each in judged]


def wanted(count: int, size: int = 2) -> list[bytes]:
    return [judge_chunk(setup(), chunk).text for chunk in chunks(count, size)]


class Deadly:
    """Stands for a material that ends whoever takes it up."""

    def __reduce__(self) -> tuple[object, ...]:
        return os._exit, (9,)
