"""Reading a catalog folder: every fault of every file, in one go."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from configurator.catalog.catalog import Catalog, Practice, Substances
from configurator.catalog.layers import (
    CatalogHead,
    Layers,
    lay,
    practice_over,
    unstated,
    withdraw,
    without_mixing,
)
from configurator.catalog.parts import PART_TYPES
from configurator.catalog.substances import SubstanceFile
from configurator.errors import CatalogError, Fault, InputError
from configurator.reading import read_toml
from configurator.units.interval import Basis
from configurator.units.validation import faults_from_validation

MAX_FILES = 200
"""More than any workshop's catalog; a folder of thousands was named by mistake."""


Model = TypeVar("Model", bound=BaseModel)


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
    reading = Layers()
    label = str(folder) if where is None else where
    layers = _read_layers(folder, label, reading, above=())
    for chemistry in (substances, *(layer / "substances" for layer in layers)):
        if chemistry.is_dir():
            for path in _toml_files(chemistry, str(chemistry), reading):
                _read_substances(path, reading)
    _require_whole(label, reading, read=bool(layers))
    faults = tuple(dict.fromkeys(reading.faults))
    if reading.practice is None:
        return None, faults
    catalog = Catalog(
        name=reading.name or folder.name,
        title=reading.title,
        sha256=reading.digest.hexdigest(),
        one_part_sha256=reading.one_part_digest.hexdigest(),
        where=label,
        origins=reading.origins,
        stand_ins=tuple(reading.stand_ins),
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


def _read_layers(
    folder: Path, label: str, reading: Layers, *, above: tuple[Path, ...]
) -> tuple[Path, ...]:
    """Read the catalog that a folder extends, then the folder; return the folders, lowest first."""
    read = [(path, _tables(path, reading)) for path in _toml_files(folder, label, reading)]
    files = [(path, tables) for path, tables in read if tables is not None]
    extending = [(path, tables["extends"]) for path, tables in files if "extends" in tables]
    lower: tuple[Path, ...] = ()
    for path, given in extending[:1]:
        base = shipped_folder() / "generic" if given == SHIPPED else folder / str(given)
        accepted = f"{SHIPPED}, or the folder of another catalog"
        if len(extending) > 1:
            twice = f"in {extending[1][0].name} too"
            reading.faults.append(Fault(str(path), "extends", twice, "one catalog to extend"))
        if base.resolve() in (folder.resolve(), *(each.resolve() for each in above)):
            reading.faults.append(Fault(str(path), "extends", f"{given}, in a circle", accepted))
        elif isinstance(given, str) and given:
            lower = _read_layers(base, str(given), reading, above=(*above, folder))
    for path, tables in files:
        _read_parts(path, tables, reading, layered=bool(lower))
    lay(label, reading, layered=bool(lower))
    return (*lower, folder) if read else lower


def _toml_files(folder: Path, label: str, reading: Layers) -> list[Path]:
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


def _tables(path: Path, reading: Layers) -> dict[str, Any] | None:
    """Parse one file and add its bytes to the digest."""
    try:
        tables, raw = read_toml(path)
    except InputError as error:
        reading.faults += error.faults
        return None
    reading.digest.update(path.name.encode() + b"\0" + raw + b"\0")
    reading.one_part_digest.update(path.name.encode() + b"\0" + without_mixing(tables, raw) + b"\0")
    return tables


def _read_parts(path: Path, tables: dict[str, Any], reading: Layers, *, layered: bool) -> None:
    slots = {part.slot: part for part in PART_TYPES}
    arrays = {slot: tables.pop(slot, []) for slot in slots}
    practice = tables.pop("practice", None)
    reading.stated |= {slot for slot, entries in arrays.items() if entries}
    reading.stated |= {"practice"} if practice is not None else set()
    head = _validated(CatalogHead, tables, path, reading, names=(*slots, "practice"))
    if head is not None and head.name is not None:
        reading.name, reading.title = head.name, head.title or head.name
    if head is not None and head.withdraw and not layered:
        accepted = 'extends = "shipped" beside it, or no withdraw'
        reading.faults.append(Fault(str(path), "withdraw", "nothing to extend", accepted))
    elif head is not None:
        withdraw(path, head, reading)
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
                reading.own[slot].append(part)
    if practice is not None:
        below = reading.practice or _standing_in(practice, path, reading)
        if layered and isinstance(practice, dict):
            own = f"replaced by {path.parent.name}"
            reading.origins |= {f"practice {key}": own for key in practice}
        reading.practice = _validated(
            Practice,
            practice_over(practice, below),
            path,
            reading,
            basis=basis,
            prefix="practice.",
        )


def _standing_in(practice: object, path: Path, reading: Layers) -> Practice | None:
    """The shipped rules of thumb, where the lowest layer leaves some out.

    A later version of the program may ask for more of them than a shop's file of today states.
    """
    shipped = shipped_folder() / "generic" / "practice.toml"
    missing = unstated(practice)
    if not missing or path.resolve() == shipped.resolve():
        return None
    reading.stand_ins = missing
    reading.origins |= {f"practice {name}": f"of the {SHIPPED} catalog" for name in missing}
    tables = _tables(shipped, reading) or {}
    given = tables.get("practice")
    return _validated(Practice, given, shipped, reading, basis=_basis(tables), prefix="practice.")


def _basis(tables: Mapping[str, Any]) -> Basis | None:
    """Basis of a file whose head has a fault: its parts are read all the same.

    Where the basis is itself what is wrong, one stands in, so that each part does not miss it.
    """
    try:
        return Basis(tables["basis"]) if "basis" in tables else None
    except ValueError:
        return Basis.INVENTED


def _read_substances(path: Path, reading: Layers) -> None:
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
    reading: Layers,
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


def _require_whole(label: str, reading: Layers, *, read: bool) -> None:
    """A catalog needs parts in each slot and shop practice; say all that is missing."""
    for slot in reading.parts:
        if read and slot not in reading.stated:
            accepted = f"at least one [[{slot}]]"
            reading.faults.append(Fault(label, slot, "no part", accepted))
    if read and "practice" not in reading.stated:
        accepted = (
            "one [practice] table; for what it leaves out the shipped rules of thumb stand in"
        )
        reading.faults.append(Fault(label, "practice", "no such table", accepted))


SHIPPED = "shipped"

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
    return shipped_folder() / "generic", SHIPPED
