"""Reading material and process files: every fault of a file in one go, never a traceback."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from configurator.errors import Fault, InputError, did_you_mean
from configurator.reading import is_file, read_toml
from configurator.request.material import Material
from configurator.request.material_sense import MATERIAL_CHECKS
from configurator.request.process import Process
from configurator.request.process_sense import PROCESS_CHECKS
from configurator.request.remark import FieldCheck
from configurator.units.interval import Basis
from configurator.units.validation import faults_from_validation

MATERIALS = "materials"
PROCESSES = "processes"

ARGUMENT = {MATERIALS: "MATERIAL", PROCESSES: "PROCESS"}
KIND = {MATERIALS: "material", PROCESSES: "process"}
ORDER = "the order is MATERIAL PROCESS"

OWN_KEYS = {
    MATERIALS: frozenset({"component", "a", "b", "mix", "trigger"}),
    PROCESSES: frozenset({"deposit", "tolerance", "feed_pressure", "production", "carrier"}),
}
"""Keys at the top of a file that tell the two apart."""

_Model = TypeVar("_Model", Material, Process)


def load_material(name_or_path: str | Path, *, folder: Path) -> Material:
    """Read a material.

    Parameters
    ----------
    name_or_path : str or Path
        A file (it has a separator, ends in `.toml`, or is there), else a shipped example's name.
    folder : Path
        Folder of the shipped examples, with `materials` and `processes` in it.

    Raises
    ------
    InputError
        With every fault of the file, or with the nearest names if there is no such example.
    """
    path = _find(name_or_path, folder, MATERIALS)
    tables = _tables(path, _names(folder / MATERIALS))
    _refuse_the_other(tables, str(path), MATERIALS)
    return material_from(tables, str(path))


def load_process(name_or_path: str | Path, *, folder: Path) -> Process:
    """Read a process; the same as `load_material` otherwise."""
    path = _find(name_or_path, folder, PROCESSES)
    tables = _tables(path, _names(folder / PROCESSES))
    _refuse_the_other(tables, str(path), PROCESSES)
    return process_from(tables, str(path))


def material_from(tables: Mapping[str, Any], where: str) -> Material:
    """Make a material of tables that were already read, or refuse them with every fault.

    Parameters
    ----------
    tables : Mapping
        As a TOML file would hold them.
    where : str
        How to name their origin in a fault: a path, or a row of a list.
    """
    return _made(Material, tables, where, MATERIAL_CHECKS)


def process_from(tables: Mapping[str, Any], where: str) -> Process:
    """Make a process of tables that were already read; the same as `material_from` otherwise."""
    return _made(Process, tables, where, PROCESS_CHECKS)


def material_files(folder: Path) -> tuple[str, ...]:
    """Return the names of the shipped example materials, sorted."""
    return _names(folder / MATERIALS)


def process_files(folder: Path) -> tuple[str, ...]:
    """Return the names of the shipped example processes, sorted."""
    return _names(folder / PROCESSES)


def _names(folder: Path) -> tuple[str, ...]:
    if not folder.is_dir():
        return ()
    return tuple(sorted(path.stem for path in folder.glob("*.toml")))


def _find(name_or_path: str | Path, folder: Path, wanted: str) -> Path:
    text = str(name_or_path)
    if isinstance(name_or_path, Path) or "/" in text or "\\" in text or text.endswith(".toml"):
        return Path(text)
    names = _names(folder / wanted)
    if text in names and not is_file(Path(text)):
        return folder / wanted / f"{text}.toml"
    if is_file(Path(text)):
        return Path(text)
    listed = f": {', '.join(names)}" if names else ""
    accepted = f"a file, or the name of a shipped example{listed}"
    raise InputError(
        [Fault(ARGUMENT[wanted], "name", text, accepted, _meant(text, folder, wanted))]
    )


def _meant(text: str, folder: Path, wanted: str) -> str:
    """What a name that is none most likely meant: the other argument, a file, or a near name."""
    (other,) = ARGUMENT.keys() - {wanted}
    if text in _names(folder / other):
        return f"{text} is a {KIND[other]}; {ORDER}"
    if is_file(Path(f"{text}.toml")):
        return f"there is a file {text}.toml: write its ending as well"
    return did_you_mean(text, _names(folder / wanted))


def _refuse_the_other(tables: Mapping[str, Any], where: str, wanted: str) -> None:
    """A process given for the material, or the reverse, is one fault and not a list of them."""
    (other,) = ARGUMENT.keys() - {wanted}
    if OWN_KEYS[other] & tables.keys() and not OWN_KEYS[wanted] & tables.keys():
        accepted = f"a {KIND[wanted]} file"
        raise InputError([Fault(where, "file", f"a {KIND[other]} file", accepted, ORDER)])


def _tables(path: Path, names: Iterable[str]) -> dict[str, Any]:
    try:
        tables, _ = read_toml(path)
    except InputError as error:
        (fault,) = error.faults
        if path.name == f"{path.stem}.toml" and path.stem in names and not is_file(path):
            fault = replace(fault, hint=f"{path.stem}, without an ending, is a shipped example")
        raise InputError([fault]) from None
    return tables


def _made(
    model: type[_Model], tables: Mapping[str, Any], where: str, checks: Iterable[FieldCheck]
) -> _Model:
    context = {"basis": _basis(tables)}
    made: _Model | None = None
    faults: list[Fault] = []
    try:
        made = model.model_validate(dict(tables), context=context)
    except ValidationError as error:
        faults.extend(faults_from_validation(error, where, model=model))
    for check in checks:
        source = tables if made is None else made
        for value in _values(source, check, context):
            for remark in check.check(value):
                field = ".".join(check.path)
                join = "." if field and remark.field and not remark.field.startswith("[") else ""
                faults.append(
                    Fault(where, f"{field}{join}{remark.field}", remark.given, remark.accepted)
                )
    if made is None or faults:
        raise InputError(faults)
    return made


def _basis(tables: Mapping[str, Any]) -> Basis:
    """Where values without a basis come from; a word that is none is a fault of its own."""
    try:
        return Basis(tables.get("basis", Basis.DATASHEET))
    except ValueError:
        return Basis.DATASHEET


def _values(source: object, check: FieldCheck, context: Mapping[str, Basis]) -> Iterator[Any]:
    """Yield the value at a place, unless it is absent or has faults of its own."""
    value = source
    for key in check.path:
        if isinstance(value, Mapping):
            value = value.get(key)
        else:
            value = getattr(value, key, None) if isinstance(value, BaseModel) else None
    if value is None:
        return
    if not isinstance(source, BaseModel):
        try:
            value = _adapter(check.kind).validate_python(value, context=context)
        except ValidationError:
            return
    yield value


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)
