"""Reading a catalog folder: every fault of every file, in one go."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.parts import PART_TYPES, Name, Note, Part, Title
from configurator.catalog.practice import Practice
from configurator.catalog.substances import (
    Constituent,
    SubstanceFile,
    SwellGroup,
    VerdictGroup,
    WettedMaterial,
)
from configurator.errors import CatalogError, Fault, InputError
from configurator.reading import read_toml
from configurator.units.fields import Frozen, SchemaVersion
from configurator.units.interval import Basis
from configurator.units.validation import faults_from_validation

MAX_FILES = 200
"""More than any workshop's catalog; a folder of thousands was named by mistake."""


Model = TypeVar("Model", bound=BaseModel)


class CatalogHead(Frozen):
    """The keys of a catalog file beside its arrays of parts."""

    schema_version: SchemaVersion
    name: Name | None = None
    title: Title | None = None
    invented: bool = False
    basis: Basis | None = None
    source: Note = ""
    note: Note = ""


@dataclass
class _Reading:
    """What has been gathered from the files so far."""

    digest: Any = field(default_factory=hashlib.sha256)
    faults: list[Fault] = field(default_factory=list)
    stated: set[str] = field(default_factory=set)
    """Slots, and `practice`, of which some file states something, readable or not."""
    name: str | None = None
    title: str = ""
    practice: Practice | None = None
    parts: dict[str, list[Part]] = field(
        default_factory=lambda: {part.slot: [] for part in PART_TYPES}
    )
    constituents: dict[str, Constituent] = field(default_factory=dict)
    wetted: dict[str, WettedMaterial] = field(default_factory=dict)
    verdicts: list[VerdictGroup] = field(default_factory=list)
    swell: list[SwellGroup] = field(default_factory=list)


def load_catalog(folder: Path, *, substances: Path, where: str | None = None) -> Catalog:
    """Read a catalog from a folder of TOML files.

    Parameters
    ----------
    folder : Path
        Holds the part files, and may hold substance files of its own in `substances/`,
        which add to the shipped ones and replace records of the same name.
    substances : Path
        Folder of the shipped substance files.
    where : str, optional
        How to name the folder in an answer; the path as given if left out.

    Raises
    ------
    CatalogError
        With every fault of every file.
    """
    catalog, faults = read_catalog(folder, substances=substances, where=where)
    if faults:
        raise CatalogError(faults)
    assert catalog is not None  # one that lacks something has a fault
    return catalog


def read_catalog(
    folder: Path, *, substances: Path, where: str | None = None
) -> tuple[Catalog | None, tuple[Fault, ...]]:
    """Read what can be read of a catalog; as `load_catalog` otherwise.

    Returns
    -------
    tuple
        The catalog without what has faults, or None if nothing makes sense without its shop
        practice; and every fault of every file.
    """
    reading = _Reading()
    label = str(folder) if where is None else where
    files = _toml_files(folder, label, reading)
    for path in files:
        _read_parts(path, reading)
    for chemistry in (substances, folder / "substances"):
        if chemistry.is_dir():
            for path in _toml_files(chemistry, str(chemistry), reading):
                _read_substances(path, reading)
    _require_whole(label, reading, read=bool(files))
    faults = tuple(dict.fromkeys(reading.faults))
    if reading.practice is None:
        return None, faults
    catalog = Catalog(
        name=reading.name or folder.name,
        title=reading.title,
        sha256=reading.digest.hexdigest(),
        where=label,
        parts={slot: tuple(parts) for slot, parts in reading.parts.items()},
        practice=reading.practice,
        substances=Substances(
            constituents=reading.constituents,
            wetted=reading.wetted,
            verdicts=tuple(reading.verdicts),
            swell=tuple(reading.swell),
        ),
    )
    return catalog, faults


def _toml_files(folder: Path, label: str, reading: _Reading) -> list[Path]:
    accepted = "a folder of catalog files (*.toml)"
    if not folder.is_dir():
        reading.faults.append(Fault(label, "catalog", "no such folder", accepted))
        return []
    files = sorted(folder.glob("*.toml"))
    if not files:
        reading.faults.append(Fault(label, "catalog", "no *.toml file in it", accepted))
    if len(files) > MAX_FILES:
        given = f"{len(files)} files"
        reading.faults.append(Fault(label, "catalog", given, f"at most {MAX_FILES} files"))
        return []
    return files


def _tables(path: Path, reading: _Reading) -> dict[str, Any] | None:
    """Parse one file and add its bytes to the digest."""
    try:
        tables, raw = read_toml(path)
    except InputError as error:
        reading.faults += error.faults
        return None
    reading.digest.update(path.name.encode() + b"\0" + raw + b"\0")
    return tables


