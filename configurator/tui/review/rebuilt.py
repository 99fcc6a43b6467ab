"""From a result row back to its question: material and process as they were judged, or why not."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from configurator.errors import HeadwrightError, InputError, shown
from configurator.request.load import material_files, process_files
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.digests import content_digest, findings_digest, rules_digest, shortened
from configurator.screen.header import FILE, TOP_KEYS, Row
from configurator.screen.row_material import RowReader, as_line
from configurator.tui.document import Document, open_document
from configurator.tui.review.result_row import ResultRow
from configurator.units.toml_text import plain
from configurator.workshop.workshop import Workshop

_PLAIN_NAME = re.compile(r"[a-z0-9][a-z0-9.+-]*")
_REST = "..."
"""The column of a list in JSON Lines for keys that its first row lacks."""


@dataclass(frozen=True)
class Bench:
    """What a row would be judged with now, and where the files that it names may be."""

    workshop: Workshop
    """What can be built from, and what was measured."""
    examples: Path
    folders: tuple[Path, ...] = ()
    """Where files that rows name begin: that of the results, that of the list."""
    processes: tuple[Document, ...] = ()
    """Processes that were given, before any that is found by its name."""


@dataclass(frozen=True)
class Rebuilt:
    """What became of the way back."""

    material: Document | None
    process: Document | None
    """None where it cannot be had."""
    refusals: tuple[str, ...] = ()
    """Why not, a line each."""
    differs: tuple[str, ...] = ()
    """What is not as it was when the row was judged."""


def rebuild(row: ResultRow, bench: Bench) -> Rebuilt:
    """Find material and process of a row, and compare them with what was judged."""
    refusals: list[str] = []
    material = _first(_materials(row, bench), row.text("material_sha256"), refusals)
    process = _first(_processes(row, bench), row.text("process_sha256"), refusals)
    if process is None and not refusals:
        name = shown(row.text("process") or "none", 80)
        refusals.append(f"no process '{name}' at hand; start with --process FILE")
    return Rebuilt(
        None if material is None else material[0],
        None if process is None else process[0],
        tuple(refusals),
        tuple(_differences(row, bench, material, process)),
    )


Candidate = tuple[Document, Material | Process]


def _first(
    candidates: Iterator[Callable[[], Candidate]], digest: str, refusals: list[str]
) -> Candidate | None:
    """The candidate that was judged, else the first that can be read, else why the first cannot."""
    found: Candidate | None = None
    failed: HeadwrightError | None = None
    for candidate in candidates:
        try:
            document, model = candidate()
        except HeadwrightError as error:
            failed = failed or error
            continue
        if content_digest(model) == digest:
            return document, model
        found = found or (document, model)
    if found is None and failed is not None:
        whole = as_line(failed.faults) if isinstance(failed, InputError) else str(failed)
        refusals.append(whole)
    return found


def _materials(row: ResultRow, bench: Bench) -> Iterator[Callable[[], Candidate]]:
    """Readings of a row's own cells, from the folder of the results first."""
    named = row.text(FILE).strip()
    for folder in bench.folders or (Path(),):
        reader = RowReader("the list", folder, bench.examples)
        for values in _values(row.inputs):
            asked = Row(row.number, row.count("line") or 0, row.inputs, values)
            if named:
                yield partial(_from_file, reader, asked, _place(named, folder, bench), bench)
            else:
                yield partial(_from_cells, reader, asked)


def _from_cells(reader: RowReader, asked: Row) -> Candidate:
    material = reader.material(asked)
    return Document("material", plain(material, material.basis), edited=True), material


def _from_file(reader: RowReader, asked: Row, place: str, bench: Bench) -> Candidate:
    material = reader.material(asked)  # in the words of a list, if it cannot be had
    return open_document("material", place, bench.examples), material


def _place(named: str, folder: Path, bench: Bench) -> str:
    """How the commands call the file of a row: its path, or the name of a shipped example."""
    own = folder / named
    if not own.is_file() and named in material_files(bench.examples):
        return named
    text = str(own)
    return text if os.sep in text or text.endswith(".toml") else f".{os.sep}{text}"


def _values(inputs: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    """What a row gave by column: as text, then with everything as JSON that reads as JSON.

    A list in JSON Lines may hold tables, numbers and truth values; results keep them as text.
    """
    nested = {key: text for key, text in inputs.items() if text[:1] in ("{", "[")}
    tables = {key: _decoded(text) for key, text in nested.items() if key in TOP_KEYS}
    rest = _decoded(inputs.get(_REST, ""))
    later = rest if isinstance(rest, dict) else {}
    bare = {key: text for key, text in inputs.items() if key != _REST or not later}
    yield {**bare, **tables, **later}
    decoded = {key: _decoded(text) for key, text in bare.items()}
    if any(value is not bare[key] for key, value in decoded.items()):
        yield {**decoded, **later}


def _decoded(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return text


def _processes(row: ResultRow, bench: Bench) -> Iterator[Callable[[], Candidate]]:
    """Those given first, then what is called so beside the results, then shipped examples."""
    name = row.text("process")
    for document in bench.processes:
        if document.name == name:
            yield partial(_checked, document)
    if not _PLAIN_NAME.fullmatch(name):
        return
    for folder in bench.folders:
        path = folder / f"{name}.toml"
        if path.is_file():
            yield partial(_process, str(path), bench)
    if name in process_files(bench.examples):
        yield partial(_process, name, bench)


def _process(name_or_path: str, bench: Bench) -> Candidate:
    return _checked(open_document("process", name_or_path, bench.examples))


def _checked(document: Document) -> Candidate:
    model, faults = document.checked()
    if model is None:
        raise InputError(faults)
    return document, model


def _differences(
    row: ResultRow, bench: Bench, material: Candidate | None, process: Candidate | None
) -> Iterator[str]:
    model = None if material is None else material[1]
    workshop = bench.workshop.measured_on(model if isinstance(model, Material) else None)
    two_part = not isinstance(model, Material) or model.two_part
    if row.text("catalog_sha256") != shortened(workshop.catalog.digest_for(two_part=two_part)):
        yield "judged with another catalog"
    if row.text("rules_sha256") != rules_digest():
        yield "judged with other rules"
    if row.text("evidence_sha256") != findings_digest(bench.workshop):
        yield "judged with other findings of the shop"
    if material is not None and row.text("material_sha256") != content_digest(material[1]):
        yield "the material reads otherwise than when it was judged"
    if process is not None and row.text("process_sha256") != content_digest(process[1]):
        yield f"the process {process[0].name} is not as it was when it was judged"
