"""What somebody asks for at one moment; undo and redo go from draft to draft."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import BaseModel

from configurator.errors import Fault
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.tui.document import Document
from configurator.tui.model_tables import plain


@dataclass(frozen=True)
class Lifted:
    """A need that is switched off, and what it takes to switch it on again."""

    title: str
    words: str
    """The need and its value as they were shown."""
    before: Any
    """What stood in its place."""


@dataclass(frozen=True)
class Draft:
    """A material, a process, the parts fixed or excluded, and the needs switched off."""

    material: Document | None = None
    process: Document | None = None
    """None until one is chosen."""
    picks: Mapping[str, str] = field(default_factory=dict)
    """Part fixed by slot."""
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Parts excluded, by slot."""
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
    def duty(self) -> tuple[Mapping[str, Any], Mapping[str, Any]] | None:
        """What has to be solved: the tables alone. None if a document is missing."""
        if self.material is None or self.process is None:
            return None
        return self.material.tables, self.process.tables

    def question(self, *, parts: bool = True) -> tuple[Question | None, tuple[Fault, ...]]:
        """The request that it makes, or every fault that keeps it from being one.

        Parameters
        ----------
        parts : bool
            False to leave picks and exclusions out.
        """
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
    """The draft that asks for a changed request; what did not change keeps its own words.

    Parameters
    ----------
    draft : Draft
        What was asked.
    before, after : Question
        What it made, and what it should make.
    """
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
