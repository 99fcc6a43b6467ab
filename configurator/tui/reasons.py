"""Which reasons belong to what the cursor is on; working them out is left to a desk."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from configurator.tui.board import Option, Slot, Stand
from configurator.tui.draft import Draft
from configurator.tui.said import Said, said

if TYPE_CHECKING:
    from configurator.explain.sentence import Paragraph
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

Reasons = Callable[[], tuple[str, tuple[Said, ...]]]
"""Works out what the reasons are about, and the reasons; the engine loads with the first."""


def about_part(slot: Slot, option: Option) -> str:
    """How reasons about a part are headed."""
    return f"{slot.name} {option.name}"


def _reasons(
    about: str, answer: Answer, draft: Draft, paragraphs: Callable[[], Iterable[Paragraph]]
) -> Reasons:
    return lambda: (about, tuple(said(paragraphs(), draft, answer.subject.question)))


def reasons_for_none(answer: Answer, draft: Draft) -> Reasons:
    """The reasons for there being no build at all."""

    def paragraphs() -> Iterable[Paragraph]:
        from configurator.explain.answer_paragraphs import none_paragraphs

        return none_paragraphs(answer)

    return _reasons("no build", answer, draft, paragraphs)


def reasons_of_build(answer: Answer, draft: Draft, build: RankedBuild | None) -> Reasons | None:
    """The reasons behind a build of the list, or behind there being none."""
    if not answer.count:
        return reasons_for_none(answer, draft)
    if build is None:
        return None

    def paragraphs() -> Iterable[Paragraph]:
        from configurator.explain.answer_paragraphs import build_paragraphs

        return build_paragraphs(build, answer.subject.filled.notes)

    return _reasons(f"build {build.rank}", answer, draft, paragraphs)


def reasons_of_part(
    answer: Answer, draft: Draft, slot: Slot | None, option: Option | None
) -> Reasons | None:
    """The reasons behind a part; of a pick that leaves nothing, why nothing is left."""
    if slot is None or option is None:
        return None
    if not answer.count and option.left == 0 and option.stand is not Stand.OUT:
        return reasons_for_none(answer, draft)

    def paragraphs() -> Iterable[Paragraph]:
        from configurator.explain.answer_paragraphs import part_paragraphs

        return part_paragraphs(answer, slot.name, option.name)

    return _reasons(about_part(slot, option), answer, draft, paragraphs)
