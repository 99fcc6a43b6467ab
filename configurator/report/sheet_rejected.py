"""The nearest alternatives that are ruled out: one part changed, and the rule it breaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Part
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.comparison import Total
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

WORDS_ONLY = -1.0
"""Margin that a verdict in words counts as: farther away than a limit missed by little."""

FIT, FAR = "fit", 1000.0
"""Family of the rules on what goes together at all, and how far off breaking one of them counts."""


@dataclass(frozen=True)
class Rejected:
    """A build with one other part.

    Attributes
    ----------
    slot : str
        Where.
    part : Part
        The other part.
    cheaper : bool
        True if its cost index is lower: the list would have put it first.
    broken : tuple of Finding
        What rules it out, the worst first.
    """

    slot: str
    part: Part
    cheaper: bool
    broken: tuple[Finding, ...]


def nearest_rejected(answer: Answer, build: RankedBuild, *, most: int = 3) -> tuple[Rejected, ...]:
    """Return the alternatives that miss by least, each of another slot where there are enough.

    Parameters
    ----------
    answer : Answer
        What the build stands in.
    build : RankedBuild
        The build.
    most : int
        How many.
    """
    frame = answer.frame
    own = {
        slot: [part.name for part in frame.parts[slot]].index(build.parts[slot].name)
        for slot in frame.slots
    }
    swaps = [
        (slot, place)
        for slot in frame.slots
        for place in range(len(frame.parts[slot]))
        if place != own[slot]
    ]
    if not swaps:
        return ()
    rows = np.array(
        [[place if slot == name else own[name] for name in frame.slots] for slot, place in swaps],
        dtype=np.intp,
    )
    applied = apply_rules(Case(answer.subject, frame.with_rows(rows)), RULEBOOK)
    found: list[tuple[float, Rejected]] = []
    for row, (slot, place) in enumerate(swaps):
        part = frame.parts[slot][place]
        parts = {**build.parts, slot: part}
        broken = [rule for rule in applied if _state(rule, row) is State.RULED_OUT]
        findings = [rule.finding(row, parts) for rule in broken]
        if not findings:
            continue
        # A part that is not made for this size is no alternative that missed by little.
        unfit = sum(rule.rule.family == FIT for rule in broken)
        misses = sorted(_margin(finding) for finding in findings)
        ordered = tuple(sorted(findings, key=_margin))
        cheaper = part.cost_index.nominal < build.parts[slot].cost_index.nominal
        distance = -misses[0] + len(findings) - 1 + FAR * unfit
        found.append((distance, Rejected(slot, part, cheaper, ordered)))
    found.sort(key=lambda entry: (entry[0], entry[1].slot, entry[1].part.name))
    return _of_different_slots([entry for _, entry in found], most)


def _state(rule: Applied, row: int) -> State:
    """State of one row, without the sentence that a whole finding costs."""
    outcome = rule.outcome.whole if isinstance(rule.outcome, Total) else rule.outcome
    states = np.asarray(outcome.states).reshape(-1)
    return State(int(states[row if states.size > 1 else 0]))


def _margin(finding: Finding) -> float:
    return WORDS_ONLY if finding.margin is None else finding.margin


def _of_different_slots(found: list[Rejected], most: int) -> tuple[Rejected, ...]:
    first: dict[str, Rejected] = {}
    for entry in found:
        first.setdefault(entry.slot, entry)
    chosen = [entry for entry in found if first[entry.slot] is entry][:most]
    chosen += [entry for entry in found if entry not in chosen][: most - len(chosen)]
    return tuple(chosen)
