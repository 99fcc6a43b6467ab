"""Builds with one other part: which of them stand, and which miss by least."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Part
from configurator.explain.chosen import rows_of
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

WORDS_ONLY = -1.0
"""Margin that a verdict in words counts as: farther away than a limit missed by little."""

FIT, FAR = "fit", 1000.0
"""Family of the rules on what goes together at all, and how far off breaking one of them counts."""


@dataclass(frozen=True)
class Neighbour:
    """A build with one other part."""

    slot: str
    """Where."""
    part: Part
    """The other part."""
    cheaper: bool
    """True if its cost index is lower: the list would put the build first."""
    state: State
    """Of the build."""
    broken: tuple[Finding, ...]
    """What rules it out, the worst first."""
    distance: float
    """How far it is from standing: by its worst miss, and by each further one."""


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
    states = np.stack([_states(applied, len(builds)) for applied in every])
    for row, ((slot, part), build) in enumerate(zip(swaps, builds, strict=True)):
        out = [every[at] for at in np.flatnonzero(states[:, row] == State.RULED_OUT)]
        broken = tuple(sorted((each.finding(row, build) for each in out), key=_margin))
        # A part that is not made for this size is no alternative that missed by little.
        unfit = sum(each.rule.family == FIT for each in out)
        far = len(broken) - 1 - _margin(broken[0]) + FAR * unfit if broken else 0.0
        cheaper = part.cost_index.nominal < parts[slot].cost_index.nominal
        state = State(int(states[:, row].max()))
        yield Neighbour(slot, part, cheaper, state, broken, far)


def nearest_rejected(answer: Answer, build: RankedBuild, *, most: int = 3) -> tuple[Neighbour, ...]:
    """Return the alternatives that miss by least, each of another slot where there are enough."""
    found = [each for each in neighbours(answer, build.parts) if each.broken]
    found.sort(key=lambda each: (each.distance, each.slot, each.part.name))
    first: dict[str, Neighbour] = {}
    for each in found:
        first.setdefault(each.slot, each)
    chosen = [each for each in found if first[each.slot] is each][:most]
    return (*chosen, *[each for each in found if each not in chosen][: most - len(chosen)])


def _states(applied: Applied, rows: int) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
    states = applied.outcome.whole.states
    return np.broadcast_to(np.asarray(states, dtype=np.int8).reshape(-1), (rows,))


def _margin(finding: Finding) -> float:
    return WORDS_ONLY if finding.margin is None else finding.margin
