"""A material or a process while it is edited: tables that may have faults, and what they are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal

from configurator.errors import Fault, InputError
from configurator.reading import ReadFault, read_toml
from configurator.request.load import MATERIALS, PROCESSES, material_from, process_from
from configurator.request.material import Material
from configurator.request.process import Process

Kind = Literal["material", "process"]

FOLDERS: Mapping[Kind, str] = {"material": MATERIALS, "process": PROCESSES}

BLANKS: Mapping[Kind, Mapping[str, Any]] = {
    "material": {
        "schema": 1,
        "name": "my-material",
        "title": "My material",
        "trigger": "none",
        "component": {"flow": {"at": "23 degC"}},
    },
    "process": {
        "schema": 1,
        "name": "my-process",
        "title": "My process",
        "deposit": {"kind": "flow"},
    },
}
"""What starts a document by hand; the fields that are missing are its first faults."""

_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")


@dataclass(frozen=True)
class Document:
    """One file's worth of tables."""

    kind: Kind
    """material or process."""
    tables: Mapping[str, Any]
    """As a TOML parser gives them; never changed in place."""
    source: str = ""
    """What the command would call it: an example's name or a path; empty if made by hand."""
    edited: bool = False
    """True if it is no longer what `source` holds."""

    @property
    def name(self) -> str:
        """The name that it gives itself, or an empty text."""
        name = self.tables.get("name", "")
        return name if isinstance(name, str) else ""

    @property
    def title(self) -> str:
        """Its title, or an empty text."""
        title = self.tables.get("title", "")
        return title if isinstance(title, str) else ""

    @property
    def two_part(self) -> bool:
        """True for a material that is metered as two components."""
        return self.kind == "material" and "component" not in self.tables

    def at(self, path: str) -> Any:
        """What stands at a path such as `component.constituents[0].name`; None if nothing."""
        value: Any = self.tables
        for step in steps(path):
            if isinstance(step, int):
                inside = isinstance(value, list) and step < len(value)
            else:
                inside = isinstance(value, Mapping) and step in value
            if not inside:
                return None
            value = value[step]
        return value

    def with_value(self, path: str, value: Any) -> Document:
        """A copy with a value set, or taken out if it is None or an empty text."""
        tables = deepcopy(dict(self.tables))
        if value is None or value == "":
            _remove(tables, steps(path))
        else:
            _put(tables, steps(path), value)
        return Document(self.kind, tables, self.source, edited=True)

    def checked(self) -> tuple[Material | Process | None, tuple[Fault, ...]]:
        """The model that the tables make, or every fault that keeps them from it."""
        make = material_from if self.kind == "material" else process_from
        try:
            return make(self.tables, self.kind), ()
        except InputError as error:
            return None, error.faults


def steps(path: str) -> list[str | int]:
    """Take a path apart into keys and places.

    Examples
    --------
    >>> steps("component.constituents[0].name")
    ['component', 'constituents', 0, 'name']
    """
    return [int(place) if place else key for key, place in _STEP.findall(path)]


def _put(tables: dict[str, Any], way: list[str | int], value: Any) -> None:
    node: Any = tables
    for step, following in pairwise(way):
        fresh: Any = [] if isinstance(following, int) else {}
        if isinstance(step, int):
            while len(node) <= step:
                node.append({})
        elif not isinstance(node.get(step), type(fresh)):
            node[step] = fresh
        node = node[step]
    last = way[-1]
    if isinstance(last, int):
        while len(node) <= last:
            node.append(None)
    node[last] = value


def _remove(tables: dict[str, Any], way: list[str | int]) -> None:
    """Take a value out, and what is left empty around it."""
    nodes: list[Any] = [tables]
    for step in way[:-1]:
        node = nodes[-1]
        inside = step < len(node) if isinstance(step, int) else step in node
        if not inside:
            return
        nodes.append(node[step])
    for node, step in zip(reversed(nodes), reversed(way), strict=True):
        if isinstance(step, int):
            if step < len(node):
                del node[step]
        elif isinstance(node, dict):
            node.pop(step, None)
        if node:
            return


def open_document(kind: Kind, name_or_path: str, examples: Path) -> Document:
    """Read an example or a file, faulty or not; only what is no TOML at all is refused.

    Raises
    ------
    InputError
        If there is no such example or file, or it cannot be parsed.
    """
    text = name_or_path.strip()
    is_path = "/" in text or "\\" in text or text.endswith(".toml")
    path = Path(text).expanduser() if is_path else examples / FOLDERS[kind] / f"{text}.toml"
    try:
        tables, _ = read_toml(path, where=None if is_path else text)
    except ReadFault as error:
        raise InputError([error.fault]) from None
    return Document(kind, tables, text)


def blank(kind: Kind) -> Document:
    """A document to fill in by hand."""
    return Document(kind, deepcopy(dict(BLANKS[kind])), edited=True)
