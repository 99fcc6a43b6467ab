"""Builds left without each need and after a step of it, gathered one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

from configurator.errors import InputError
from configurator.request.question import Question
from configurator.tui.document import Draft
from configurator.tui.needs import Need, lifted, needs_of, stepped
from configurator.tui.spans import short_count

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer

WAYS = ("off", "looser", "tighter")

Configured: TypeAlias = "Callable[[Question], Answer]"

Key = tuple[str, str]
"""A need's key and a way."""


class NeedCounts:
    """What is known of one draft.

    Parameters
    ----------
    draft : Draft
        What it belongs to; another draft needs another ledger.
    now : int
        Builds under it.
    """

    def __init__(self, draft: Draft, now: int) -> None:
        self.draft = draft
        self.now = now
        self._found: dict[Key, int | str] = {}

    def get(self, key: str, way: str) -> int | None:
        """A count; None until it is there, or where there is none."""
        found = self._found.get((key, way))
        return found if isinstance(found, int) else None

    def note(self, key: str, way: str) -> str:
        """What stands in place of a count."""
        found = self._found.get((key, way), "~")
        return found if isinstance(found, str) else ""

    def take(self, key: str, way: str, count: int | str) -> None:
        """Remember a count, or why there is none."""
        self._found[key, way] = count

    def gained(self, count: int) -> str:
        """The difference to now, with its sign; empty if there is none."""
        if count == self.now:
            return ""
        sign = "+" if count > self.now else "-"
        return f"{sign}{short_count(abs(count - self.now))}"

    def missing(self, first: Need | None) -> Iterator[tuple[Need, str]]:
        """What is not counted yet: all of the need at hand, then each need off."""
        if first is not None and not first.lifted:
            for way in WAYS:
                if (first.key, way) not in self._found:
                    yield first, way
        for need in needs_of(self.draft):
            if not need.lifted and (need.key, "off") not in self._found:
                yield need, "off"


def counted(draft: Draft, need: Need, way: str, configured: Configured) -> int | str:
    """Solve a draft with one need changed, and count; words where that is no question.

    Parameters
    ----------
    draft : Draft
        As it is.
    need : Need
        What changes.
    way : str
        off, looser or tighter.
    configured : callable
        Gives the answer to a request.
    """
    changed = lifted(draft, need) if way == "off" else stepped(draft, need, looser=way == "looser")
    if changed is None:
        return "has to be" if way == "off" else "no step"
    question, faults = changed.question(parts=False)
    if question is None:
        return f"not alone: {faults[0].field}" if faults else "no question"
    try:
        base = configured(question)
    except InputError as error:
        return error.faults[0].accepted
    return base.with_question(replace(question, picks=changed.picks, without=changed.without)).count
