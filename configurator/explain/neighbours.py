"""Builds with one other part, and which of them stand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Part
from configurator.explain.chosen import rows_of
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answer import Answer


@dataclass(frozen=True)
class Neighbour:
    """A build with one other part."""

    slot: str
    part: Part
    """The other part."""
    state: State


def neighbours(answer: Answer, parts: Mapping[str, Part]) -> Iterator[Neighbour]:
    """Yield every build that differs in one part from a whole one."""
    swaps = [
        (slot, part)
        for slot, entries in answer.frame.parts.items()
        for part in entries
        if part.name != parts[slot].name
    ]
    if not swaps:
        return
    builds = [{**parts, slot: part} for slot, part in swaps]
    frame, _ = rows_of(builds)
    every = apply_rules(Case(answer.subject, frame), RULEBOOK)
    worst = np.max([_states(applied, len(builds)) for applied in every], axis=0)
    for (slot, part), state in zip(swaps, worst.tolist(), strict=True):
        yield Neighbour(slot, part, State(state))


def _states(applied: Applied, rows: int) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
    states = applied.outcome.whole.states
    return np.broadcast_to(np.asarray(states, dtype=np.int8).reshape(-1), (rows,))
