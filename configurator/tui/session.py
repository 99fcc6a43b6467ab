"""The state behind the screens, with no screen in it: drafts, undo, the answer, the marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from configurator.errors import Fault
from configurator.request.orders import ORDERS
from configurator.request.question import Question
from configurator.tui.board import Board, board_of
from configurator.tui.document import Document, Draft, Kind, blank, open_document
from configurator.tui.form import Field, value_of
from configurator.workshop.named_parts import check_names

if TYPE_CHECKING:
    from configurator.request.material import Material
    from configurator.request.process import Process
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild
    from configurator.workshop.workshop import Workshop

MOST_MARKED = 4

BuildKey = tuple[tuple[str, str], ...]
"""A build by the names of its parts, so that a mark outlives the answer it was made in."""


def key_of(build: RankedBuild) -> BuildKey:
    """What a mark remembers of a build."""
    return tuple((slot, part.name) for slot, part in build.parts.items())


class Session:
    """One person's work on one question; a workshop answers, documents may be shipped examples."""

    def __init__(self, workshop: Workshop, examples: Path) -> None:
        self.workshop = workshop
        self.examples = examples
        self.draft = Draft()
        self._order = (ORDERS[0], False)
        self.marked: tuple[BuildKey, ...] = ()
        self.before: int | None = None
        """Builds before the last change, to say what it did; the answer itself would be large."""
        self.kept_text = ""
        """What the file of the session held when it was last written or read by this screen."""
        self._past: list[Draft] = []
        self._future: list[Draft] = []
        self._base: Answer | None = None
        self._based_on: tuple[Mapping[str, Any], Mapping[str, Any]] | None = None

    # What is asked

    def put(self, draft: Draft) -> bool:
        """Take a new draft, so that undo brings the present one back; False if it is the same."""
        if draft == self.draft:
            return False
        self._future.clear()
        self._past.append(self.draft)
        self.before = None if self.answer is None else self.answer.count
        self._move(draft)
        return True

    def begin_with(self, draft: Draft) -> None:
        """Take a draft as the first: undo never goes behind it."""
        self._past.clear()
        self._future.clear()
        self._move(draft)

    def undo(self) -> bool:
        """Go back by one draft; False at the first."""
        return self._step(self._past, self._future)

    def redo(self) -> bool:
        """Go forth by one draft; False at the last."""
        return self._step(self._future, self._past)

    def _step(self, source: list[Draft], other: list[Draft]) -> bool:
        if not source:
            return False
        other.append(self.draft)
        self.before = None if self.answer is None else self.answer.count
        self._move(source.pop())
        return True

    def _move(self, draft: Draft) -> None:
        self.draft = draft
        for name in ("checked", "answer", "board"):
            self.__dict__.pop(name, None)

    def open(self, kind: Kind, name_or_path: str) -> bool:
        """Take an example or a file as material or process; an InputError if there is none."""
        return self.put(self.draft.with_document(open_document(kind, name_or_path, self.examples)))

    def start_with(self, picks: Mapping[str, str], without: Mapping[str, frozenset[str]]) -> None:
        """Fix and exclude parts from the start; an InputError if a slot or part does not exist."""
        if not picks and not without:
            return
        from configurator.rules.case import slots_of  # with it comes the engine

        material = self.draft.material
        slots = slots_of(two_part=material is not None and material.two_part)
        check_names(self.workshop.catalog, slots, picks, without)
        self._move(replace(self.draft, picks=picks, without=without))

    def start_blank(self, kind: Kind) -> bool:
        """Start a material or process by hand."""
        return self.put(self.draft.with_document(blank(kind)))

    def document(self, kind: Kind) -> Document | None:
        """The material or the process."""
        return self.draft.material if kind == "material" else self.draft.process

    def type(self, kind: Kind, field: Field, text: str) -> bool:
        """Take what was typed at a field, right or wrong: faults are shown beside it."""
        document = self.document(kind)
        if document is None or text.strip() == field.text:
            return False
        changed = document.with_value(field.path, value_of(field, text))
        lifted = {
            key: entry for key, entry in self.draft.lifted.items() if key != f"{kind}:{field.path}"
        }
        return self.put(replace(self.draft.with_document(changed), lifted=lifted))

    def rest_on(self, kind: Kind, field: Field, basis: str) -> bool:
        """Say what a quantity rests on."""
        document = self.document(kind)
        if document is None or field.kind is None or not field.text:
            return False
        value = {"value": field.text, "basis": basis}
        return self.put(self.draft.with_document(document.with_value(field.path, value)))

    def named_as_files(self, paths: Sequence[Path]) -> None:
        """Know the documents by the files that they were just written to; nothing to undo."""
        draft = self.draft
        for document, path in zip(draft.documents, paths, strict=True):
            draft = draft.with_document(replace(document, source=str(path), edited=False))
        self._move(draft)

    @cached_property
    def checked(self) -> tuple[Question | None, tuple[Fault, ...]]:
        """The request without its parts, or its faults."""
        return self.draft.question(parts=False)

    def model(self, kind: Kind) -> Material | Process | None:
        """The material or the process as it was read; None while there are faults."""
        question, _ = self.checked
        if question is None:
            return None
        return question.material if kind == "material" else question.process

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong in the material or the process."""
        return self.checked[1]

    # What came back

    @property
    def to_solve(self) -> Question | None:
        """What has to be configured for the screen to be true; None if nothing has."""
        question, _ = self.checked
        return None if question is None or self._based_on == self.draft.duty else question

    @property
    def stale(self) -> bool:
        """True while the counts shown belong to an earlier draft."""
        return self._based_on != self.draft.duty or bool(self.faults)

    def solved(self, base: Answer) -> None:
        """Take the answer to a request without parts, if it is still the one asked."""
        question, _ = self.checked
        if question is None:
            return
        asked = base.subject.question
        if (asked.material, asked.process) != (question.material, question.process):
            return
        self._base, self._based_on = base, self.draft.duty
        for name in ("answer", "board"):
            self.__dict__.pop(name, None)

    @cached_property
    def answer(self) -> Answer | None:
        """The newest answer, under the picks of now; None before the first."""
        if self._base is None:
            return None
        slots = self._base.frame.slots
        sort, strict = self._order
        asked = replace(
            self._base.question,
            picks={slot: part for slot, part in self.draft.picks.items() if slot in slots},
            without={slot: parts for slot, parts in self.draft.without.items() if slot in slots},
            sort=sort,
            strict=strict,
        )
        return self._base.with_question(asked)

    @cached_property
    def board(self) -> Board | None:
        """Every part of every slot with its mark and the builds left with it."""
        return None if self.answer is None else board_of(self.answer)

    # Parts

    def pick(self, slot: str, part: str) -> bool:
        """Fix a part, or free its slot if it was fixed; an excluded part comes back."""
        draft = self._included(slot, part)
        picks = dict(draft.picks)
        if picks.get(slot) == part:
            del picks[slot]
        else:
            picks[slot] = part
        return self.put(replace(draft, picks=picks))

    def adopt(self, parts: Mapping[str, str]) -> bool:
        """Fix several parts at once; excluded ones come back."""
        draft = self.draft
        without = {slot: each - {parts.get(slot, "")} for slot, each in draft.without.items()}
        without = {slot: each for slot, each in without.items() if each}
        return self.put(replace(draft, picks={**draft.picks, **parts}, without=without))

    def exclude(self, slot: str, part: str) -> bool:
        """Exclude a part, or let it in again."""
        if part in self.draft.without.get(slot, ()):
            return self.put(self._included(slot, part))
        picks = {at: name for at, name in self.draft.picks.items() if (at, name) != (slot, part)}
        excluded = self.draft.without.get(slot, frozenset()) | {part}
        return self.put(
            replace(self.draft, picks=picks, without={**self.draft.without, slot: excluded})
        )

    def _included(self, slot: str, part: str) -> Draft:
        if part not in self.draft.without.get(slot, ()):
            return self.draft
        left = {**self.draft.without, slot: self.draft.without[slot] - {part}}
        return replace(self.draft, without={at: parts for at, parts in left.items() if parts})

    # Builds

    def mark(self, build: RankedBuild) -> bool:
        """Mark a build for comparison, or unmark it; False if four are marked already."""
        key = key_of(build)
        if key in self.marked:
            self.marked = tuple(other for other in self.marked if other != key)
            return True
        if len(self.marked) == MOST_MARKED:
            return False
        self.marked = (*self.marked, key)
        return True

    @property
    def question(self) -> Question | None:
        """All that is asked, with parts and order; None if it cannot be asked."""
        asked, _ = self.draft.question()
        sort, strict = self._order
        return None if asked is None else replace(asked, sort=sort, strict=strict)

    @property
    def sort(self) -> str:
        """Name of the figure that orders builds of the same state."""
        return self._order[0]

    @property
    def strict(self) -> bool:
        """True if builds that fit are listed alone."""
        return self._order[1]

    def order(self, sort: str, *, strict: bool) -> None:
        """List builds by a figure, and all of them or those that fit alone."""
        self._order = (sort, strict)
        self.__dict__.pop("answer", None)
