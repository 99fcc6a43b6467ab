"""Builds with one other part: which of them stand, and which are better in something."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.catalog.parts import Part
from configurator.explain.chosen import judged, rows_of
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

LEAST = {"state": 1.0, "open": 1.0, "margin": 0.01, "error": 0.05, "cost": 1e-9}
"""By what two builds are compared, each better if lower, and the least difference worth telling:
state, rules that are not shown to hold, worst excess over a limit [-], volume error once weighed
[%], cost index [-]."""


@dataclass(frozen=True)
class Neighbour:
    """A build with one other part."""

    slot: str
    part: Part
    """The other part."""
    state: State


@dataclass(frozen=True)
class Better:
    """A build with one other part that stands, and what that gains and costs."""

    slot: str
    part: Part
    build: RankedBuild
    gains: Mapping[str, tuple[float, float]]
    """By the names of `LEAST`: here and there; infinite where unknown."""
    costs: Mapping[str, tuple[float, float]]


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


def better_neighbours(answer: Answer, build: RankedBuild) -> tuple[Better, ...]:
    """Return what one changed part makes better, at most one build for each thing compared.

    None of them is in a worse state than the build itself, and so none is ruled out.
    """
    near = [each for each in neighbours(answer, build.parts) if each.state <= build.state]
    if not near:
        return ()
    others = judged(answer, [{**build.parts, each.slot: each.part} for each in near])
    here = _measures(build)
    found = []
    for each, other in zip(near, others, strict=True):
        moved = {name: (here[name], there) for name, there in _measures(other).items()}
        gains, costs = (
            {
                name: pair
                for name, pair in moved.items()
                if math.isfinite(min(pair)) and sign * (pair[0] - pair[1]) >= LEAST[name]
            }
            for sign in (1.0, -1.0)
        )
        if gains:
            found.append(Better(each.slot, each.part, other, gains, costs))
    chosen: dict[tuple[str, str], Better] = {}
    for name in LEAST:
        gaining = [each for each in found if name in each.gains]
        if gaining:
            best = min(gaining, key=lambda each: (each.gains[name][1], *_price(each)))
            chosen.setdefault((best.slot, best.part.name), best)
    return tuple(chosen.values())


def _measures(build: RankedBuild) -> dict[str, float]:
    tightest = build.tightest
    error, cost = (build.figures[name] for name in ("volume_error_pct", "cost_index"))
    return {
        "state": float(build.state),
        "open": float(sum(finding.state > State.FITS for finding in build.findings)),
        "margin": math.inf if tightest is None else -(tightest.margin or 0.0),
        "error": math.inf if error is None else error,
        "cost": math.inf if cost is None else cost,
    }


def _price(better: Better) -> tuple[float, float, str, str]:
    cost = better.build.figures["cost_index"] or 0.0
    return (len(better.costs), cost, better.slot, better.part.name)


def _states(applied: Applied, rows: int) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
    states = applied.outcome.whole.states
    return np.broadcast_to(np.asarray(states, dtype=np.int8).reshape(-1), (rows,))
