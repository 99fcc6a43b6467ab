"""Which reasons belong to what the cursor is on; working them out is left to a desk."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from configurator.tui.board import Option, Slot, Stand
from configurator.tui.said import Said
from configurator.tui.wish import Wish

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

Reasons = Callable[[], tuple[str, tuple[Said, ...]]]
"""Works out what the reasons are about, and the reasons; the engine loads with the first."""


def about_part(slot: Slot, option: Option) -> str:
    """How reasons about a part are headed."""
    return f"{slot.name} {option.name}"


def reasons_for_none(answer: Answer, wish: Wish) -> Reasons:
    """The reasons for there being no build at all."""

    def work() -> tuple[str, tuple[Said, ...]]:
        from configurator.tui.why import why_nothing

        return "no build", why_nothing(answer, wish)

    return work


def reasons_of_build(answer: Answer, wish: Wish, build: RankedBuild | None) -> Reasons | None:
    """The reasons behind a build of the list, or behind there being none."""
    if not answer.count:
        return reasons_for_none(answer, wish)
    if build is None:
        return None
    gaps = answer.subject.filled.notes

    def work() -> tuple[str, tuple[Said, ...]]:
        from configurator.tui.why import why_build

        return f"build {build.rank}", why_build(build, gaps)

    return work


def reasons_of_part(
    answer: Answer, wish: Wish, slot: Slot | None, option: Option | None
) -> Reasons | None:
    """The reasons behind a part; of a pick that leaves nothing, why nothing is left."""
    if slot is None or option is None:
        return None
    if not answer.count and option.left == 0 and option.stand is not Stand.OUT:
        return reasons_for_none(answer, wish)

    def work() -> tuple[str, tuple[Said, ...]]:
        from configurator.tui.why import why_part

        return about_part(slot, option), why_part(answer, wish, slot.name, option.name)

    return work
