"""Builds as numbers whose digits are the positions of their values, and costs on the rows of a tree.

A build's number is a vector of int64 *limbs*, compared lexicographically and added limb by limb;
each slot is counted in one cluster only, so every build has a number of its own.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from configurator.engine.arrays import IntArray
from configurator.engine.assembly import JoinTree, look_up

LIMB_CAPACITY = 1 << 59
"""Totals of one limb stay below this, so that sums never overflow."""

CostTable = tuple[tuple[int, ...], IntArray]
"""Slot numbers and a cost for every tuple of their live positions."""


def pack_digits(widths: Sequence[int]) -> tuple[int, list[tuple[int, int]]]:
    """Lay out the slots' positions as digits of as few limbs as fit.

    Parameters
    ----------
    widths : sequence of int
        Live values of each slot, in domain order.

    Returns
    -------
    limbs : int
        Number of limbs.
    places : list of (limb, stride)
        Where each slot's position is added.
    """
    groups: list[list[int]] = [[]]
    room = [1]
    for slot, width in enumerate(widths):
        if room[-1] * max(width, 1) >= LIMB_CAPACITY:
            groups.append([])
            room.append(1)
        groups[-1].append(slot)
        room[-1] *= max(width, 1)
    places = [(0, 1)] * len(widths)
    for limb, slots in enumerate(groups):
        stride = 1
        for slot in reversed(slots):
            places[slot] = (limb, stride)
            stride *= max(widths[slot], 1)
    return len(groups), places


def placed(tree: JoinTree, costs: Sequence[CostTable]) -> Iterator[tuple[int, IntArray]]:
    """For each cost, a cluster that decides it, and what it adds there to each row's least."""
    for scope, table in costs:
        home = tree.home(scope)
        assert home is not None, "the caller looked for a cluster with this scope"
        yield home, look_up(tree.clusters[home], scope, table - int(table.min()))


def digit_rows(tree: JoinTree, limbs: int, places: Sequence[tuple[int, int]]) -> list[IntArray]:
    """Value positions on the rows of each cluster, ``(limbs, rows)``; each slot in one cluster."""
    found = [np.zeros((limbs, rows), dtype=np.int64) for rows in tree.rows]
    for slot, (limb, stride) in enumerate(places):
        home = tree.home((slot,))
        assert home is not None, "every slot is in some cluster"
        found[home][limb] += tree.clusters[home].columns[slot].astype(np.int64) * stride
    return found


def digits_in(
    key: Sequence[int], places: Sequence[tuple[int, int]], widths: Sequence[int]
) -> tuple[int, ...]:
    """The value position of every slot in a sum of digits."""
    return tuple(
        key[limb] // stride % max(width, 1)
        for (limb, stride), width in zip(places, widths, strict=True)
    )
