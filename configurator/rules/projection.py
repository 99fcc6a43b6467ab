"""What builds leave of some slots: combinations of their parts behind which there is a build."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.engine.arrays import IntArray
from configurator.engine.best_first import NEVER
from configurator.engine.table import Scope
from configurator.rules.build_order import BuildOrder
from configurator.rules.priced import Cut, PricedParts

CELLS_AT_ONCE = 1_000_000
"""Combinations, of all pairs of mixer and tip together, that are laid out at once."""


def strides(sizes: Sequence[int]) -> list[int]:
    """What a step in each of some slots adds to the number of a combination of their parts.

    Examples
    --------
    >>> strides([2, 3, 4])
    [12, 4, 1]
    """
    return [math.prod(sizes[place + 1 :]) for place in range(len(sizes))]


def least_over(order: BuildOrder, slots: Scope) -> tuple[IntArray, IntArray]:
    """The least key of the builds behind each combination of parts of some slots.

    Parameters
    ----------
    order : BuildOrder
        Of one request of one part.
    slots : tuple of str
        In the order of the frame; the others are free.

    Returns
    -------
    combinations, keys : ndarray of int
        The combinations that are in any build, ascending, numbered by `strides` over all parts of
        their slots; and the key of the first build behind each.
    """
    priced = order.priced
    (cuts,) = priced.sides or ([],)
    sizes = [priced.standing[slot].shape[1] for slot in slots]
    stride = dict(zip(slots, strides(sizes), strict=True))
    found = [each for cut in cuts for each in _of_cut(priced, cut, slots, stride)]
    none = np.zeros(0, dtype=np.int64)
    codes = np.concatenate([none, *(codes for codes, _ in found)])
    keys = np.concatenate([none, *(keys for _, keys in found)])
    rank = np.lexsort((keys, codes))
    codes, keys = codes[rank], keys[rank]
    first = np.r_[True, codes[1:] != codes[:-1]][: len(codes)]
    return codes[first], keys[first]


def _of_cut(
    priced: PricedParts, cut: Cut, slots: Scope, stride: dict[str, int]
) -> Iterator[tuple[IntArray, IntArray]]:
    """Yield combinations and keys under one size, for each choice of mixer and tip that is kept."""
    first = tuple(slot for slot in slots if slot in cut.sizes)
    codes: IntArray = np.zeros((), dtype=np.int64)
    for slot in first:
        codes = codes[..., np.newaxis] + stride[slot] * cut.parts[slot]
    which = np.flatnonzero(cut.stands & (priced.own < NEVER))
    mouth: IntArray = np.zeros(len(which), dtype=np.int64)
    for slot in SHARED_SLOTS:
        mouth = mouth + stride.get(slot, 0) * priced.parts[slot][which]
    if not priced.prices.step:  # where nothing costs anything, one of each class tells all
        alike = np.stack([cut.classes[which], mouth])
        keep = np.unique(alike, axis=1, return_index=True)[1]
        which, mouth = which[keep], mouth[keep]
    step = max(1, CELLS_AT_ONCE // max(codes.size, 1))
    for value in np.unique(mouth):
        here = which[mouth == value]
        least = np.full(codes.shape, NEVER)
        for begin in range(0, len(here), step):
            some = here[begin : begin + step]
            own = priced.own[some].reshape(-1, *(1,) * codes.ndim)
            keys = np.minimum(cut.chain(priced, some, first).root + own, NEVER)
            least = np.minimum(least, keys.min(axis=0))
        at = least < NEVER
        yield codes[at] + value, least[at]
