"""Any page of the lexicographic list of builds, without walking the pages before it.

The first build of a page is found by *unranking*: slot by slot, the counts of the values
tell which value holds the wanted position. The builds from there on are the union of a few
boxes (a prefix of the first build, then a larger value, then anything), from the longest
prefix to the shortest; each box is enumerated in order by a ranking without costs. The tree
is restricted to the prefix as it grows, so each step works on fewer rows.
"""

from collections.abc import Iterator

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.assembly import JoinTree
from configurator.engine.counting import Counter
from configurator.engine.ranking import Ranking

Positions = tuple[int, ...]
"""Live position of every slot, in domain order."""

Box = tuple[JoinTree, int, BoolArray]
"""The tree under a prefix, the slot after it, and the larger values open to that slot."""


def page(tree: JoinTree, widths: tuple[int, ...], offset: int) -> Iterator[Positions]:
    """Builds of a tree from position ``offset`` on, in lexicographic order of positions."""
    if offset <= 0:
        yield from _ordered(tree, widths)
        return
    unranked = _unrank(tree, widths, offset)
    if unranked is None:
        return
    first, boxes = unranked
    yield first
    for prefix, slot, larger in reversed(boxes):
        box = prefix.restricted({slot: larger})
        if box is not None:
            yield from _ordered(box, widths)


def _ordered(tree: JoinTree, widths: tuple[int, ...]) -> Iterator[Positions]:
    for _, positions in Ranking(tree, widths, []):
        yield positions


def _unrank(
    tree: JoinTree, widths: tuple[int, ...], offset: int
) -> tuple[Positions, list[Box]] | None:
    """The build at a position, and a box for each slot with larger values left."""
    boxes: list[Box] = []
    chosen: list[int] = []
    left = offset
    for slot, width in enumerate(widths):
        counts = [int(count) for count in Counter(tree, widths).remaining({}, [slot])[0]]
        if left >= sum(counts):
            return None
        value = 0
        while left >= counts[value]:
            left -= counts[value]
            value += 1
        chosen.append(value)
        larger = np.array([count > 0 for count in counts], dtype=np.bool_)
        if not larger.any() or np.count_nonzero(larger) == 1:
            continue
        only = np.zeros(width, dtype=np.bool_)
        only[value] = True
        larger[: value + 1] = False
        if larger.any():
            boxes.append((tree, slot, larger))
        narrower = tree.restricted({slot: only})
        assert narrower is not None, "a value with a positive count has a build"
        tree = narrower
    return tuple(chosen), boxes
