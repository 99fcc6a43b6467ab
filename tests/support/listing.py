"""Every build of an answer with its state, straight from the spaces: no finding is worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from configurator.engine import BuildSpace, Picks
from configurator.rules.finding import LISTED, State
from configurator.workshop.answer import Answer

Names = tuple[str, ...]
"""Names of a build's parts in the order of the slots."""


def listed_states(answer: Answer) -> dict[Names, State]:
    """State of every build that is not ruled out, by the strictest space that holds it."""
    parts = {
        slot: [answer.frame.parts[slot][place].name for place in places]
        for slot, places in answer.live.items()
    }
    found: dict[Names, State] = {}
    for level in LISTED:
        for build in _builds(answer.spaces[level], answer.picks, answer.frame.slots):
            names = tuple(parts[slot][build[slot]] for slot in answer.frame.slots)
            found.setdefault(names, level)
    return found


def _builds(space: BuildSpace, picks: Picks, slots: Sequence[str]) -> Iterator[dict[str, int]]:
    """Every build of a space, slot by slot along the values that leave any."""
    if not slots:
        yield {slot: value for slot, value in picks.items() if isinstance(value, int)}
        return
    slot = slots[0]
    left = space.remaining(picks)[slot]
    allowed = picks.get(slot, range(len(left)))
    for value in {allowed} if isinstance(allowed, int) else set(allowed):
        if left[value]:
            yield from _builds(space, {**picks, slot: value}, slots[1:])
