"""What is asked while it is edited: documents that may have faults, and drafts made of them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel

from configurator.errors import Fault, InputError
from configurator.reading import read_toml, typed_path
from configurator.request.load import MATERIALS, PROCESSES, material_from, process_from
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.units.toml_text import plain

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
        empty = value is None or value == ""
        way = steps(path)
        tables = _removed(self.tables, way) if empty else _put(self.tables, way, value)
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


def _put(node: Any, way: Sequence[str | int], value: Any) -> Any:
    """A copy of what stands somewhere, with a value at the end of a way from there on."""
    step, *rest = way
    copy: Any
    if isinstance(step, int):
        copy = list(node) if isinstance(node, list) else []
        copy += [{}] * (step + 1 - len(copy))
        held = copy[step]
    else:
        copy = dict(node) if isinstance(node, Mapping) else {}
        held = copy.get(step)
    copy[step] = _put(held, rest, value) if rest else value
    return copy


def _removed(node: Any, way: Sequence[str | int]) -> Any:
    """A copy without what stands at the end of a way, and without what is left empty around it."""
    step, *rest = way
    copy: Any = list(node) if isinstance(node, list) else dict(node)
    if not (step < len(copy) if isinstance(step, int) else step in copy):
        return copy
    left = _removed(copy[step], rest) if rest else None
    if left:
        copy[step] = left
    else:
        del copy[step]
    return copy


def open_document(kind: Kind, name_or_path: str, examples: Path) -> Document:
    """Read an example or a file, faulty or not; only what is no TOML at all is refused.

    Raises
    ------
    InputError
        If there is no such example or file, or it cannot be parsed.
    """
    text = name_or_path.strip()
    is_path = "/" in text or "\\" in text or text.endswith(".toml")
    path = typed_path(text) if is_path else examples / FOLDERS[kind] / f"{text}.toml"
    tables, _ = read_toml(path, where=None if is_path else text)
    return Document(kind, tables, text)


def blank(kind: Kind) -> Document:
    """A document to fill in by hand."""
    return Document(kind, deepcopy(dict(BLANKS[kind])), edited=True)


@dataclass(frozen=True)
class Lifted:
    """A need that is switched off, and what it takes to switch it on again."""

    title: str
    words: str
    """The need and its value as they were shown."""
    before: Any


@dataclass(frozen=True)
class Draft:
    """A material, a process, the parts fixed or excluded, and the needs switched off."""

    material: Document | None = None
    process: Document | None = None
    """None until one is chosen."""
    picks: Mapping[str, str] = field(default_factory=dict)
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)
    lifted: Mapping[str, Lifted] = field(default_factory=dict)
    """Needs switched off, by key; the documents are already without them."""

    def with_document(self, document: Document) -> Draft:
        """The draft with another material or process; picks of slots that went away go too."""
        if document.kind == "material":
            draft = replace(self, material=document)
            if not self.picks and not self.without:
                return draft
            from configurator.rules.case import slots_of  # with it comes the engine

            slots = slots_of(two_part=document.two_part)
            return replace(
                draft,
                picks={slot: part for slot, part in self.picks.items() if slot in slots},
                without={slot: parts for slot, parts in self.without.items() if slot in slots},
            )
        return replace(self, process=document)

    @property
    def documents(self) -> tuple[Document, ...]:
        """Those that are chosen."""
        return tuple(each for each in (self.material, self.process) if each is not None)

    @property
    def duty(self) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
        """What has to be solved: the tables alone. None if a document is missing."""
        if self.material is None or self.process is None:
            return None
        return self.material.tables, self.process.tables

    def question(self, *, parts: bool = True) -> tuple[Question | None, tuple[Fault, ...]]:
        """The request that it makes, or every fault that keeps it from being one."""
        if self.material is None or self.process is None:
            return None, ()
        material, of_material = self.material.checked()
        process, of_process = self.process.checked()
        if not isinstance(material, Material) or not isinstance(process, Process):
            return None, (*of_material, *of_process)
        if not parts:
            return Question(material, process), ()
        return Question(material, process, self.picks, self.without), ()


def draft_after(draft: Draft, before: Question, after: Question) -> Draft:
    """The draft that asks for a changed request; what did not change keeps its own words."""
    for document, old, new in (
        (draft.material, before.material, after.material),
        (draft.process, before.process, after.process),
    ):
        if document is not None and old != new:
            tables = _merged(document.tables, old, new)
            draft = draft.with_document(replace(document, tables=tables, edited=True))
    return replace(draft, picks=dict(after.picks), without=dict(after.without))


def _merged(tables: Mapping[str, Any], old: BaseModel, new: BaseModel) -> dict[str, Any]:
    """The tables of the new model, with the words of the old one where nothing changed."""
    found = dict(tables)
    for name, info in type(new).model_fields.items():
        key = info.alias or name
        was, becomes = getattr(old, name, None), getattr(new, name)
        if was == becomes:
            continue
        if becomes is None or becomes == ():
            found.pop(key, None)
        elif isinstance(becomes, BaseModel) and isinstance(was, type(becomes)):
            found[key] = _merged(tables.get(key, {}), was, becomes)
        else:
            found[key] = plain(becomes)
    return found
