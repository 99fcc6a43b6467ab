"""Builds side by side: the lines in which they differ, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.rules.finding import Finding
from configurator.tui.session import BuildKey
from configurator.units.display import figures
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.told import RankedBuild


@dataclass(frozen=True)
class Difference:
    """One line of a comparison.

    Attributes
    ----------
    group : str
        part, state, figure or limit.
    name : str
        What is compared.
    values : tuple of str
        One a build.
    """

    group: str
    name: str
    values: tuple[str, ...]


def marked_builds(answer: Answer, keys: Sequence[BuildKey]) -> list[RankedBuild | None]:
    """The marked builds as they stand in an answer; None where a part is out by now."""
    rows, found = [], []
    slots = answer.grid.frame.slots
    for key in keys:
        names = dict(key)
        places = []
        for slot in slots:
            live = [part.name for part in answer.grid.frame.parts[slot]]
            places.append(live.index(names[slot]) if names.get(slot) in live else -1)
        found.append(-1 not in places and len(names) == len(slots))
        if found[-1]:
            rows.append(places)
    if not rows:
        return [None] * len(keys)
    described = iter(answer.described(np.array(rows, dtype=np.intp)))
    return [next(described) if there else None for there in found]


def differences(builds: Sequence[RankedBuild]) -> tuple[Difference, ...]:
    """Every part, figure and limit in which builds differ, in the order of the answer."""
    return tuple(line for line in _lines(builds) if len(set(line.values)) > 1)


def _lines(builds: Sequence[RankedBuild]) -> Iterator[Difference]:
    yield Difference("state", "state", tuple(build.state.words for build in builds))
    for slot in builds[0].parts:
        yield Difference("part", slot, tuple(build.parts[slot].name for build in builds))
    for figure in FIGURES:
        values = [build.figures[figure.name] for build in builds]
        words = ("-" if value is None else figures(value) for value in values)
        yield Difference("figure", figure.name, tuple(words))
    for name in dict.fromkeys(finding.rule for build in builds for finding in build.findings):
        by_build = [
            next((finding for finding in build.findings if finding.rule == name), None)
            for build in builds
        ]
        yield Difference("limit", name, tuple(_used(finding) for finding in by_build))


def _used(finding: Finding | None) -> str:
    """How much of a limit is used, and the state where that is not all there is to say."""
    if finding is None:
        return "-"
    if finding.margin is None:
        return finding.state.words
    # The margin is a share of the limit, also where the limit is a floor to be reached.
    used = 100.0 / (1.0 + finding.margin) if finding.at_least else (1.0 - finding.margin) * 100.0
    return f"{figures(used)} % {finding.state.words}"
