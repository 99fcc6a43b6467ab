"""Every build of an answer with its state, straight from the spaces: no finding is worked out."""

from __future__ import annotations

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
        for _, build in answer.spaces[level].ranked((), answer.picks):
            names = tuple(parts[slot][build[slot]] for slot in answer.frame.slots)
            found.setdefault(names, level)
    return found
