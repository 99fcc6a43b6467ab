"""What panels tell in paragraphs, and what Enter does on one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from configurator.tui.board import Option, Slot
from configurator.tui.document import Draft, draft_after

if TYPE_CHECKING:
    from configurator.explain.paragraphs import Paragraph
    from configurator.request.question import Question

INDENTS = {"item": "  ", "step": "  ", "under": "    ", "below": "    "}
"""What stands before a sentence, by its form; nothing before the others."""

STYLES = {"ruled out": "out"}
"""Tones that go by another name among the styles."""


@dataclass(frozen=True)
class SaidRemedy:
    """A change that brings something back."""

    words: str
    draft: Draft


@dataclass(frozen=True)
class Said:
    """One paragraph."""

    text: str
    style: str = ""
    remedy: SaidRemedy | None = None
    """What Enter does on it."""
    margin: float | None = None
    """What is left of a limit, drawn as a bar behind the text."""


def about_part(slot: Slot, option: Option) -> str:
    """How reasons about a part are headed."""
    return f"{slot.name} {option.name}"


def said(
    paragraphs: Iterable[Paragraph],
    draft: Draft,
    before: Question,
    given: Mapping[str, str] | None = None,
) -> Iterator[Said]:
    """Lay paragraphs out for a panel: what a sentence would ask is what Enter does on it.

    Parts of `given` are picked with every remedy.
    """
    for sentence in (each for paragraph in paragraphs for each in paragraph):
        remedy = None
        style = "strong" if sentence.form == "heading" else sentence.tone
        if sentence.offer is not None:
            after = draft_after(draft, before, sentence.offer.question)
            picks = {**after.picks, **(given or {})}
            remedy, style = SaidRemedy(sentence.offer.words, replace(after, picks=picks)), "accent"
        text = INDENTS.get(sentence.form, "") + sentence.text
        yield Said(text, STYLES.get(style, style), remedy)
