"""The page of builds side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from configurator.explain.compare import FEWEST, side_by_side
from configurator.report.compare import compare_lines
from configurator.tui.choosing import PageScreen
from configurator.tui.session import BuildKey
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

WIDEST = 104
"""Columns beyond which lines are hard to follow."""


def marked_builds(answer: Answer, keys: Sequence[BuildKey]) -> tuple[RankedBuild, ...]:
    """The marked builds as they stand in an answer, without a rank; not those that lost a part."""
    parts = answer.grid.frame.parts
    places = {slot: {part.name: at for at, part in enumerate(parts[slot])} for slot in parts}
    named = [[(dict(key).get(slot, ""), at) for slot, at in places.items()] for key in keys]
    rows = [[at.get(name, -1) for name, at in row] for row in named]
    whole = [row for row in rows if -1 not in row]
    if not whole:
        return ()
    return tuple(replace(each, rank=0) for each in answer.described(np.array(whole, dtype=np.intp)))


def compared(answer: Answer, keys: Sequence[BuildKey], width: int) -> PageScreen | str:
    """Lay marked builds side by side, or say why there is nothing to compare.

    Parameters
    ----------
    answer : Answer
        The newest.
    keys : sequence of BuildKey
        The marked builds.
    width : int
        Columns of the screen.
    """
    builds = marked_builds(answer, keys)
    if len(builds) < FEWEST:
        return "of the marked builds, fewer than two have all their parts left"
    lines = compare_lines(side_by_side(builds), min(width - 4, WIDEST))
    heads = ("slot (", "figure", "rule (")
    spans = [[(line, "strong" if line.startswith(heads) else "")] for line in lines]
    return PageScreen(f"{len(builds)} builds, where they differ", spans)
