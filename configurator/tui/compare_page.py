"""The page of builds side by side."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.tui.choosing import PageScreen
from configurator.tui.compare import differences, marked_builds
from configurator.tui.session import BuildKey
from configurator.tui.spans import Spans, column
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

NAME, VALUE = 34, 18
FEWEST_COMPARED = 2


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
    there = [build for build in marked_builds(answer, keys) if build is not None]
    if len(there) < FEWEST_COMPARED:
        return "of the marked builds, fewer than two have all their parts left"
    return PageScreen(f"{len(there)} builds, where they differ", _lines(there, width))


def _lines(builds: Sequence[RankedBuild], width: int) -> list[Spans]:
    """One line a difference, one column a build, as wide as the screen lets them be."""
    room = min(width, 108) - 4
    value = max(min(VALUE, (room - 20) // len(builds)), 8)
    name = max(room - value * len(builds), 12)
    heads = "".join(column(f"build {place}", value) for place in range(1, len(builds) + 1))
    lines: list[Spans] = [[(column("", name) + heads, "strong")]]
    group = ""
    for line in differences(builds):
        if line.group != group:
            group = line.group
            title = {"limit": "share of each limit that is used", "part": "parts"}.get(group, group)
            lines.append([(title, "strong")])
        cells = "".join(column(text, value - 1) + " " for text in line.values)
        lines.append([(f"  {column(line.name, name - 3)} {cells}", "")])
    if len(lines) == 1:
        lines.append([("The builds differ in nothing that is known of them.", "")])
    return lines
