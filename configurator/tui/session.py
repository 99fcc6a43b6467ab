"""The state behind the screens, with no screen in it: wishes, undo, the answer, the marks."""

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
from configurator.tui.document import Document, Kind, blank, open_document
from configurator.tui.form import Field, value_of
from configurator.tui.wish import Wish
from configurator.workshop.named_parts import check_names

if TYPE_CHECKING:
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
    """One person's work on one question.

    Parameters
    ----------
    workshop : Workshop
        Who answers.
    examples : Path
        Folder of the shipped examples.
    """

    def __init__(self, workshop: Workshop, examples: Path) -> None:
        self.workshop = workshop
        self.examples = examples
        self.wish = Wish()
        self._order = (ORDERS[0], False)
        self.marked: tuple[BuildKey, ...] = ()
        self.before: Answer | None = None
        """The answer before the last change, to say what the change did."""
        self._past: list[Wish] = []
        self._future: list[Wish] = []
        self._base: Answer | None = None
        self._based_on: tuple[Mapping[str, Any], Mapping[str, Any]] | None = None

    # What is asked

    def put(self, wish: Wish) -> bool:
        """Take a new wish, so that undo brings the present one back; False if it is the same."""
        if wish == self.wish:
            return False
        self.before = self.answer
        self._past.append(self.wish)
        self._future.clear()
        self._move(wish)
        return True

    def undo(self) -> bool:
        """Go back by one wish; False at the first."""
        if not self._past:
            return False
        self.before = self.answer
        self._future.append(self.wish)
        self._move(self._past.pop())
        return True

    def redo(self) -> bool:
        """Go forth by one wish; False at the last."""
        if not self._future:
            return False
        self.before = self.answer
        self._past.append(self.wish)
        self._move(self._future.pop())
        return True

    def _move(self, wish: Wish) -> None:
        self.wish = wish
        for name in ("checked", "answer", "board"):
            self.__dict__.pop(name, None)

    def open(self, kind: Kind, name_or_path: str) -> bool:
        """Take an example or a file as the material or the process.

        Raises
        ------
        InputError
            If there is none.
        """
        return self.put(self.wish.with_document(open_document(kind, name_or_path, self.examples)))

    def start_with(self, picks: Mapping[str, str], without: Mapping[str, frozenset[str]]) -> None:
        """Fix and exclude parts from the start.

        Raises
        ------
        InputError
            If a slot or part does not exist.
        """
        if not picks and not without:
            return
        from configurator.rules.case import slots_of  # with it comes the engine

        material = self.wish.material
        slots = slots_of(two_part=material is not None and material.two_part)
        check_names(self.workshop.catalog, slots, picks, without)
        self._move(replace(self.wish, picks=picks, without=without))

    def start_blank(self, kind: Kind) -> bool:
        """Start a material or process by hand."""
        return self.put(self.wish.with_document(blank(kind)))

    def document(self, kind: Kind) -> Document | None:
        """The material or the process."""
        return self.wish.material if kind == "material" else self.wish.process

    def type(self, kind: Kind, field: Field, text: str) -> bool:
        """Take what was typed at a field, right or wrong: faults are shown beside it."""
        document = self.document(kind)
        if document is None or text.strip() == field.text:
            return False
        changed = document.with_value(field.path, value_of(field, text))
        lifted = {
            key: entry for key, entry in self.wish.lifted.items() if key != f"{kind}:{field.path}"
        }
        return self.put(replace(self.wish.with_document(changed), lifted=lifted))

    def rest_on(self, kind: Kind, field: Field, basis: str) -> bool:
        """Say what a quantity rests on."""
        document = self.document(kind)
        if document is None or field.kind is None or not field.text:
            return False
        value = {"value": field.text, "basis": basis}
        return self.put(self.wish.with_document(document.with_value(field.path, value)))

    def named_as_files(self, paths: Sequence[Path]) -> None:
        """Know the documents by the files that they were just written to; nothing to undo."""
        written = iter(paths)
        wish = self.wish
        for document in (wish.material, wish.process):
            if document is not None:
                source = str(next(written))
                wish = wish.with_document(replace(document, source=source, edited=False))
        self._move(wish)

    @cached_property
    def checked(self) -> tuple[Question | None, tuple[Fault, ...]]:
        """The request without its parts, or its faults."""
        return self.wish.question(parts=False)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong in the material or the process."""
        return self.checked[1]

    # What came back

    @property
    def to_solve(self) -> Question | None:
        """What has to be configured for the screen to be true; None if nothing has."""
        question, _ = self.checked
        return None if question is None or self._based_on == self.wish.duty else question

    @property
    def stale(self) -> bool:
        """True while the counts shown belong to an earlier wish."""
        return self._based_on != self.wish.duty or bool(self.faults)

    def solved(self, base: Answer) -> None:
        """Take the answer to a request without parts, if it is still the one asked."""
        question, _ = self.checked
        if question is None:
            return
        asked = base.subject.question
        if (asked.material, asked.process) != (question.material, question.process):
            return
        self._base, self._based_on = base, self.wish.duty
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
            picks={slot: part for slot, part in self.wish.picks.items() if slot in slots},
            without={slot: parts for slot, parts in self.wish.without.items() if slot in slots},
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
        wish = self._included(slot, part)
        picks = dict(wish.picks)
        if picks.get(slot) == part:
            del picks[slot]
        else:
            picks[slot] = part
        return self.put(replace(wish, picks=picks))

    def exclude(self, slot: str, part: str) -> bool:
        """Exclude a part, or let it in again."""
        if part in self.wish.without.get(slot, ()):
            return self.put(self._included(slot, part))
        picks = {at: name for at, name in self.wish.picks.items() if (at, name) != (slot, part)}
        excluded = self.wish.without.get(slot, frozenset()) | {part}
        return self.put(
            replace(self.wish, picks=picks, without={**self.wish.without, slot: excluded})
        )

    def _included(self, slot: str, part: str) -> Wish:
        if part not in self.wish.without.get(slot, ()):
            return self.wish
        left = {**self.wish.without, slot: self.wish.without[slot] - {part}}
        return replace(self.wish, without={at: parts for at, parts in left.items() if parts})

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
        asked, _ = self.wish.question()
        sort, strict = self._order
        return None if asked is None else replace(asked, sort=sort, strict=strict)

    @property
    def sort(self) -> str:
        """Name of the figure that orders builds of the same state."""
        return self._order[0]

    @sort.setter
    def sort(self, name: str) -> None:
        self._order = (name, self.strict)
        self.__dict__.pop("answer", None)

    @property
    def strict(self) -> bool:
        """True if builds that fit are listed alone."""
        return self._order[1]

    @strict.setter
    def strict(self, strict: bool) -> None:
        self._order = (self.sort, strict)
        self.__dict__.pop("answer", None)