def _read_parts(path: Path, reading: _Reading) -> None:
    tables = _tables(path, reading)
    if tables is None:
        return
    slots = {part.slot: part for part in PART_TYPES}
    arrays = {slot: tables.pop(slot, []) for slot in slots}
    practice = tables.pop("practice", None)
    reading.stated |= {slot for slot, entries in arrays.items() if entries}
    reading.stated |= {"practice"} if practice is not None else set()
    head = _validated(CatalogHead, tables, path, reading, names=(*slots, "practice"))
    if head is not None and head.name is not None:
        reading.name, reading.title = head.name, head.title or head.name
    basis = _basis(tables) if head is None else head.basis
    for slot, model in slots.items():
        entries = arrays[slot]
        if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
            accepted = f"an array of tables, each headed [[{slot}]]"
            reading.faults.append(Fault(str(path), slot, "something else", accepted))
            continue
        for number, entry in enumerate(entries, start=1):
            part = _validated(
                model, entry, path, reading, basis=basis, prefix=_prefix(slot, number, entry)
            )
            if part is not None:
                reading.parts[slot].append(part)
    if practice is not None:
        reading.practice = _validated(
            Practice, practice, path, reading, basis=basis, prefix="practice."
        )


def _basis(tables: Mapping[str, Any]) -> Basis | None:
    """Basis of a file whose head has a fault: its parts are read all the same.

    Where the basis is itself what is wrong, one stands in, so that each part does not miss it.
    """
    try:
        return Basis(tables["basis"]) if "basis" in tables else None
    except ValueError:
        return Basis.INVENTED


def _read_substances(path: Path, reading: _Reading) -> None:
    tables = _tables(path, reading)
    if tables is None:
        return
    file = _validated(SubstanceFile, tables, path, reading, basis=Basis.FROM_MEMORY)
    if file is not None:
        reading.constituents.update({entry.name: entry for entry in file.constituent})
        reading.wetted.update({entry.code: entry for entry in file.wetted})
        reading.verdicts.extend(file.verdicts)
        reading.swell.extend(file.swell)


def _prefix(slot: str, number: int, entry: Mapping[str, Any]) -> str:
    name = entry.get("name")
    return f"{slot} {name}: " if isinstance(name, str) and name else f"{slot}[{number}]: "


def _validated(
    model: type[Model],
    tables: object,
    path: Path,
    reading: _Reading,
    *,
    basis: Basis | None = None,
    prefix: str = "",
    names: Iterable[str] = (),
) -> Model | None:
    try:
        return model.model_validate(tables, context={"basis": basis})
    except ValidationError as error:
        reading.faults.extend(
            faults_from_validation(error, where=str(path), model=model, prefix=prefix, names=names)
        )
        return None


def _require_whole(label: str, reading: _Reading, *, read: bool) -> None:
    """A catalog needs parts in each slot and shop practice; say all that is missing."""
    for slot, parts in reading.parts.items():
        if read and slot not in reading.stated:
            accepted = f"at least one [[{slot}]]"
            reading.faults.append(Fault(label, slot, "no part", accepted))
        seen: set[str] = set()
        for part in parts:
            if part.name in seen:
                reading.faults.append(
                    Fault(label, f"{slot} {part.name}", "the name twice", "each name once a slot")
                )
            seen.add(part.name)
    if read and "practice" not in reading.stated:
        reading.faults.append(Fault(label, "practice", "no such table", "one [practice] table"))


CATALOG_VARIABLE = "HEADWRIGHT_CATALOG"
"""Environment variable that names the catalog folder to use."""


def shipped_folder() -> Path:
    """The folder of shipped catalogs: beside the package in a checkout, inside it in a wheel."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "_catalogs"
    return inside if inside.is_dir() else package.parent / "catalogs"


def catalog_folder(given: Path | None) -> tuple[Path, str]:
    """Which catalog to use, and what to call it in an answer.

    The order is: the folder given, the one that `HEADWRIGHT_CATALOG` names, the user's own
    (`$XDG_CONFIG_HOME/headwright/catalog`), the shipped one.
    """
    if given is not None:
        return given, str(given)
    if named := os.environ.get(CATALOG_VARIABLE):
        return Path(named), named
    config = os.environ.get("XDG_CONFIG_HOME") or str(Path.home() / ".config")
    own = Path(config) / "headwright" / "catalog"
    if own.is_dir():
        return own, str(own)
    return shipped_folder() / "generic", "shipped"
