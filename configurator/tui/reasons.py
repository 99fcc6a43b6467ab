"""Which reasons belong to what the cursor is on; working them out is left to a desk."""

from __future__ import annotations

from collections.abc import Callable

from configurator.answer import Answer, RankedBuild
from configurator.tui.board import Option, Slot, Stand
from configurator.tui.why import Said, why_build, why_nothing, why_part
from configurator.tui.wish import Wish

Reasons = Callable[[], tuple[str, tuple[Said, ...]]]
"""Works out what the reasons are about, and the reasons."""


def about_part(slot: Slot, option: Option) -> str:
    """How reasons about a part are headed."""
    return f"{slot.name} {option.name}"


def reasons_of_build(answer: Answer, wish: Wish, build: RankedBuild | None) -> Reasons | None:
    """The reasons behind a build of the list, or behind there being none."""
    if not answer.count:
        return lambda: ("no build", why_nothing(answer, wish))
    if build is None:
        return None
    gaps = answer.subject.filled.notes
    return lambda: (f"build {build.rank}", why_build(build, gaps))


def reasons_of_part(
    answer: Answer, wish: Wish, slot: Slot | None, option: Option | None
) -> Reasons | None:
    """The reasons behind a part; of a pick that leaves nothing, why nothing is left."""
    if slot is None or option is None:
        return None
    if not answer.count and option.left == 0 and option.stand is not Stand.OUT:
        return lambda: ("no build", why_nothing(answer, wish))
    return lambda: (about_part(slot, option), why_part(answer, wish, slot.name, option.name))
